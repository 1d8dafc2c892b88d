//! Notes beside cards, replies, where each stands, and which photos hang on
//! them. Nothing is edited: lines are added, and the newest counts.

pub mod contract;
mod more;
mod photos;
mod read;
mod settle;
mod write;

pub(super) use more::insert_more;
pub(super) use read::read_annotations;
pub(super) use write::insert_brought;
