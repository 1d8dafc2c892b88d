//! What a department shows to others: how far each card reaches, and its
//! mutual-aid partners.

mod card;
mod partners;

pub use card::{change_visibility, show_visibility};
pub use partners::{change_partners, list_partners};
