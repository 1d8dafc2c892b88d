//! JSON answers, with the revision they show as their `ETag`.

use crate::store::Revision;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// The media type of an answer.
pub const JSON: &str = "application/json";

/// A document that belongs to no revision.
pub fn json<T: Serialize>(status: StatusCode, value: &T) -> Response {
    let text = serde_json::to_string(value).expect("answers are plain data");
    text_of(status, text)
}

/// JSON text that is written already.
pub fn text_of(status: StatusCode, text: String) -> Response {
    (status, [(header::CONTENT_TYPE, JSON)], text).into_response()
}

/// What an answer shows: a revision, and whether a review of it is overdue, which
/// comes without one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    pub revision: Revision,
    pub late: bool,
}

impl From<Revision> for Mark {
    fn from(revision: Revision) -> Self {
        Self {
            revision,
            late: false,
        }
    }
}

/// The entity tag of what is shown.
pub fn etag(mark: impl Into<Mark>) -> String {
    let Mark { revision, late } = mark.into();
    match late {
        true => format!("\"{revision}-late\""),
        false => format!("\"{revision}\""),
    }
}

/// JSON text of a revision; 304 when the asker already has it.
pub fn of_revision(
    asked: &HeaderMap,
    mark: impl Into<Mark>,
    text: impl FnOnce() -> String,
) -> Response {
    let mark = mark.into();
    if is_known(asked, mark) {
        return unchanged(mark);
    }
    with_revision(mark, text_of(StatusCode::OK, text()))
}

/// Whether the asker already has this revision (RFC 9110 section 13.1.2).
pub fn is_known(asked: &HeaderMap, mark: impl Into<Mark>) -> bool {
    let tag = etag(mark);
    asked
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(|tag| tag.trim().trim_start_matches("W/"))
        .any(|given| given == tag || given == "*")
}

/// 304: the asker has this revision.
pub fn unchanged(mark: impl Into<Mark>) -> Response {
    with_revision(mark, StatusCode::NOT_MODIFIED.into_response())
}

/// An answer that shows a revision, to be asked about before it is used again.
pub fn with_revision(mark: impl Into<Mark>, response: Response) -> Response {
    let headers = [
        (header::ETAG, etag(mark)),
        (header::CACHE_CONTROL, "private, no-cache".to_owned()),
    ];
    (headers, response).into_response()
}
