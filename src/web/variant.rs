//! The variant of the car that a page is asked for: `?year=2021&drive=battery`.
//! The same words and checks as the API and the command line; what is left out
//! falls back to the card's own vehicle, and what is unknown stays unknown.

use super::error::AppError;
use super::form::Field;
use super::reading::Reading;
use super::say;
use crate::contract::FieldError;
use crate::contract::variant::{query_of_variant, variant_of_query};
use crate::domain::vehicle::{Variant, Vehicle};
use axum::extract::Query;

/// Name and value pairs of an address's query.
pub type Pairs = Query<Vec<(String, String)>>;

/// Fields of the form, in its order.
const FIELDS: [&str; 5] = ["year", "drive", "wheel", "roof", "region"];

/// Which variant a page shows, in words, and the way back to the card's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// `?year=2021` for links without a query of their own; empty for the card's own.
    pub asked: String,
    /// `&year=2021` for those with one.
    pub also: String,
    /// The variant asked for, in words; `None` for the card's own.
    pub said: Option<String>,
    /// The card's own in words.
    pub own: String,
    /// What to doubt about it.
    pub doubts: Vec<String>,
    /// The same page for the card's own car.
    pub back: String,
    /// What the back link leads to.
    pub back_name: &'static str,
}

/// The form that asks for a variant.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct VariantForm {
    pub year: Field,
    pub drive: Field,
    pub wheel: Field,
    pub roof: Field,
    pub region: Field,
}

/// Reads the variant of a query; space around a value does not count.
///
/// # Errors
/// Every field that cannot be accepted.
pub fn variant_of(pairs: &[(String, String)]) -> Result<Variant, Vec<FieldError>> {
    let trimmed = pairs.iter().map(|(n, v)| (n.clone(), v.trim().to_owned()));
    variant_of_query(&trimmed.collect::<Vec<_>>())
}

/// The same for a page that has no form to show again.
///
/// # Errors
/// [`AppError::BadRequest`], naming every field.
pub fn asked_variant(pairs: &[(String, String)]) -> Result<Variant, AppError> {
    variant_of(pairs).map_err(|errors| cannot_read(&errors))
}

/// A query that cannot be read, with every field at fault.
pub fn cannot_read(errors: &[FieldError]) -> AppError {
    let said = errors.iter().map(|e| format!("{}: {}", e.field, said(e)));
    AppError::BadRequest(format!("{}.", said.collect::<Vec<_>>().join("; ")))
}

/// The value a query gives a field; of a repeated one the last counts.
pub fn value_of<'a>(pairs: &'a [(String, String)], name: &str) -> Option<&'a str> {
    let given = pairs.iter().rev().find(|(n, _)| n == name);
    given.map(|(_, value)| value.as_str())
}

fn said(error: &FieldError) -> String {
    if error.accepted.is_empty() {
        error.message.clone()
    } else {
        format!("{}; accepted: {}", error.message, error.accepted)
    }
}

impl Shown {
    /// For a page at `below` the card's main page.
    pub fn of(reading: &Reading, below: &str) -> Self {
        let query = query_of_variant(&reading.variant);
        let before = |sign: &str| match query.as_str() {
            "" => String::new(),
            query => format!("{sign}{query}"),
        };
        Self {
            asked: before("?"),
            also: before("&"),
            said: reading.said_variant.clone(),
            own: own(&reading.card.vehicle),
            doubts: doubts(reading),
            back: format!("{}{below}", reading.subject.href()),
            back_name: if reading.is_generic() {
                "Back to any car of this body style"
            } else {
                "Back to the card’s own car"
            },
        }
    }
}

/// The card's own car: its years and variant, the unknown named.
fn own(vehicle: &Vehicle) -> String {
    let years = vehicle.years.map_or("years unknown".to_owned(), say::years);
    let mut facts = vec![years];
    facts.extend(say::variant_facts(vehicle).into_iter().skip(1));
    facts.join(", ")
}

/// Where the variant asked for is not the car this card was made of.
fn doubts(reading: &Reading) -> Vec<String> {
    let (own, asked) = (&reading.card.vehicle, &reading.variant);
    let mut doubts = Vec::new();
    if let (Some(year), Some(years)) = (asked.year, own.years)
        && !years.contains(year)
    {
        let years = say::years(years);
        doubts.push(format!(
            "{year} is outside this card’s years, {years}: nobody has said that it is the same car."
        ));
    }
    let differs = |a: Option<&str>, b: Option<&str>| a.is_some() && b.is_some() && a != b;
    let fields = [
        (
            "drive",
            own.drive.map(|v| v.word()),
            asked.drive.map(|v| v.word()),
        ),
        (
            "wheel side",
            own.wheel.map(|v| v.word()),
            asked.wheel.map(|v| v.word()),
        ),
        (
            "roof",
            own.roof.map(|v| v.word()),
            asked.roof.map(|v| v.word()),
        ),
        ("region", own.region.as_deref(), asked.region.as_deref()),
    ];
    let other = fields.into_iter().filter(|(_, a, b)| differs(*a, *b));
    let other: Vec<String> = other.map(|(name, ..)| name.to_owned()).collect();
    if !other.is_empty() {
        let other = say::list(&other);
        doubts.push(format!(
            "This card was made of a car of another {other}: parts may sit elsewhere."
        ));
    }
    doubts
}

impl VariantForm {
    /// As asked for, with what is wrong beside each field.
    pub fn of(pairs: &[(String, String)], errors: &[FieldError]) -> Self {
        let [year, drive, wheel, roof, region] = FIELDS.map(|name| {
            let field = Field::new(name, value_of(pairs, name).unwrap_or_default());
            match errors.iter().find(|e| e.field.to_string() == name) {
                Some(error) => field.wrong(said(error)),
                None => field,
            }
        });
        Self {
            year,
            drive,
            wheel,
            roof,
            region,
        }
    }

    /// The fields at fault, each naming itself.
    pub fn at_fault(&self) -> Vec<Field> {
        let all = [
            &self.year,
            &self.drive,
            &self.wheel,
            &self.roof,
            &self.region,
        ];
        let wrong = all.into_iter().filter_map(|field| {
            let error = field.error.as_ref()?;
            let said = format!("{}: {error}", say::sentence(&field.name));
            Some(field.clone().wrong(said))
        });
        wrong.collect()
    }
}
