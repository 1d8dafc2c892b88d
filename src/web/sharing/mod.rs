//! What a department shows to others: how far each card reaches, links to
//! one card, and its mutual-aid partners.

mod card;
mod link;
mod partners;
pub mod qr;

pub use card::{change_sharing, show_sharing};
pub use link::{show_linked, show_linked_photo};
pub use partners::{change_partners, list_partners};
