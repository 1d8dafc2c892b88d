//! Annotations: what members note beside a card, pinned to a place or to the
//! whole of it. A note changes no zone.
//!
//! Nothing noted is edited away: a remark is settled by who may (`standing`),
//! and what it said stays in the record.

mod standing;
mod target;

pub use standing::{Asker, Settled, Standing, StandingError};
pub use target::{Picture, Spot, Target, TargetError};

use time::Date;

/// Characters of a remark.
pub const MOST_TEXT: usize = 2_000;
/// Characters of an arrow's label: what has room on a drawing.
pub const MOST_LABEL: usize = 24;
/// Characters of the words for who cannot see a photo.
pub const MOST_ALT: usize = 200;
/// Notes and replies on one card.
pub const MOST_REMARKS: usize = 500;
/// Photos of one remark.
pub const MOST_PHOTOS: usize = 6;

/// A note, where it is pinned, and what was answered.
#[derive(Debug, Clone, PartialEq)]
pub struct Annotation {
    pub target: Target,
    pub note: Remark,
    /// In the order they were written.
    pub replies: Vec<Remark>,
}

/// What one member wrote: a note or a reply.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// Unlike every other note's and reply's of the card.
    pub id: String,
    pub text: String,
    /// Who wrote it, and for which department, as they were named then.
    pub by: Option<String>,
    pub department: Option<String>,
    pub on: Date,
    pub standing: Standing,
    /// Who brought it there; none while it stands as it was written.
    pub settled: Option<Settled>,
    pub photos: Vec<Photo>,
}

/// A photo that is kept with a remark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Drawn by the program; says nothing of what is seen.
    pub name: String,
    /// In words, for who cannot see it.
    pub alt: String,
    pub width_px: u32,
    pub height_px: u32,
    /// SHA-256 of its file in hex; `None` where it is not known.
    pub sha256: Option<String>,
}

impl Annotation {
    /// The note and its replies.
    pub fn remarks(&self) -> impl Iterator<Item = &Remark> {
        std::iter::once(&self.note).chain(&self.replies)
    }

    /// The remark of that id, and whether it is a reply.
    pub fn remark(&self, id: &str) -> Option<(&Remark, bool)> {
        let found = self.remarks().enumerate().find(|(_, r)| r.id == id);
        found.map(|(place, remark)| (remark, place > 0))
    }

    /// Whether it is drawn and printed.
    pub fn shows(&self) -> bool {
        self.note.standing.shows()
    }

    /// The note and its replies as far as they are printed: with a note that is
    /// not, nothing of it is.
    pub fn shown_remarks(&self) -> impl Iterator<Item = &Remark> {
        let shown = self.remarks().filter(|r| r.standing.shows());
        shown.filter(|_| self.shows())
    }
}
