//! Reading a whole card file.

use super::limits::{self, MOST_BYTES, MOST_FINDINGS};
use super::{FORMAT, finding, policy, vehicle};
use crate::contract::field_error::FieldError;
use crate::contract::json;
use crate::contract::locate::locate;
use crate::contract::path::Path;
use crate::contract::reader::{Field, Remarks};
use crate::domain::card::{Card, Glass, PowerOff, PowerSource};
use serde_json::Value;
use std::cell::RefCell;
use std::collections::{BTreeMap, HashMap};

const FIELDS: &[&str] = &[
    "format",
    "vehicle",
    "measured",
    "policy",
    "findings",
    "identify",
    "power_off",
    "glass",
    "annotations",
    "reviews",
];

/// A card that was read.
#[derive(Debug)]
pub struct ReadCard {
    pub card: Card,
    /// Whether the file brought a policy of its own.
    pub has_policy: bool,
    /// Fields that are not part of the format and were passed over.
    pub ignored: Vec<FieldError>,
}

/// Why a file is no card.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CardFileError {
    #[error("the file has {bytes} bytes; accepted: at most {MOST_BYTES} bytes (2 MiB)")]
    TooLarge { bytes: usize },
    #[error("{0}")]
    Syntax(Box<FieldError>),
    #[error("{} of the file's fields cannot be accepted", .0.len())]
    Invalid(Vec<FieldError>),
}

impl CardFileError {
    /// Every field that is wrong.
    pub fn fields(&self) -> Vec<FieldError> {
        match self {
            Self::TooLarge { bytes } => vec![FieldError::new(
                Path::document(),
                "the file is too large",
                format!("at most {MOST_BYTES} bytes (2 MiB)"),
                Some(&Value::from(*bytes)),
            )],
            Self::Syntax(error) => vec![(**error).clone()],
            Self::Invalid(errors) => errors.clone(),
        }
    }
}

/// Reads a card file. Every invalid field is named, with its line.
pub fn read(text: &[u8]) -> Result<ReadCard, CardFileError> {
    if text.len() > MOST_BYTES {
        return Err(CardFileError::TooLarge { bytes: text.len() });
    }
    let document = json::parse(text).map_err(CardFileError::Syntax)?;
    read_value(&document).map_err(|mut errors| {
        locate(text, &mut errors);
        CardFileError::Invalid(errors)
    })
}

fn read_value(document: &Value) -> Result<ReadCard, Vec<FieldError>> {
    let remarks = RefCell::new(Remarks::default());
    let file = Field::document(document, &remarks);
    let card = read_card(&file);
    let has_policy = file.get("policy").is_given();
    drop(file);
    let remarks = remarks.into_inner();
    match card {
        Some(card) if remarks.errors.is_empty() => Ok(ReadCard {
            card,
            has_policy,
            ignored: remarks.ignored,
        }),
        _ => Err(remarks.errors),
    }
}

fn read_card(file: &Field<'_>) -> Option<Card> {
    if !file.object(FIELDS) {
        return None;
    }
    let format = file.get("format").required(FORMAT);
    if format.value().is_some_and(|value| value != FORMAT) {
        format.refuse("this format is not known here", FORMAT);
    }
    let vehicle = vehicle::read_vehicle(&file.get("vehicle").required("an object with body_style"));
    let style = vehicle.as_ref().map(|vehicle| vehicle.body_style);
    let measured = vehicle::read_measured(&file.get("measured"), style);
    let policy = policy::read_policy(&file.get("policy"));
    let findings = read_findings(
        &file
            .get("findings")
            .required("a list, empty if there are none"),
        style,
    );
    Some(Card {
        vehicle: vehicle?,
        measured,
        policy,
        findings,
        identify: file.get("identify").text(limits::TEXT),
        power_off: file
            .get("power_off")
            .items()
            .iter()
            .filter_map(read_power_off)
            .collect(),
        glass: read_glass(&file.get("glass")),
        annotations: read_kept(&file.get("annotations")),
        reviews: read_kept(&file.get("reviews")),
    })
}

fn read_findings(
    list: &Field<'_>,
    style: Option<crate::domain::body::StyleId>,
) -> Vec<crate::domain::finding::Finding> {
    let items = list.items();
    if items.len() > MOST_FINDINGS {
        let accepted = format!("at most {MOST_FINDINGS} findings on one card");
        list.refuse(format!("{} findings are too many", items.len()), accepted);
        return Vec::new();
    }
    let mut first_with_id: HashMap<String, usize> = HashMap::new();
    let mut findings = Vec::with_capacity(items.len());
    for (index, item) in items.iter().enumerate() {
        let id = item.get("id");
        if let Some(text) = id.value().and_then(Value::as_str).map(str::trim)
            && let Some(first) = first_with_id.insert(text.to_owned(), index)
        {
            let message = format!("this id is already that of findings[{first}]");
            id.refuse(message, "an id that no other finding on the card has");
        }
        findings.extend(finding::read_finding(item, style));
    }
    findings
}

fn read_power_off(item: &Field<'_>) -> Option<PowerOff> {
    let item = item.clone().required("an object with what, where, how");
    if !item.object(&["what", "where", "how"]) {
        return None;
    }
    let what = item.get("what").required("what is switched off");
    let what = what.word(PowerSource::ALL, PowerSource::word);
    let where_ = item.get("where").required_text(limits::TEXT);
    let how = item.get("how").required_text(limits::TEXT);
    Some(PowerOff {
        what: what?,
        where_: where_?,
        how: how?,
    })
}

fn read_glass(panes: &Field<'_>) -> BTreeMap<String, Glass> {
    let read = |(name, pane): (&str, Field<'_>)| {
        Some((name.to_owned(), pane.word(Glass::ALL, Glass::word)?))
    };
    panes.entries().into_iter().filter_map(read).collect()
}

/// Items that are kept as they came.
fn read_kept(list: &Field<'_>) -> Vec<Value> {
    list.items()
        .iter()
        .filter_map(|item| item.value().cloned())
        .collect()
}
