//! What may still fire: the room to keep from bags that are not known to have
//! fired, and how far the car's sources of power are made dead. None of it ever
//! says that something cannot fire.

mod bag_room;
mod hold_time;
mod people;

pub use bag_room::keep_outs;
pub use hold_time::{applies, restraints};
