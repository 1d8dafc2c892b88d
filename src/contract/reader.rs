//! Reads fields out of a JSON value and collects everything that is wrong with
//! them, so that a person corrects a file once and not error by error.
//!
//! A field that is absent or null is not given. A reading method answers
//! `None` for what is not given and for what it refused; a refusal is in the
//! list, so whoever asks for the list at the end cannot take one for the other.

use super::field_error::FieldError;
use super::path::{Path, Segment};
use serde_json::Value;
use std::cell::RefCell;
use std::ops::RangeInclusive;
use time::Date;
use time::macros::format_description;

/// Errors listed for one document; more help nobody.
const MOST_ERRORS: usize = 500;

/// What reading a document turned up.
#[derive(Debug, Default)]
pub(super) struct Remarks {
    /// Each makes the document invalid.
    pub errors: Vec<FieldError>,
    /// Fields that are not part of the format and were passed over.
    pub ignored: Vec<FieldError>,
}

/// A field of the document, given or not.
#[derive(Clone)]
pub(super) struct Field<'a> {
    path: Path,
    value: Option<&'a Value>,
    remarks: &'a RefCell<Remarks>,
}

/// Limits of a number, with its unit for people.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    from: f64,
    to: f64,
    /// Whether `to` itself is outside.
    open: bool,
    unit: &'static str,
}

impl Limits {
    pub const fn new(from: f64, to: f64, unit: &'static str) -> Self {
        Self {
            from,
            to,
            open: false,
            unit,
        }
    }

    /// From its start to its end, both included.
    pub const fn within(range: &std::ops::RangeInclusive<f64>, unit: &'static str) -> Self {
        Self::new(*range.start(), *range.end(), unit)
    }

    /// From `from` up to, but not including, `to`.
    pub const fn below(from: f64, to: f64, unit: &'static str) -> Self {
        Self {
            from,
            to,
            open: true,
            unit,
        }
    }

    fn hold(&self, number: f64) -> bool {
        self.from <= number && (number < self.to || (number == self.to && !self.open))
    }

    fn accepted(&self) -> String {
        let Self { from, to, unit, .. } = self;
        let to_word = if self.open { "to less than" } else { "to" };
        format!("a number from {from} {to_word} {to} {unit}")
    }
}

impl<'a> Field<'a> {
    pub fn document(value: &'a Value, remarks: &'a RefCell<Remarks>) -> Self {
        Self {
            path: Path::document(),
            value: Some(value),
            remarks,
        }
    }

    /// The field of this object by its name; not given if this is no object.
    pub fn get(&self, name: &str) -> Self {
        let value = self
            .value
            .and_then(|v| v.get(name))
            .filter(|v| !v.is_null());
        Self {
            path: self.path.field(name),
            value,
            remarks: self.remarks,
        }
    }

    /// The item of this list; not given if there is none.
    pub fn item(&self, index: usize) -> Self {
        let value = self.value.and_then(|v| v.get(index));
        Self {
            path: self.path.item(index),
            value: value.filter(|v| !v.is_null()),
            remarks: self.remarks,
        }
    }

    /// The field that a path leads to from this one.
    pub fn below(&self, path: &Path) -> Self {
        let step = |field: Self, segment: &Segment| match segment {
            Segment::Field(name) => field.get(name),
            Segment::Item(index) => field.item(*index),
        };
        path.segments().iter().fold(self.clone(), step)
    }

    pub fn is_given(&self) -> bool {
        self.value.is_some()
    }

