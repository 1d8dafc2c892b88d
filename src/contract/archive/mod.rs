//! The archive, `pillarbook-archive/1`: card files and what belongs to them as one
//! ZIP, with a manifest that names every file by size and SHA-256.
//!
//! ```text
//! manifest.json      format, when, from which department, cards, files, signature
//! cards/<id>.json    one card file (`pillarbook-card/1`) a card
//! photos/…           what else belongs to the cards, listed as any file
//! ```
//!
//! `signature` is null: its place is kept for archives that a server signs, and a
//! reader that does not check one must not say that it did. A file that the
//! manifest does not list, one that it lists and that is not there, and one that is
//! not as listed are refused: an archive is taken whole or not at all.

mod compare;
mod details;
mod error;
mod files;
mod manifest;
mod name;
mod read;
mod remarks;
mod write;

pub use compare::{Conflict, Difference, Standing, as_new, finding_here};
pub use details::Part;
pub use error::ArchiveError;
pub use files::{Files, Source};
pub use manifest::{Listed, ListedCard, Manifest, Origin};
pub use name::photo_file;
pub use read::{read, read_from};
pub use remarks::{Brought, Remarks};
pub use write::{WriteError, Writer, write};

use crate::domain::card::Card;
use std::collections::BTreeMap;
use time::OffsetDateTime;

/// What stands in the manifest's field `format`.
pub const FORMAT: &str = "pillarbook-archive/1";

/// Bytes of an archive as it is sent: somewhat more than unpacked, since photos do
/// not pack and every file is named twice.
pub const MOST_BYTES: u64 = MOST_UNPACKED_BYTES + (16 << 20);
/// Bytes of everything in it, unpacked.
pub const MOST_UNPACKED_BYTES: u64 = 1 << 30;
/// Bytes of its cards and its manifest, which are kept in memory.
pub const MOST_CARD_BYTES: u64 = 64 << 20;
/// Bytes of one file.
pub const MOST_FILE_BYTES: u64 = 16 << 20;
/// Files in it, the manifest included.
pub const MOST_FILES: usize = 5_000;

const MANIFEST: &str = "manifest.json";
/// The folder of the cards.
const CARDS: &str = "cards/";

/// What is put into an archive that is small enough for memory.
#[derive(Debug, Clone)]
pub struct Contents {
    pub made_at: OffsetDateTime,
    pub origin: Origin,
    pub cards: Vec<ArchivedCard>,
    /// What else belongs to the cards, by name: `photos/…`.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// One card of an archive.
#[derive(Debug, Clone, PartialEq)]
pub struct ArchivedCard {
    /// Its id in the book it came from.
    pub id: String,
    /// The revision it was written at there.
    pub revision: i64,
    pub card: Card,
}

/// An archive that was read and checked.
#[derive(Debug, Clone)]
pub struct Archive {
    pub manifest: Manifest,
    pub cards: Vec<ArchivedCard>,
    /// What else it holds.
    pub files: Files,
}
