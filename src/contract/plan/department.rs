//! What a department has set for its plans: openings of its own in the form of
//! the catalogue, and rules it has switched off. Every fault with its line.

use crate::contract::card_file::{CardFileError, read_document};
use crate::contract::path::Path;
use crate::contract::reader::Field;
use crate::domain::opening::check::{Key, check_own};
use crate::domain::opening::order;
use crate::domain::opening::plan::Settings;
use crate::domain::opening::template::Opening;
use serde::Serialize;
use serde::de::IntoDeserializer;
use serde_json::Value;
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Openings a department may have of its own.
const MOST_OPENINGS: usize = 50;
/// Characters of a rule's id.
const RULE: usize = 80;

/// A department's settings as a document.
#[derive(Debug, Serialize, ToSchema)]
pub struct DepartmentFile {
    /// Openings in the form of the catalogue.
    #[schema(required = false, value_type = Vec<Object>)]
    pub openings: Vec<Value>,
    /// Ids of order rules that are switched off.
    #[schema(required = false)]
    pub rules_off: Vec<String>,
}

impl DepartmentFile {
    pub fn new(openings: &[Opening], rules_off: &BTreeSet<String>) -> Self {
        let value = |opening| serde_json::to_value(opening).expect("an opening is plain data");
        Self {
            openings: openings.iter().map(value).collect(),
            rules_off: rules_off.iter().cloned().collect(),
        }
    }
}

/// Reads a department's settings from a document of their own.
///
/// # Errors
/// Every field at fault, with its line.
pub fn settings_of_text(text: &[u8]) -> Result<Settings, CardFileError> {
    read_document(text, |document| Some(read_settings(document))).map(|(settings, _)| settings)
}

/// Reads a department's settings; nothing set if not given.
pub(super) fn read_settings(department: &Field<'_>) -> Settings {
    if !department.is_given() || !department.object(&["openings", "rules_off"]) {
        return Settings::default();
    }
    Settings {
        own_openings: read_openings(&department.get("openings")),
        rules_off: read_rules(&department.get("rules_off")),
    }
}

fn read_openings(list: &Field<'_>) -> Vec<Opening> {
    let items = list.items();
    if items.len() > MOST_OPENINGS {
        let accepted = format!("at most {MOST_OPENINGS} openings of a department's own");
        list.refuse(format!("{} openings are too many", items.len()), accepted);
        return Vec::new();
    }
    let openings: Vec<Opening> = items.iter().filter_map(read_opening).collect();
    // Faults are counted from the list, so all of it has to have been read.
    if openings.len() == items.len() {
        for fault in check_own(&openings) {
            let at = fault
                .path
                .iter()
                .fold(list.clone(), |field, key| match key {
                    Key::Field(name) => field.get(name),
                    Key::Item(index) => field.item(*index),
                });
            at.refuse(fault.to_string(), fault.wrong.accepted());
        }
    }
    openings
}

/// One opening; a value of the wrong shape is refused where it stands.
fn read_opening(item: &Field<'_>) -> Option<Opening> {
    let value = item.value().cloned().unwrap_or(Value::Null);
    let read: Result<Opening, _> = serde_path_to_error::deserialize(value.into_deserializer());
    read.map_err(|error| {
        let path = Path::from(error.path());
        let accepted = "an opening in the form of the catalogue";
        item.below(&path)
            .refuse(error.inner().to_string(), accepted);
    })
    .ok()
}

fn read_rules(list: &Field<'_>) -> BTreeSet<String> {
    let mut off = BTreeSet::new();
    for item in list.items() {
        let Some(id) = item.text(RULE) else { continue };
        let switchable = || order::all().iter().filter(|r| r.switchable);
        if switchable().any(|r| r.id == id) {
            off.insert(id);
        } else {
            let known: Vec<&str> = switchable().map(|r| r.id.as_str()).collect();
            item.refuse(
                format!("there is no rule `{id}` that can be switched off"),
                known.join(", "),
            );
        }
    }
    off
}
