//! What may still fire: the room to keep from bags that are not known to have
//! fired, and how far the car's sources of power are made dead. None of it ever
//! says that something cannot fire.

mod bag_room;
mod hold_time;
mod people;
mod recorded_bag;

pub use bag_room::keep_outs;
pub use hold_time::{MADE_DEAD_IN_ORDER, applies, restraints};
pub use people::caregiver_seat;
