//! Archives: what of the book goes into one, what one brings, and taking that in.

mod gather;
mod origin;
mod take_in;
mod take_known;
mod waiting;

pub(in crate::store) use origin::{CardOrigin, insert_origin};
pub use take_in::{Incoming, Take, TakenIn};
pub use waiting::{WaitingArchive, WaitingError};
