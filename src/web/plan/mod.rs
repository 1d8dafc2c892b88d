//! A plan from a card in three touches: seat, care, go. Everything asked stands
//! in the address (`address`, `read`), so that a plan can be kept, sent and
//! gone back to while nothing about a patient is stored; buttons that change it
//! (`act`) lead to the new address. `answer` decides what is shown.

mod act;
mod address;
mod answer;
mod asked;
mod drawing;
mod form;
mod opening;
mod page;
mod picture;
mod place;
mod read;
mod restraint;
mod step;
mod words;

pub use answer::{show_card_plan, show_style_plan};
pub use picture::{show_card_picture, show_style_picture};
