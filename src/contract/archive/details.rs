//! The parts of a card's details that are not the same in an archive, and a card
//! with some of them as the archive has them.

use crate::contract::card_file::CardDetailsFile;
use crate::domain::card::Card;
use crate::domain::vehicle::words;
use serde_json::Value;
use std::collections::BTreeMap;

words! {
    /// A part of a card's details that is taken over as a whole.
    Part {
        Vehicle = "vehicle", Measured = "measured", Identify = "identify",
        PowerOff = "power_off", Glass = "glass",
    }
}

impl Part {
    /// As a person calls it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Vehicle => "the vehicle",
            Self::Measured => "measurements",
            Self::Identify => "how to tell it",
            Self::PowerOff => "power off",
            Self::Glass => "glass",
        }
    }

    /// Whether two cards differ in it.
    fn differs(self, here: &Card, there: &Card) -> bool {
        match self {
            Self::Vehicle => here.vehicle != there.vehicle,
            Self::Measured => here.measured != there.measured,
            Self::Identify => here.identify != there.identify,
            Self::PowerOff => here.power_off != there.power_off,
            Self::Glass => here.glass != there.glass,
        }
    }

    /// The parts in which two cards differ.
    pub(super) fn between(here: &Card, there: &Card) -> Vec<Self> {
        let all = Self::ALL.iter().copied();
        all.filter(|part| part.differs(here, there)).collect()
    }

    /// Where they differ in it, field by field of the card file: what it has here,
    /// what it has there; blank where it has none.
    pub fn differences(self, here: &Card, there: &Card) -> Vec<(String, String, String)> {
        let fields = |card: &Card| {
            let details = serde_json::to_value(CardDetailsFile::from(card));
            let details = details.expect("details are plain data");
            let mut fields = BTreeMap::new();
            let path = match self {
                Self::Identify => "what it says",
                _ => self.word(),
            };
            spread(path, &details[self.word()], &mut fields);
            fields
        };
        beside(fields(here), fields(there))
    }

    /// Puts the part into a card as another has it.
    pub fn put(self, card: &mut Card, there: &Card) {
        match self {
            Self::Vehicle => card.vehicle = there.vehicle.clone(),
            Self::Measured => card.measured = there.measured.clone(),
            Self::Identify => card.identify.clone_from(&there.identify),
            Self::PowerOff => card.power_off.clone_from(&there.power_off),
            Self::Glass => card.glass.clone_from(&there.glass),
        }
    }
}

/// Fields that are not the same: their path, here, there; blank where there is none.
pub(super) fn beside(
    here: BTreeMap<String, String>,
    mut there: BTreeMap<String, String>,
) -> Vec<(String, String, String)> {
    let mut all: Vec<(String, String, String)> = here
        .into_iter()
        .map(|(name, here)| {
            let there = there.remove(&name).unwrap_or_default();
            (name, here, there)
        })
        .collect();
    let only_there = there
        .into_iter()
        .map(|(name, there)| (name, String::new(), there));
    all.extend(only_there);
    all.retain(|(_, here, there)| here != there);
    all
}

/// Every field of a value by its path, those that hold nothing left out.
pub(super) fn spread(path: &str, value: &Value, fields: &mut BTreeMap<String, String>) {
    match value {
        Value::Null => {}
        Value::Object(object) => {
            for (name, value) in object {
                let inner = match path {
                    "" | "vehicle" | "measured" | "glass" => name.replace('_', " "),
                    outer => format!("{outer} {}", name.replace('_', " ")),
                };
                spread(&inner, value, fields);
            }
        }
        Value::Array(items) if items.iter().any(Value::is_object) => {
            for (index, item) in items.iter().enumerate() {
                let inner = format!("{} {}", path.replace('_', " "), index + 1);
                spread(&inner, item, fields);
            }
        }
        Value::Array(items) if items.is_empty() => {}
        other => drop(fields.insert(path.to_owned(), said(other))),
    }
}

/// A value as people write it: whole figures without a point.
fn said(value: &Value) -> String {
    match value {
        Value::Null => "–".to_owned(),
        Value::String(text) => text.clone(),
        Value::Number(number) => {
            let figure = number.to_string();
            figure.strip_suffix(".0").unwrap_or(&figure).to_owned()
        }
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(said).collect();
            items.join(", ")
        }
        other => other.to_string(),
    }
}
