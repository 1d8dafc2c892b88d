//! Notes to be written beside a card: `{"annotations": [{"at": …, "text": "…"}]}`.
//! Whose they are, when, and where they stand is not theirs to say.

use super::card_file::{AboutFile, CardFileError, read_about, read_document};
use super::reader::Field;
use crate::domain::annotation::{MOST_TEXT, Target};
use crate::domain::card::Card;
use serde::Serialize;
use utoipa::ToSchema;

/// Notes in one request.
pub const MOST_ADDED: usize = 100;

/// A note or a reply to be written.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoteAddition {
    /// What it is about; left out for the whole card, and for a reply.
    #[schema(required = false)]
    pub at: Option<AboutFile>,
    /// The id of the note it answers.
    #[schema(required = false)]
    pub reply_to: Option<String>,
    #[schema(min_length = 1, max_length = 2000)]
    pub text: String,
}

/// Notes to be written, all of them or none.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoteAdditions {
    #[schema(min_items = 1, max_items = 100)]
    pub annotations: Vec<NoteAddition>,
}

/// A note or a reply that was read.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadNote {
    Note { target: Target, text: String },
    Reply { to: String, text: String },
}

/// Reads notes for a card.
///
/// # Errors
/// Every field that cannot be accepted.
pub fn read_notes(text: &[u8], card: &Card) -> Result<Vec<ReadNote>, CardFileError> {
    let (notes, _) = read_document(text, |body| {
        if !body.object(&["annotations"]) {
            return None;
        }
        let list = body.get("annotations").required("a list of notes");
        let items = list.items();
        if list.is_given() && !(1..=MOST_ADDED).contains(&items.len()) {
            let accepted = format!("1 to {MOST_ADDED} notes");
            list.refuse(format!("{} notes cannot be taken", items.len()), accepted);
            return None;
        }
        Some(
            items
                .iter()
                .filter_map(|item| read_note(item, card))
                .collect(),
        )
    })?;
    Ok(notes)
}

fn read_note(item: &Field<'_>, card: &Card) -> Option<ReadNote> {
    let item = item.clone().required("an object, one note");
    if !item.object(&["at", "reply_to", "text"]) {
        return None;
    }
    let text = item.get("text").required_text(MOST_TEXT);
    let reply_to = item.get("reply_to");
    if !reply_to.is_given() {
        let target = read_about(
            &item.get("at"),
            Some(card.vehicle.body_style),
            &card.findings,
        );
        return Some(ReadNote::Note {
            target: target?,
            text: text?,
        });
    }
    if item.get("at").is_given() {
        let accepted = "left out: a reply is about what its note is about";
        item.get("at")
            .refuse("a reply has no place of its own", accepted);
    }
    let to = reply_to.clone().required_text(64)?;
    if !card.annotations.iter().any(|a| a.note.id == to) {
        let message = format!("there is no note {to} on this card");
        reply_to.refuse(message, "the id of a note");
        return None;
    }
    Some(ReadNote::Reply { to, text: text? })
}
