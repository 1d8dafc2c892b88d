//! Archives over the web: one's own cards out, and cards of others in.

mod send;

pub use send::{send_all, send_card};
