//! A change of where a finding stands: `{"status": "withdrawn", "reason": "…"}`.

use super::card_file::{CardFileError, read_document};
use super::words::word_schema;
use crate::domain::finding::Status;
use serde::Serialize;
use utoipa::ToSchema;

/// Where a finding shall stand, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatusChangeFile {
    #[schema(schema_with = word_schema::<Status>)]
    pub status: Status,
    /// Required for `withdrawn` and `declined`.
    pub reason: Option<String>,
}

/// Reads a change of status.
///
/// # Errors
/// Every field that cannot be accepted.
pub fn read_status_change(text: &[u8]) -> Result<StatusChangeFile, CardFileError> {
    let (change, _) = read_document(text, |body| {
        if !body.object(&["status", "reason"]) {
            return None;
        }
        let asked = [Status::Accepted, Status::Declined, Status::Withdrawn];
        let status = body.get("status").required("accepted, declined, withdrawn");
        let status = status.word(&asked, Status::word);
        let reason = body.get("reason");
        let reason = match status {
            Some(Status::Declined | Status::Withdrawn) => reason.required_text(4_000),
            _ => reason.text(4_000),
        };
        Some(StatusChangeFile {
            status: status?,
            reason,
        })
    })?;
    Ok(change)
}
