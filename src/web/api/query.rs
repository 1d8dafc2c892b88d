//! Parameters of an address's query, read so that each one at fault is named
//! with what was given and what would be accepted.

use super::problems::ApiError;
use crate::contract::FieldError;
use crate::web::drawing::refused;
use crate::web::variant::value_of;
use std::ops::RangeInclusive;

/// A query under reading.
pub struct QueryReader<'a> {
    pairs: &'a [(String, String)],
    errors: Vec<FieldError>,
}

impl<'a> QueryReader<'a> {
    pub fn new(pairs: &'a [(String, String)]) -> Self {
        Self {
            pairs,
            errors: Vec::new(),
        }
    }

    /// A whole number within a range; the default where it is left out or empty.
    pub fn whole(&mut self, name: &str, range: RangeInclusive<u32>, default: u32) -> u32 {
        let Some(given) = self.text(name) else {
            return default;
        };
        let number = given.parse().ok().filter(|n| range.contains(n));
        number.unwrap_or_else(|| {
            let accepted = format!("a whole number from {} to {}", range.start(), range.end());
            self.errors.push(refused(name, accepted, given));
            default
        })
    }

    /// A text of at most so many characters; empty where it is left out.
    pub fn words(&mut self, name: &str, most_chars: usize) -> &'a str {
        let given = value_of(self.pairs, name).unwrap_or_default();
        if given.chars().count() > most_chars {
            let accepted = format!("at most {most_chars} characters");
            self.errors.push(refused(name, accepted, given));
        }
        given
    }

    /// An id of ours; `accepted` says where one comes from.
    pub fn id(&mut self, name: &str, accepted: &str) -> Option<&'a str> {
        let given = self.text(name)?;
        if uuid::Uuid::try_parse(given).is_err() {
            self.errors.push(refused(name, accepted.to_owned(), given));
            return None;
        }
        Some(given)
    }

    /// Whether everything could be read.
    ///
    /// # Errors
    /// Every parameter at fault.
    pub fn finish(self) -> Result<(), ApiError> {
        match self.errors.is_empty() {
            true => Ok(()),
            false => Err(ApiError::invalid(self.errors)),
        }
    }

    fn text(&self, name: &str) -> Option<&'a str> {
        value_of(self.pairs, name).filter(|text| !text.is_empty())
    }
}
