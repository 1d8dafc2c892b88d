//! What another book brings to a card beside findings, as the pages show it: notes,
//! replies, photos, and the parts of the details that are not the same.

use crate::contract::archive::{Part, Remarks};
use crate::domain::annotation::{Annotation, Remark, Target};
use crate::domain::card::Card;
use crate::store::Take;
use crate::web::findings::effect;
use crate::web::no_cut_table::ChangeRow;
use crate::web::notes::words;
use crate::web::typed::Typed;

/// Notes and replies of one card that are shown one by one.
const MOST_SHOWN: usize = 60;
/// Characters of a value of a detail that are shown.
const MOST_CHARS: usize = 300;

/// Notes, replies and photos of one card.
pub struct NotesBrought {
    /// The box that leaves them out.
    pub leave: String,
    pub left: bool,
    pub rows: Vec<NoteRow>,
    pub more: usize,
    /// Photos on notes that are known.
    pub photos: Vec<String>,
    pub notes: Vec<String>,
}

/// One note or reply.
pub struct NoteRow {
    pub about: String,
    pub text: String,
    pub signed: String,
    pub photos: usize,
    /// Where it stands there, where that keeps it out.
    pub set_aside: Option<&'static str>,
}

/// A part of the details that is not the same.
pub struct PartRow {
    /// The box that takes it over.
    pub take: String,
    pub taken: bool,
    pub name: &'static str,
    /// Field, what it has here, what it has there.
    pub differences: Vec<(String, String, String)>,
    /// What taking it over does to the zones; why it cannot be.
    pub changes: Result<Vec<ChangeRow>, String>,
}

/// Prefix of the boxes, and the place of the card in what is brought.
fn leave_box(place: usize) -> String {
    format!("leave-notes-{place}")
}

fn part_box(place: usize, part: Part) -> String {
    format!("part-{place}-{part}")
}

/// What of a card was chosen to be taken over.
pub fn chosen(typed: &Typed, place: usize, parts: &[Part]) -> Take {
    let is_taken = |part: &Part| typed.chosen(&part_box(place, *part), "yes");
    Take {
        remarks: !typed.chosen(&leave_box(place), "yes"),
        details: parts.iter().copied().filter(is_taken).collect(),
    }
}

impl NotesBrought {
    /// `None` where there is nothing to say of them.
    pub fn of(remarks: &Remarks, there: &Card, (place, typed): (usize, &Typed)) -> Option<Self> {
        let notes = standing(remarks);
        if remarks.is_nothing_new() && notes.is_empty() {
            return None;
        }
        let of_notes = remarks.notes.iter().flat_map(|noted| of_note(noted, there));
        let replies = remarks.replies.iter();
        let of_replies = replies.map(|(to, reply)| row(format!("Reply to {to}"), reply));
        let mut rows: Vec<NoteRow> = of_notes.chain(of_replies).collect();
        let more = rows.len().saturating_sub(MOST_SHOWN);
        rows.truncate(MOST_SHOWN);
        let photo = |(to, photo): &(String, _)| {
            let photo: &crate::domain::annotation::Photo = photo;
            format!("{to}: {}", photo.alt)
        };
        Some(Self {
            leave: leave_box(place),
            left: typed.chosen(&leave_box(place), "yes"),
            rows,
            more,
            photos: remarks.photos.iter().map(photo).collect(),
            notes,
        })
    }

    /// Whether there is something to leave out.
    pub fn is_new(&self) -> bool {
        !self.rows.is_empty() || !self.photos.is_empty()
    }
}

/// What stays as it is.
fn standing(remarks: &Remarks) -> Vec<String> {
    let stands = remarks.standing.iter().map(|(id, here, there)| {
        format!("note {id} is {here} here and {there} there: stays as it is")
    });
    let no_room = (remarks.no_room > 0).then(|| {
        let count = remarks.no_room;
        format!("{count} more photos: their notes have no room for them")
    });
    stands.chain(no_room).collect()
}

fn of_note(noted: &Annotation, there: &Card) -> Vec<NoteRow> {
    let about = match &noted.target {
        Target::Finding(id) => format!("Finding {id} there"),
        other => words::about(other, there),
    };
    let replies = noted.replies.iter();
    let replies = replies.map(|reply| row(format!("Reply to {} there", noted.note.id), reply));
    std::iter::once(row(about, &noted.note))
        .chain(replies)
        .collect()
}

fn row(about: String, remark: &Remark) -> NoteRow {
    let standing = remark.standing;
    NoteRow {
        about,
        text: remark.text.clone(),
        signed: words::signed(remark),
        photos: remark.photos.len(),
        set_aside: (!standing.is_for_all()).then(|| standing.word()),
    }
}

impl PartRow {
    /// The parts in which a card differs from what is brought.
    pub fn all(here: &Card, there: &Card, parts: &[Part], at: (usize, &Typed)) -> Vec<Self> {
        parts
            .iter()
            .map(|part| Self::of(*part, here, there, at))
            .collect()
    }

    fn of(part: Part, here: &Card, there: &Card, (place, typed): (usize, &Typed)) -> Self {
        let mut after = here.clone();
        part.put(&mut after, there);
        let changes = match part {
            Part::Vehicle | Part::Measured => effect(here, &after).map_err(|e| e.to_string()),
            Part::Identify | Part::PowerOff | Part::Glass => Ok(Vec::new()),
        };
        let differences = part.differences(here, there).into_iter();
        Self {
            take: part_box(place, part),
            taken: typed.chosen(&part_box(place, part), "yes"),
            name: part.name(),
            differences: differences
                .map(|(field, here, there)| (field, short(&here), short(&there)))
                .collect(),
            changes,
        }
    }

    /// Whether taking it over takes no-cut away.
    pub fn shrinks(&self) -> bool {
        let rows = self.changes.as_ref();
        rows.is_ok_and(|rows| rows.iter().any(|row| row.shrinks))
    }
}

fn short(text: &str) -> String {
    let mut chars = text.chars();
    let start: String = chars.by_ref().take(MOST_CHARS).collect();
    match chars.next() {
        Some(_) => start + "…",
        None => start,
    }
}
