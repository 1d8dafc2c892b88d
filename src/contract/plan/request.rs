//! From texts to a plan, and what is wrong on the way as invalid fields.

use super::ask::read_ask;
use super::asked::AskFile;
use super::department::{DepartmentFile, read_settings};
use crate::contract::card_file::{CardFile, CardFileError, MOST_BYTES, read_card, read_document};
use crate::contract::field_error::FieldError;
use crate::contract::locate::locate;
use crate::contract::path::Path;
use crate::contract::zone_errors;
use crate::domain::card::Card;
use crate::domain::opening::plan::{OrderError, PlanError, Settings, plan};
use crate::domain::opening::{Ask, Contradiction, Plan, contradiction::To};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

/// A card file and what is asked about it.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlanRequestFile {
    pub card: CardFile,
    pub ask: AskFile,
    /// What a department has set; nothing if left out.
    #[schema(required = false)]
    pub department: Option<DepartmentFile>,
}

/// What is asked about a stored card.
#[derive(Debug, Serialize, ToSchema)]
pub struct AskRequestFile {
    pub ask: AskFile,
}

/// Why there is no plan, by the document at fault.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AskError {
    #[error("{} of the card's fields cannot be accepted", .0.len())]
    Card(Vec<FieldError>),
    #[error("{} answers of the ask cannot be accepted", .0.len())]
    Ask(Vec<FieldError>),
    #[error("{} of the department's fields cannot be accepted", .0.len())]
    Department(Vec<FieldError>),
}

impl AskError {
    /// The fields as a document that holds card, ask and department names them.
    pub fn fields(self) -> Vec<FieldError> {
        let (document, errors) = match self {
            Self::Card(errors) => ("card", errors),
            Self::Ask(errors) => ("ask", errors),
            Self::Department(errors) => ("department", errors),
        };
        let above = Path::document().field(document);
        let under = |error: FieldError| FieldError {
            field: error.field.under(&above),
            ..error
        };
        errors.into_iter().map(under).collect()
    }
}

/// A plan, and the fields that were passed over.
#[derive(Debug)]
pub struct Planned {
    pub plan: Plan,
    pub ignored: Vec<FieldError>,
}

/// Reads an ask that is a document of its own.
///
/// # Errors
/// Every field at fault, with its line.
pub fn ask_of_text(text: &[u8]) -> Result<Ask, CardFileError> {
    bounded(text)?;
    read_document(text, read_ask).map(|(ask, _)| ask)
}

/// Reads `{"ask": …}`.
///
/// # Errors
/// Every field at fault, with its line.
pub fn ask_of_request(text: &[u8]) -> Result<Ask, CardFileError> {
    bounded(text)?;
    let read = read_document(text, |document| {
        if !document.object(&["ask"]) {
            return None;
        }
        read_ask(
            &document
                .get("ask")
                .required("an object with seats and care"),
        )
    });
    read.map(|(ask, _)| ask)
}

/// Plans for a card and an ask that were read apart.
///
/// # Errors
/// Every field at fault, told by which of the documents it is in.
pub fn plan_of_ask(card: &Card, ask: &Ask, settings: &Settings) -> Result<Plan, AskError> {
    plan(card, ask, settings).map_err(|error| match error {
        PlanError::Zones(error) => AskError::Card(zone_errors(&error)),
        PlanError::Ask(wrong) => AskError::Ask(wrong.iter().map(answer_error).collect()),
        PlanError::Order(wrong) => AskError::Ask(wrong.iter().map(order_error).collect()),
        PlanError::Rule(kept_on) => AskError::Department(vec![FieldError::new(
            Path::document().field("rules_off"),
            kept_on.to_string(),
            "ids of rules that can be switched off",
            None,
        )]),
    })
}

/// Plans for `{"card": …, "ask": …}`.
///
/// # Errors
/// Every field at fault, with its line.
pub fn plan_of_text(text: &[u8]) -> Result<Planned, CardFileError> {
    bounded(text)?;
    let ((card, ask, settings), ignored) = read_document(text, |document| {
        if !document.object(&["card", "ask", "department"]) {
            return None;
        }
        let card = document.get("card").required("a card file");
        let card = card.is_given().then(|| read_card(&card)).flatten();
        let ask = document
            .get("ask")
            .required("an object with seats and care");
        let ask = ask.is_given().then(|| read_ask(&ask)).flatten();
        let settings = read_settings(&document.get("department"));
        Some((card?, ask?, settings))
    })?;
    let plan = plan_of_ask(&card, &ask, &settings).map_err(|error| {
        let mut errors = error.fields();
        locate(text, &mut errors);
        CardFileError::Invalid(errors)
    })?;
    Ok(Planned { plan, ignored })
}

fn bounded(text: &[u8]) -> Result<(), CardFileError> {
    if text.len() > MOST_BYTES {
        return Err(CardFileError::TooLarge { bytes: text.len() });
    }
    Ok(())
}

fn answer_error(wrong: &Contradiction) -> FieldError {
    let step = |path: Path, to: To| match to {
        To::Field(name) => path.field(&name),
        To::Item(index) => path.item(index),
    };
    let path = wrong.field().into_iter().fold(Path::document(), step);
    let given = match wrong {
        Contradiction::UnknownSeat { seat, .. } | Contradiction::SeatTwice { seat, .. } => {
            Some(Value::from(seat.as_str()))
        }
        Contradiction::UnknownSpan { span, .. } => Some(Value::from(span.as_str())),
        Contradiction::LookOffSpan { station_mm, .. } => Some(Value::from(*station_mm)),
        Contradiction::LookEnds { to_mm, .. } => Some(Value::from(*to_mm)),
        _ => None,
    };
    FieldError::new(path, wrong.to_string(), wrong.accepted(), given.as_ref())
}

fn order_error(wrong: &OrderError) -> FieldError {
    let order = Path::document().field("order");
    let (path, given) = match wrong {
        OrderError::NotOffered(id) => (order.field("opening"), Some(Value::from(id.as_str()))),
        OrderError::Unknown(id) | OrderError::Twice(id) => {
            (order.field("steps"), Some(Value::from(id.as_str())))
        }
        OrderError::Missing(_) => (order.field("steps"), None),
    };
    let accepted = "an opening of this plan, its side, and each of its steps' ids once";
    FieldError::new(path, wrong.to_string(), accepted, given.as_ref())
}
