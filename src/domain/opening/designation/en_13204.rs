//! The cutter designations of EN 13204: `BC 165 H-15.2` (type, opening in mm,
//! capacity, mass in kg) and, since 2016, `1I-2K-3H-4K-5K` (a capacity for each
//! test material).
//!
//! All of it from memory: types AC below 150 mm of opening, BC from 150 to 199,
//! CC from 200; capacities A to H, I to K added later. The sizes of the test
//! pieces behind the letters are not known here, and nothing is put in their place.

use super::DesignationError;
use crate::domain::vehicle::words;
use std::fmt;

words! {
    /// The type of a cutter, by its opening.
    CutterType { Ac = "AC", Bc = "BC", Cc = "CC" }
}

impl CutterType {
    /// The type that an opening in mm makes.
    pub const fn of_opening(mm: u16) -> Self {
        match mm {
            0..=149 => Self::Ac,
            150..=199 => Self::Bc,
            _ => Self::Cc,
        }
    }

    /// Its range of openings in words.
    pub const fn openings(self) -> &'static str {
        match self {
            Self::Ac => "below 150 mm",
            Self::Bc => "150 to 199 mm",
            Self::Cc => "200 mm and more",
        }
    }
}

/// Type, opening, capacity, mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnCutter {
    pub kind: CutterType,
    pub opening_mm: u16,
    /// `A` to `K`.
    pub capacity: char,
    pub mass_kg: f64,
}

impl EnCutter {
    pub(super) fn words(&self) -> Vec<String> {
        vec![
            format!(
                "{}: cutter with an opening of {} (from memory)",
                self.kind,
                self.kind.openings()
            ),
            format!("Opening {} mm, mass {} kg", self.opening_mm, self.mass_kg),
            format!(
                "Capacity {} on a scale from A, the least, to H (later to K): the sizes of the \
                 test pieces are not known here",
                self.capacity
            ),
        ]
    }

    /// The type letter and the opening, where they do not agree.
    pub(super) fn contradiction(&self) -> Option<String> {
        let should = CutterType::of_opening(self.opening_mm);
        (should != self.kind).then(|| {
            format!(
                "{} is for an opening of {}, but the opening given is {} mm, which makes {should} \
                 (from memory). Look at the plate again.",
                self.kind,
                self.kind.openings(),
                self.opening_mm
            )
        })
    }
}

impl fmt::Display for EnCutter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            kind,
            opening_mm,
            capacity,
            mass_kg,
        } = self;
        write!(f, "{kind} {opening_mm} {capacity}-{mass_kg}")
    }
}

/// Splits off the leading characters that `wanted` takes, and the marks after them.
fn take(text: &str, wanted: impl Fn(char) -> bool) -> (&str, &str) {
    let end = text.find(|c| !wanted(c)).unwrap_or(text.len());
    let (part, rest) = text.split_at(end);
    (part, rest.trim_start_matches([' ', '-', '/']))
}

pub(super) fn cutter(plain: &str, typed: &str) -> Result<EnCutter, DesignationError> {
    let (kind, rest) = take(plain, char::is_alphabetic);
    if !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(DesignationError::Unreadable(typed.trim().to_owned()));
    }
    let (opening, rest) = take(rest, |c| c.is_ascii_digit());
    let (capacity, mass) = take(rest, char::is_alphabetic);
    let kind =
        CutterType::from_word(kind).ok_or_else(|| DesignationError::Type(kind.to_owned()))?;
    let opening_mm = match opening.parse() {
        Ok(mm @ 1..=999) => mm,
        _ => return Err(DesignationError::Opening(opening.to_owned())),
    };
    Ok(EnCutter {
        kind,
        opening_mm,
        capacity: letter(capacity)
            .ok_or_else(|| DesignationError::Capacity(capacity.to_owned()))?,
        mass_kg: mass_of(mass)?,
    })
}

/// A capacity letter standing alone.
fn letter(text: &str) -> Option<char> {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(letter @ 'A'..='K'), None) => Some(letter),
        _ => None,
    }
}

/// Kilograms; a decimal comma is how half of Europe's plates write it.
fn mass_of(text: &str) -> Result<f64, DesignationError> {
    let plain = text.trim_end_matches("KG").trim().replace(',', ".");
    let digits = plain.chars().all(|c| c.is_ascii_digit() || c == '.');
    match plain.parse() {
        Ok(kg @ 1.0..=99.9) if digits => Ok(kg),
        _ => Err(DesignationError::Mass(text.to_owned())),
    }
}

/// A capacity for each test material, 1 to 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EnListing {
    capacities: [char; 5],
}

impl EnListing {
    /// The capacity letter of a test material from 1 to 5.
    pub fn capacity(&self, material: u8) -> Option<char> {
        let place = usize::from(material).checked_sub(1)?;
        self.capacities.get(place).copied()
    }

    pub(super) fn words(&self) -> Vec<String> {
        let materials = (1..).zip(self.capacities);
        let mut words: Vec<String> = materials
            .map(|(material, letter)| format!("Test material {material}: capacity {letter}"))
            .collect();
        words.push(
            "What the five materials are, and the sizes behind the letters, are not known here"
                .to_owned(),
        );
        words
    }
}

impl fmt::Display for EnListing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let materials = (1..).zip(self.capacities);
        let parts: Vec<String> = materials
            .map(|(m, letter): (u8, _)| format!("{m}{letter}"))
            .collect();
        f.write_str(&parts.join("-"))
    }
}

pub(super) fn listing(plain: &str) -> Result<EnListing, DesignationError> {
    let mut found: [Option<char>; 5] = [None; 5];
    for part in plain.split(['-', '/', ',', ' ']).filter(|p| !p.is_empty()) {
        let (material, capacity) = take(part, |c| c.is_ascii_digit());
        let refused = || DesignationError::Material(part.to_owned());
        let material @ 1..=5 = material.parse().map_err(|_| refused())? else {
            return Err(refused());
        };
        let capacity = letter(capacity).ok_or_else(refused)?;
        if found[usize::from(material) - 1].replace(capacity).is_some() {
            return Err(DesignationError::MaterialTwice(material));
        }
    }
    let mut capacities = ['A'; 5];
    for ((material, found), capacity) in (1..).zip(found).zip(&mut capacities) {
        *capacity = found.ok_or(DesignationError::MaterialMissing(material))?;
    }
    Ok(EnListing { capacities })
}