    pub fn value(&self) -> Option<&'a Value> {
        self.value
    }

    /// Where in the document it stands.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds an error about this field.
    pub fn refuse(&self, message: impl Into<String>, accepted: impl Into<String>) {
        let mut remarks = self.remarks.borrow_mut();
        if remarks.errors.len() < MOST_ERRORS {
            let error = FieldError::new(self.path.clone(), message, accepted, self.value);
            remarks.errors.push(error);
        }
    }

    /// This field, with an error if it is not given.
    pub fn required(self, accepted: &str) -> Self {
        if self.value.is_none() {
            self.refuse("this field is required", accepted);
        }
        self
    }

    /// Whether this is an object, if given. Names that are not `known` are
    /// refused when they look like a slip for one that is, and otherwise
    /// passed over and listed.
    pub fn object(&self, known: &[&str]) -> bool {
        let Some(fields) = self.value.and_then(Value::as_object) else {
            if self.is_given() {
                self.refuse("this is not an object", "an object { … }");
            }
            return false;
        };
        for name in fields.keys().filter(|name| !known.contains(&name.as_str())) {
            let field = Self {
                value: fields.get(name),
                path: self.path.field(name),
                ..self.clone()
            };
            if let Some(meant) = meant(name, known.iter().copied()) {
                field.refuse(
                    format!("there is no field `{name}` here; did you mean `{meant}`?"),
                    known.join(", "),
                );
            } else {
                let mut remarks = self.remarks.borrow_mut();
                remarks.ignored.push(FieldError::new(
                    field.path,
                    "this field is not part of the format and was passed over",
                    known.join(", "),
                    field.value,
                ));
            }
        }
        true
    }

    /// The items of an array, empty if not given.
    pub fn items(&self) -> Vec<Self> {
        let Some(value) = self.value else {
            return Vec::new();
        };
        let Some(items) = value.as_array() else {
            self.refuse("this is not a list", "a list [ … ]");
            return Vec::new();
        };
        let item = |(index, value): (usize, &'a Value)| Self {
            path: self.path.item(index),
            value: Some(value).filter(|v| !v.is_null()),
            remarks: self.remarks,
        };
        items.iter().enumerate().map(item).collect()
    }

    /// The fields of an object whose names are data, empty if not given; null
    /// ones are left out.
    pub fn entries(&self) -> Vec<(&'a str, Self)> {
        let Some(value) = self.value else {
            return Vec::new();
        };
        let Some(fields) = value.as_object() else {
            self.refuse("this is not an object", "an object { … }");
            return Vec::new();
        };
        let entries = fields
            .iter()
            .map(|(name, _)| (name.as_str(), self.get(name)));
        entries.filter(|(_, field)| field.is_given()).collect()
    }

    /// A number within limits.
    pub fn number(&self, limits: &Limits) -> Option<f64> {
        let value = self.value?;
        match value.as_f64() {
            None => self.refuse("this is not a number", limits.accepted()),
            Some(number) if limits.hold(number) => return Some(number),
            Some(number) => {
                let side = if number < limits.from {
                    "small"
                } else {
                    "large"
                };
                self.refuse(format!("the number is too {side}"), limits.accepted());
            }
        }
        None
    }

    /// A whole number within limits.
    pub fn whole(&self, range: RangeInclusive<i64>) -> Option<i64> {
        let value = self.value?;
        let accepted = format!("a whole number from {} to {}", range.start(), range.end());
        // 2019.0 is the same JSON number as 2019.
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and small"
        )]
        let whole = value.as_i64().or_else(|| {
            value
                .as_f64()
                .filter(|n| n.fract() == 0.0 && n.abs() < 1e15)
                .map(|n| n as i64)
        });
        match whole {
            None => self.refuse("this is not a whole number", accepted),
            Some(number) if range.contains(&number) => return Some(number),
            Some(_) => self.refuse("the number is out of range", accepted),
        }
        None
    }

    /// A text without control characters, trimmed; a blank one is not given.
    pub fn text(&self, most_chars: usize) -> Option<String> {
        let value = self.value?;
        let accepted = || format!("a text of at most {most_chars} characters");
        let Some(text) = value.as_str() else {
            self.refuse("this is not a text", accepted());
            return None;
        };
        let text = text.trim();
        if text.chars().count() > most_chars {
            self.refuse("the text is too long", accepted());
            return None;
        }
        if text
            .chars()
            .any(|c| c.is_control() && c != '\n' && c != '\t' && c != '\r')
        {
            self.refuse("the text holds control characters", accepted());
            return None;
        }
        Some(text.to_owned()).filter(|text| !text.is_empty())
    }

    /// Whether it is not given, or a text of blanks alone.
    pub fn is_blank(&self) -> bool {
        self.value
            .is_none_or(|value| value.as_str().is_some_and(|text| text.trim().is_empty()))
    }

    /// As [`Self::text`], but it has to be there.
    pub fn required_text(self, most_chars: usize) -> Option<String> {
        if self.is_blank() {
            let accepted = format!("a text of 1 to {most_chars} characters");
            self.refuse("this field is required", accepted);
        }
        self.text(most_chars)
    }

    /// One of a list of words.
    pub fn word<T: Copy>(&self, all: &[T], word: fn(T) -> &'static str) -> Option<T> {
        let value = self.value?;
        let found = value
            .as_str()
            .and_then(|text| all.iter().find(|w| word(**w) == text));
        if found.is_none() {
            let words: Vec<&str> = all.iter().map(|w| word(*w)).collect();
            let near = value
                .as_str()
                .and_then(|text| meant(text, words.iter().copied()));
            let hint = near.map_or(String::new(), |w| format!("; did you mean `{w}`?"));
            self.refuse(
                format!("this word is not known here{hint}"),
                words.join(", "),
            );
        }
        found.copied()
    }

    /// Whether the body style has something of that name; refused if not, with
    /// the name that was likely meant.
    pub fn names_one_of(&self, what: &str, name: &str, known: &[&str]) -> bool {
        if known.contains(&name) {
            return true;
        }
        let near = meant(name, known.iter().copied());
        let hint = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        let message = format!("this body style has no {what} `{name}`{hint}");
        self.refuse(message, known.join(", "));
        false
    }

    /// A calendar day `YYYY-MM-DD`.
    pub fn date(&self) -> Option<Date> {
        let value = self.value?;
        let day = format_description!("[year]-[month]-[day]");
        let read = value.as_str().and_then(|text| Date::parse(text, &day).ok());
        let date = read.filter(|date| (1900..=2100).contains(&date.year()));
        if date.is_none() {
            self.refuse(
                "this is not a day in the years a card can name",
                "a day written 2026-03-05, years 1900 to 2100",
            );
        }
        date
    }
}

