//! What went wrong, as `application/problem+json` (RFC 9457), with every
//! invalid field named.

use super::card_file::CardFileError;
use super::field_error::FieldError;
use serde::Serialize;
use utoipa::ToSchema;

/// The media type of a problem.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// A problem. Its kind is told by `status`, so `type` stays `about:blank`.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Problem {
    #[serde(rename = "type")]
    #[schema(example = "about:blank")]
    pub kind: &'static str,
    /// The kind of problem in a few words.
    pub title: String,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599)]
    pub status: u16,
    /// What went wrong this time.
    pub detail: String,
    /// Every invalid field.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub errors: Vec<FieldError>,
    /// For a stale write: the revision it was based on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected_revision: Option<i64>,
    /// For a stale write: the revision now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current_revision: Option<i64>,
    /// For a stale write: what was sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yours: Option<serde_json::Value>,
    /// For a stale write: what is stored now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current: Option<serde_json::Value>,
}

impl Problem {
    pub fn new(status: u16, title: &str, detail: impl Into<String>) -> Self {
        Self {
            kind: "about:blank",
            title: title.to_owned(),
            status,
            detail: detail.into(),
            errors: Vec::new(),
            expected_revision: None,
            current_revision: None,
            yours: None,
            current: None,
        }
    }

    /// Fields that were read and cannot be accepted: 422.
    pub fn invalid(errors: Vec<FieldError>) -> Self {
        let count = errors.len();
        let fields = if count == 1 {
            "One field"
        } else {
            "Several fields"
        };
        let detail = format!("{fields} cannot be accepted; nothing was changed.");
        Self {
            errors,
            ..Self::new(422, "Unprocessable Content", detail)
        }
    }

    /// The document on one line.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).expect("a problem is plain data")
    }
}

impl From<&CardFileError> for Problem {
    fn from(error: &CardFileError) -> Self {
        let errors = error.fields();
        match error {
            CardFileError::TooLarge { .. } => Self {
                errors,
                ..Self::new(413, "Content Too Large", error.to_string())
            },
            CardFileError::Syntax(_) => Self {
                errors,
                ..Self::new(400, "Bad Request", error.to_string())
            },
            CardFileError::Invalid(_) => Self::invalid(errors),
        }
    }
}
