//! The people of a department, and the links that let them in: a keeper makes
//! them, whoever holds one uses it once.

mod invitation;
mod list;
mod reset;

pub use invitation::{accept_invitation, show_invitation};
pub use list::{change_people, list_people};
pub use reset::{reset_password, show_reset};
