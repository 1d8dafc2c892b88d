//! Archives over the web: one's own cards out, and cards of others in.

pub mod brings;
mod page;
pub mod photos;
mod send;
mod take;

pub use send::{send_all, send_card};
pub use take::{BODY_LIMIT_BYTES, show_archive, take_archive};