/// The known name that a name is likely a slip for: the one with the same letters
/// and digits, else the one the fewest slips away. Where two are as near, and
/// where it would be another pillar, row or side, no hint is better than a wrong
/// one.
pub(super) fn meant<'k>(given: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    let mut near: Vec<(usize, &str)> = known
        .filter(|known| tell_apart(given) == tell_apart(known))
        .filter_map(|known| Some((slips(given, known)?, known)))
        .collect();
    near.sort_unstable();
    match near.as_slice() {
        [(first, _), (second, _), ..] if first == second => None,
        [(_, name), ..] => Some(name),
        [] => None,
    }
}

/// Words of a name that tell it from its neighbours: `b` and `left` of
/// `b-pillar.left`. Nobody means another one of these by a slip.
fn tell_apart(name: &str) -> Vec<String> {
    const PLACES: [&str; 6] = ["left", "right", "front", "rear", "middle", "side"];
    let name = name.to_lowercase();
    let words = name.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|w| w.chars().count() == 1 || PLACES.contains(w))
        .map(str::to_owned)
        .collect()
}

/// How many slips a name is from a known one; `None` where it is no slip: not
/// the same letters and digits, none the start of the other, no spelling that
/// close.
fn slips(given: &str, known: &str) -> Option<usize> {
    let plain = |name: &str| -> String {
        let kept = name.chars().filter(|c| c.is_alphanumeric());
        kept.flat_map(char::to_lowercase).collect()
    };
    let (given, known) = (plain(given), plain(known));
    let starts = |a: &str, b: &str| a.len() >= 4 && b.starts_with(a);
    // A short word has many short neighbours.
    let most = if known.len() < 6 { 1 } else { 2 };
    let slips = strsim::osa_distance(&given, &known);
    let near = given == known
        || starts(&given, &known)
        || starts(&known, &given)
        || (known.len() >= 4 && slips <= most);
    near.then_some(slips)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_told_from_foreign_names() {
        for (given, known) in [
            ("status_", "status"),
            ("fromMm", "from_mm"),
            ("radius", "radius_mm"),
            ("with_in_mm", "within_mm"),
            ("observed-on", "observed_on"),
            ("spam", "span"),
        ] {
            assert!(slips(given, known).is_some(), "{given} {known}");
        }
        for (given, known) in [
            ("photos", "points"),
            ("colour", "car"),
            ("weather", "source"),
            ("look", "roof"),
        ] {
            assert!(slips(given, known).is_none(), "{given} {known}");
        }
    }

    #[test]
    fn the_nearest_name_is_meant_and_never_another_pillar_row_or_side() {
        let spans = [
            "a-pillar.left",
            "a-pillar.right",
            "b-pillar.left",
            "b-pillar.right",
            "c-pillar.left",
            "rocker.left",
            "rocker.right",
            "roof-rail.left",
            "front-header",
            "rear-header",
        ];
        let meant = |given| meant(given, spans.into_iter());
        for (given, name) in [
            ("b-pilar.left", "b-pillar.left"),
            ("b_pillar_left", "b-pillar.left"),
            ("B-Pillar.left", "b-pillar.left"),
            ("c-piller.left", "c-pillar.left"),
            ("rockr.right", "rocker.right"),
            ("rear-headr", "rear-header"),
        ] {
            assert_eq!(meant(given), Some(name), "{given}");
        }
        for given in [
            "e-pillar.left",
            "b-pillar",
            "pillar.left",
            "d-pilar.right",
            "weather",
        ] {
            assert_eq!(meant(given), None, "{given}");
        }
    }
}
