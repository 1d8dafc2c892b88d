//! What is wrong with a field, in the one shape that files, the API and the
//! command line share.

use super::path::Path;
use serde::{Serialize, Serializer};
use serde_json::Value;
use std::fmt;
use utoipa::ToSchema;

/// Longest value that is given back whole, in characters.
const GIVEN_CHARS: usize = 80;

/// One invalid field.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FieldError {
    /// Where it stands, for example `findings[3].place.from_mm`; empty for the
    /// whole document.
    #[serde(serialize_with = "as_text")]
    #[schema(value_type = String, example = "findings[3].place.from_mm")]
    pub field: Path,
    /// What is wrong, for people.
    pub message: String,
    /// What would be accepted.
    pub accepted: String,
    /// The value given, shortened when long; null when nothing was given.
    pub given: Value,
    /// Line in the document, from 1, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Column in that line, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<usize>,
}

impl FieldError {
    pub fn new(
        field: Path,
        message: impl Into<String>,
        accepted: impl Into<String>,
        given: Option<&Value>,
    ) -> Self {
        Self {
            field,
            message: message.into(),
            accepted: accepted.into(),
            given: given.map_or(Value::Null, shortened),
            line: None,
            column: None,
        }
    }
}

impl fmt::Display for FieldError {
    /// One line for the command line: place, field, message, accepted, given.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}")?;
            if let Some(column) = self.column {
                write!(f, ", column {column}")?;
            }
            f.write_str(": ")?;
        }
        let field = self.field.to_string();
        if !field.is_empty() {
            write!(f, "{field}: ")?;
        }
        f.write_str(&self.message)?;
        if !self.accepted.is_empty() {
            write!(f, "; accepted: {}", self.accepted)?;
        }
        if !self.given.is_null() {
            write!(f, "; given: {}", self.given)?;
        }
        Ok(())
    }
}

fn as_text<S: Serializer>(path: &Path, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(path)
}

/// Short values as they came; long ones as the start of their text.
fn shortened(value: &Value) -> Value {
    let text = match value {
        Value::Null | Value::Bool(_) | Value::Number(_) => return value.clone(),
        Value::String(text) => text.clone(),
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(fields) => format!("an object of {}", fields.len()),
    };
    if text.chars().count() <= GIVEN_CHARS {
        return Value::String(text);
    }
    let start: String = text.chars().take(GIVEN_CHARS).collect();
    Value::String(start + "…")
}
