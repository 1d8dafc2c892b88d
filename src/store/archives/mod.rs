//! Archives: what of the book goes into one, what one brings, and taking that in.

mod gather;
mod origin;
mod take_in;
mod waiting;

pub(in crate::store) use origin::{CardOrigin, insert_origin};
pub use take_in::{Incoming, TakenIn};
pub use waiting::{WaitingArchive, WaitingError};
