//! Reading a whole card file.

use super::finding::Ids;
use super::limits::{self, MOST_BYTES, MOST_FINDINGS};
use super::{FORMAT, annotation, finding, policy, vehicle};
use crate::contract::field_error::FieldError;
use crate::contract::json;
use crate::contract::locate::locate;
use crate::contract::path::Path;
use crate::contract::reader::{Field, Remarks};
use crate::domain::body::StyleId;
use crate::domain::card::{Card, Glass, PowerOff, PowerSource};
use crate::domain::finding::Finding;
use crate::domain::policy::Policy;
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

const DETAILS: &[&str] = &["vehicle", "measured", "identify", "power_off", "glass"];

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
    read_of_any_length(text)
}

/// The same for a file that whoever calls has bounded: with notes and findings as
/// many and as long as they may be, a card takes more than people send by hand.
pub(in crate::contract) fn read_of_any_length(text: &[u8]) -> Result<ReadCard, CardFileError> {
    let ((card, has_policy), ignored) = read_document(text, |file| {
        let has_policy = file.get("policy").is_given();
        Some((read_card(file)?, has_policy))
    })?;
    Ok(ReadCard {
        card,
        has_policy,
        ignored,
    })
}

/// Reads a card's details: a card file without findings and policy.
pub fn read_details(text: &[u8]) -> Result<ReadCard, CardFileError> {
    let (card, ignored) = read_document(text, |file| {
        if !file.object(DETAILS) {
            return None;
        }
        read_parts(file, |_| Vec::new())
    })?;
    Ok(ReadCard {
        card,
        has_policy: false,
        ignored,
    })
}

/// Reads `{"findings": […]}`, to be added to a card of a body style. An `id` or
/// a `component` that is left out stays blank: the card numbers it.
pub fn read_additions(text: &[u8], style: StyleId) -> Result<Vec<Finding>, CardFileError> {
    let (findings, _) = read_document(text, |body| {
        if !body.object(&["findings"]) {
            return None;
        }
        let list = body.get("findings").required("a list of findings");
        Some(read_findings(&list, Some(style), Ids::Optional))
    })?;
    Ok(findings)
}

/// Reads one finding of a card of a body style, its ids left to the card; every
/// invalid field is named.
pub(in crate::contract) fn read_row(
    finding: &Value,
    style: StyleId,
) -> Result<Finding, Vec<FieldError>> {
    let remarks = RefCell::new(Remarks::default());
    let read = finding::read_finding(
        &Field::document(finding, &remarks),
        Some(style),
        Ids::Optional,
    );
    let errors = remarks.into_inner().errors;
    read.filter(|_| errors.is_empty()).ok_or(errors)
}

/// Reads a whole document. Every invalid field is named, with its line.
pub(in crate::contract) fn read_document<T>(
    text: &[u8],
    read: impl FnOnce(&Field<'_>) -> Option<T>,
) -> Result<(T, Vec<FieldError>), CardFileError> {
    let document = json::parse(text).map_err(CardFileError::Syntax)?;
    let remarks = RefCell::new(Remarks::default());
    let found = read(&Field::document(&document, &remarks));
    let Remarks {
        mut errors,
        ignored,
    } = remarks.into_inner();
    match found {
        Some(found) if errors.is_empty() => Ok((found, ignored)),
        _ => {
            locate(text, &mut errors);
            Err(CardFileError::Invalid(errors))
        }
    }
}

/// Reads a card that stands in a field of another document.
pub(in crate::contract) fn read_card(file: &Field<'_>) -> Option<Card> {
    if !file.object(FIELDS) {
        return None;
    }
    let format = file.get("format").required(FORMAT);
    if format.value().is_some_and(|value| value != FORMAT) {
        format.refuse("this format is not known here", FORMAT);
    }
    let policy = policy::read_policy(&file.get("policy"));
    let card = read_parts(file, |style| {
        let list = file.get("findings");
        let list = list.required("a list, empty if there are none");
        read_findings(&list, style, Ids::Required)
    })?;
    Some(Card { policy, ..card })
}

/// What a card file and a card's details have in common.
fn read_parts(
    file: &Field<'_>,
    findings: impl FnOnce(Option<StyleId>) -> Vec<Finding>,
) -> Option<Card> {
    let vehicle = file.get("vehicle").required("an object with body_style");
    let vehicle = vehicle::read_vehicle(&vehicle);
    let style = vehicle.as_ref().map(|vehicle| vehicle.body_style);
    let power_off = file.get("power_off").items();
    let findings = findings(style);
    Some(Card {
        measured: vehicle::read_measured(&file.get("measured"), style),
        policy: Policy::default(),
        identify: file.get("identify").text(limits::TEXT),
        power_off: power_off.iter().filter_map(read_power_off).collect(),
        glass: read_glass(&file.get("glass")),
        annotations: annotation::read_annotations(&file.get("annotations"), style, &findings),
        findings,
        reviews: read_kept(&file.get("reviews")),
        review_overdue: false,
        // Last, so that every other field has been looked at for errors.
        vehicle: vehicle?,
    })
}

fn read_findings(list: &Field<'_>, style: Option<StyleId>, ids: Ids) -> Vec<Finding> {
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
        findings.extend(finding::read_finding(item, style, ids));
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
