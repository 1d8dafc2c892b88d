//! What a rescue cutter's plate says of it: the rating of NFPA 1936, the type
//! designation of EN 13204, or the latter's listing by test material.
//!
//! Each is read into its parts and said in words. What contradicts itself is
//! reported and kept: the plate is what it is. Only the public part of either
//! standard is known here, some of it from memory, and every word says which.

mod en_13204;
mod nfpa_1936;

pub use en_13204::{CutterType, EnCutter, EnListing};
pub use nfpa_1936::{NfpaRating, Piece, Standing, TestClass, piece};

/// What stands beside every designation.
pub const NO_PROMISE: &str =
    "No promise for press-hardened steel: neither standard’s test cuts it (from memory).";

const ACCEPTED: &str = "accepted are “A4/B5/C6/D3/E4” (NFPA 1936), “BC 165 H-15.2” \
     or “1I-2K-3H-4K-5K” (EN 13204)";

/// A designation, read.
#[derive(Debug, Clone, PartialEq)]
pub enum Designation {
    /// NFPA 1936: a level for each of five test materials.
    Rating(NfpaRating),
    /// EN 13204: type, opening, capacity, mass.
    Cutter(EnCutter),
    /// EN 13204 of 2016: a capacity for each of five test materials.
    Listing(EnListing),
}

/// Why a designation cannot be read. Each says what would be accepted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DesignationError {
    #[error("no designation; {ACCEPTED}")]
    Empty,
    #[error("“{0}” is no cutter’s designation known here; {ACCEPTED}")]
    Unreadable(String),
    #[error("class {class}: level “{level}”; a level from 1 to 9 is accepted, as in A4")]
    Level { class: char, level: String },
    #[error(
        "class {0} is missing; a level for each of A, B, C, D and E is accepted, as in A4/B5/C6/D3/E4"
    )]
    ClassMissing(char),
    #[error("class {0} stands twice; one level for each class is accepted")]
    ClassTwice(char),
    #[error("type “{0}”; AC, BC or CC is accepted for a cutter, as in BC 165 H-15.2")]
    Type(String),
    #[error("opening “{0}”; whole millimetres from 1 to 999 are accepted, as in BC 165 H-15.2")]
    Opening(String),
    #[error("capacity “{0}”; a letter from A to K is accepted, as in BC 165 H-15.2")]
    Capacity(String),
    #[error("mass “{0}”; kilograms from 1 to 99.9 are accepted, as in BC 165 H-15.2")]
    Mass(String),
    #[error(
        "material {0} is missing; a letter for each of 1 to 5 is accepted, as in 1I-2K-3H-4K-5K"
    )]
    MaterialMissing(u8),
    #[error("material {0} stands twice; one letter for each of 1 to 5 is accepted")]
    MaterialTwice(u8),
    #[error("“{0}”; a material from 1 to 5 with a letter from A to K is accepted, as in 1I")]
    Material(String),
}

impl Designation {
    /// Reads a designation as the plate gives it; case, spaces and the marks
    /// between parts do not matter.
    ///
    /// # Errors
    /// It has none of the three forms, or a part of it is out of range.
    pub fn parse(text: &str) -> Result<Self, DesignationError> {
        let plain = text.trim().to_uppercase();
        let plain = ["NFPA 1936", "EN 13204", ":"]
            .iter()
            .fold(plain, |t, name| t.replace(name, " "));
        let plain = plain.trim();
        let mut letters = plain.chars();
        match (letters.next(), letters.next()) {
            (None, _) => Err(DesignationError::Empty),
            (Some(first), _) if first.is_ascii_digit() => {
                en_13204::listing(plain).map(Self::Listing)
            }
            (Some(first), Some(second)) if first.is_alphabetic() && second.is_alphabetic() => {
                en_13204::cutter(plain, text).map(Self::Cutter)
            }
            (Some('A'..='F'), Some(_)) => nfpa_1936::rating(plain, text).map(Self::Rating),
            _ => Err(DesignationError::Unreadable(text.trim().to_owned())),
        }
    }

    /// The standard whose form it has.
    pub const fn standard(&self) -> &'static str {
        match self {
            Self::Rating(_) => "NFPA 1936",
            Self::Cutter(_) => "EN 13204",
            Self::Listing(_) => "EN 13204 of 2016",
        }
    }

    /// What it says, a line a part.
    pub fn words(&self) -> Vec<String> {
        match self {
            Self::Rating(rating) => rating.words(),
            Self::Cutter(cutter) => cutter.words(),
            Self::Listing(listing) => listing.words(),
        }
    }

    /// Where it contradicts itself; nothing is refused for it.
    pub fn contradictions(&self) -> Vec<String> {
        match self {
            Self::Cutter(cutter) => cutter.contradiction().into_iter().collect(),
            Self::Rating(_) | Self::Listing(_) => Vec::new(),
        }
    }
}

impl std::fmt::Display for Designation {
    /// In the form of its standard.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Rating(rating) => rating.fmt(f),
            Self::Cutter(cutter) => cutter.fmt(f),
            Self::Listing(listing) => listing.fmt(f),
        }
    }
}

impl std::str::FromStr for Designation {
    type Err = DesignationError;

    fn from_str(text: &str) -> Result<Self, DesignationError> {
        Self::parse(text)
    }
}

#[cfg(test)]
mod tests;
