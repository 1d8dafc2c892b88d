//! What a department shows to others: how far each card reaches, its mutual-aid
//! partners, what they offer, and links that open one card.

mod guests;
mod links;
mod partners;
mod visibility;

pub(super) use guests::begin_as_guest;
pub(super) use guests::guest_in;
pub(super) use partners::name_of;
