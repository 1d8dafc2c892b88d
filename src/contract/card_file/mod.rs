//! The card file, `pillarbook-card/1`: what the command line reads, import and
//! export use, and archives contain.
//!
//! [`read`] checks every field and names every invalid one; [`write()`] gives a
//! file that reads back as the same card. Three choices where the format is
//! silent:
//!
//! - A field with a name close to a known one is refused as a slip, since a
//!   bound or a status that is overlooked changes zones. Any other unknown
//!   field is passed over and listed in [`ReadCard::ignored`].
//! - Texts are trimmed, so that `"yard 14 "` and `"yard 14"` are one car.
//! - A field that is null is not given.

mod annotation;
mod file;
mod finding;
mod limits;
mod policy;
mod read;
mod vehicle;
mod write;

pub use annotation::{AboutFile, AnnotationFile, PhotoFile, RemarkFile};
pub use file::{CardDetailsFile, CardFile, FindingFile, PlaceFile, PolicyFile, VehicleFile};
pub use limits::{MOST_BYTES, MOST_FINDINGS};
pub use read::{CardFileError, ReadCard, read, read_additions, read_details};

pub(super) use annotation::read_about;
pub(super) use read::{read_card, read_document, read_of_any_length, read_row};
pub(super) use vehicle::read_variant;

use crate::domain::card::Card;

/// What stands in the field `format`.
pub const FORMAT: &str = "pillarbook-card/1";

/// A card as a file, indented for people, ending with a line break.
pub fn write(card: &Card) -> String {
    let file = CardFile::from(card);
    let mut text = serde_json::to_string_pretty(&file).expect("a card's file is plain data");
    text.push('\n');
    text
}
