//! What the store takes and gives of notes.

use super::super::contract::StoredCard;
use crate::domain::annotation::{Photo, Target};

/// What a remark is: a note about something, or a reply to a note.
#[derive(Debug, Clone, PartialEq)]
pub enum NewAbout {
    Note(Target),
    /// To the note of that id.
    Reply(String),
}

/// A remark to be written. Whose it is, is whoever writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRemark {
    pub about: NewAbout,
    pub text: String,
    /// Photos whose bytes are kept already, under names drawn here.
    pub photos: Vec<Photo>,
}

/// Remarks that were written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// The ids they were given, in order.
    pub ids: Vec<String>,
    pub card: StoredCard,
}
