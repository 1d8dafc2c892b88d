//! An ask from options: they make the same document that the API takes, so that
//! it is read, and refused, by the same code.

use super::input::{self, Refused};
use super::variant::VariantArgs;
use crate::contract::card_file::CardFileError;
use crate::contract::plan::ask_of_text;
use crate::domain::opening::Ask;
use crate::domain::vehicle::Variant;
use clap::Args;
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// What is asked; options count over the file's answers.
#[derive(Debug, Args)]
pub struct AskArgs {
    /// The ask as a document
    #[arg(long, value_name = "ASK.json")]
    ask: Option<PathBuf>,
    /// Seat of the patient, for example front-left; may be repeated
    #[arg(long)]
    seat: Vec<String>,
    /// own-way-out, gentle, now
    #[arg(long)]
    care: Option<String>,
    /// not, by-space, pinned
    #[arg(long)]
    trapped: Option<String>,
    /// What touches or holds the patient: side, door, dash …; may be repeated
    #[arg(long)]
    contact: Vec<String>,
    /// Whether a flat hand passes between patient and door: yes, no, unknown
    #[arg(long)]
    hand_passes: Option<String>,
    /// What the car lies on: wheels, left, right, roof
    #[arg(long)]
    resting: Option<String>,
    /// From where a crew can work: left, right, front, rear; may be repeated
    #[arg(long)]
    reach: Vec<String>,
    /// BAG=no|once|unknown; may be repeated
    #[arg(long, value_name = "BAG=STATE")]
    fired: Vec<String>,
    /// SOURCE=yes[@TIME]|no|unknown|not-fitted, for example
    /// 12v-main=yes@2026-03-05T10:02:00Z; may be repeated
    #[arg(long, value_name = "SOURCE=STATE")]
    isolation: Vec<String>,
    #[command(flatten)]
    variant: VariantArgs,
    /// NAME[:KIND][,force=KN][,blade=MM], for example big:cutter,force=500,blade=35;
    /// may be repeated
    #[arg(long, value_name = "TOOL")]
    tool: Vec<String>,
    /// Trim taken off on this car: SPAN:FROM-TO=bare|KIND, for example
    /// b-pillar.left:380-520=bare; may be repeated
    #[arg(long, value_name = "LOOK")]
    look: Vec<String>,
    /// The time now, for the hold time, as in RFC 3339
    #[arg(long, value_name = "TIME")]
    now: Option<String>,
}

impl AskArgs {
    /// Reads the ask.
    ///
    /// # Errors
    /// Every answer that cannot be accepted.
    pub fn read(&self) -> Result<Ask, Refused> {
        let file = self.ask.as_deref().map(input::read).transpose()?;
        let options = self.document();
        let refused = |error| Refused::invalid(&self.name(), error);
        if let (Some(text), true) = (&file, options.is_empty()) {
            return ask_of_text(text).map_err(refused);
        }
        let mut answers = match &file {
            // A file that is no object is refused as it stands.
            Some(text) => match serde_json::from_slice::<Value>(text) {
                Ok(Value::Object(answers)) => answers,
                _ => return ask_of_text(text).map_err(refused),
            },
            None => Map::new(),
        };
        answers.extend(options);
        let text = Value::Object(answers).to_string();
        // The lines of a document made of options mean nothing to anybody.
        ask_of_text(text.as_bytes()).map_err(|error| refused(without_lines(error)))
    }

    /// What the answers came from, for messages.
    pub fn name(&self) -> PathBuf {
        self.ask.clone().unwrap_or_else(|| PathBuf::from("ask"))
    }

    fn document(&self) -> Map<String, Value> {
        let mut answers = Map::new();
        let mut put = |name: &str, value: Value| {
            let given = match &value {
                Value::Null => false,
                Value::Array(items) => !items.is_empty(),
                Value::Object(fields) => !fields.is_empty(),
                _ => true,
            };
            if given {
                answers.insert(name.to_owned(), value);
            }
        };
        put("seats", json!(self.seat));
        put("care", json!(self.care));
        put("trapped", json!(self.trapped));
        put("contact", json!(self.contact));
        put("hand_passes", json!(self.hand_passes));
        put("resting", json!(self.resting));
        put("reach", json!(self.reach));
        put("fired", pairs(&self.fired, |state| json!(state)));
        put("isolation", pairs(&self.isolation, isolation));
        put("variant", variant(&Variant::from(&self.variant)));
        put("tools", self.tool.iter().map(|t| tool(t)).collect());
        put("looks", self.look.iter().map(|l| look(l)).collect());
        put("now", json!(self.now));
        answers
    }
}

fn without_lines(error: CardFileError) -> CardFileError {
    match error {
        CardFileError::Invalid(mut errors) => {
            for error in &mut errors {
                (error.line, error.column) = (None, None);
            }
            CardFileError::Invalid(errors)
        }
        other => other,
    }
}

/// `NAME=VALUE` each; without `=` the value is null, which the reader refuses.
fn pairs(given: &[String], value: impl Fn(&str) -> Value) -> Value {
    let pair = |text: &String| match text.split_once('=') {
        Some((name, text)) => (name.to_owned(), value(text)),
        None => (text.clone(), json!("")),
    };
    Value::Object(given.iter().map(pair).collect())
}

fn isolation(text: &str) -> Value {
    let (state, at) = match text.split_once('@') {
        Some((state, at)) => (state, Some(at)),
        None => (text, None),
    };
    json!({ "state": state, "at": at })
}

fn variant(variant: &Variant) -> Value {
    let mut fields = Map::new();
    let mut put = |name: &str, value: Value| {
        if !value.is_null() {
            fields.insert(name.to_owned(), value);
        }
    };
    put("year", json!(variant.year));
    put("drive", json!(variant.drive));
    put("wheel", json!(variant.wheel));
    put("roof", json!(variant.roof));
    put("region", json!(variant.region));
    Value::Object(fields)
}

/// A number where it reads as one, else the text, which the reader refuses.
fn number(text: &str) -> Value {
    text.parse::<f64>()
        .map_or_else(|_| json!(text), |n| json!(n))
}

fn tool(text: &str) -> Value {
    let mut parts = text.split(',');
    let named = parts.next().unwrap_or_default();
    let (name, kind) = match named.split_once(':') {
        Some((name, kind)) => (name, Some(kind)),
        None => (named, None),
    };
    let mut fields = Map::new();
    fields.insert("name".to_owned(), json!(name));
    fields.insert("kind".to_owned(), json!(kind));
    for part in parts {
        let (figure, value) = part.split_once('=').unwrap_or((part, ""));
        let field = match figure {
            "force" => "force_kn",
            "blade" => "blade_half_width_mm",
            other => other,
        };
        fields.insert(field.to_owned(), number(value));
    }
    Value::Object(fields)
}

fn look(text: &str) -> Value {
    let (place, found) = text.split_once('=').unwrap_or((text, ""));
    let (span, stations) = place.rsplit_once(':').unwrap_or((place, ""));
    let (from, to) = stations.split_once('-').unwrap_or((stations, ""));
    json!({ "span": span, "from_mm": number(from), "to_mm": number(to), "found": found })
}
