//! What can go wrong for a request, and the one page that says so.
//!
//! Inner text is logged once at the boundary and never sent. An invalid form is
//! no [`AppError`]: it is shown again with 422 and what was typed.

use crate::store::{PhotoFilesError, StoreError};
use askama::Template;
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};

/// Why a handler could not answer.
#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// Nothing at this address; names what was looked for, for example "card".
    #[error("no such {0}")]
    NotFound(&'static str),
    /// The address or query cannot be read; says what would be.
    #[error("{0}")]
    BadRequest(String),
    /// Only for who is signed in, and nobody is.
    #[error("sign in first")]
    SignIn,
    /// A program's key that opens nothing.
    #[error("this key is unknown, ended or too old; a keeper makes a new one")]
    BadKey,
    /// Who is signed in has none of the roles it takes.
    #[error("this takes {0}")]
    Takes(&'static str),
    /// Too many failed sign-ins; says how long to wait.
    #[error("wait {0} seconds")]
    Wait(u64),
    /// Refused because of where the request came from.
    #[error("{0}")]
    Refused(&'static str),
    /// More was sent than is taken; says how much is.
    #[error("{0}")]
    TooLarge(String),
    /// The place of photos could not answer.
    #[error("photos failed")]
    Photos(#[from] PhotoFilesError),
    /// The card's zones cannot be worked out; says why in words for people.
    #[error("{0}")]
    CannotCompute(String),
    /// The store could not answer.
    #[error("the store failed")]
    Store(#[from] StoreError),
    /// Anything else; the text is for the log.
    #[error("internal failure")]
    Internal(#[source] Box<dyn std::error::Error + Send + Sync>),
}

/// What the boundary shows and logs of an error. Rides on the response.
#[derive(Debug, Clone)]
pub struct ErrorNote {
    /// One sentence for the person.
    pub text: String,
    /// For the log only.
    pub internal: Option<String>,
}

/// The page of every error.
#[derive(Template)]
#[template(path = "error/error.html")]
pub struct ErrorPage<'a> {
    pub status: u16,
    pub heading: &'a str,
    pub text: &'a str,
    pub request_id: &'a str,
}

impl AppError {
    /// The status that stands for it.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::SignIn | Self::BadKey => StatusCode::UNAUTHORIZED,
            Self::Wait(_) => StatusCode::TOO_MANY_REQUESTS,
            Self::Refused(_) | Self::Takes(_) => StatusCode::FORBIDDEN,
            Self::CannotCompute(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::Photos(_) => StatusCode::SERVICE_UNAVAILABLE,
            Self::Store(StoreError::Conflict { .. } | StoreError::Duplicate { .. }) => {
                StatusCode::CONFLICT
            }
            Self::Store(StoreError::Waits { .. } | StoreError::ReviewWaits { .. }) => {
                StatusCode::FORBIDDEN
            }
            Self::Store(StoreError::Unavailable(_)) => StatusCode::SERVICE_UNAVAILABLE,
            Self::Store(error) if error.is_refusal() => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Store(_) | Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    fn note(&self) -> ErrorNote {
        let text = match self {
            Self::NotFound(what) => format!("There is no {what} at this address."),
            Self::BadRequest(text) | Self::CannotCompute(text) | Self::TooLarge(text) => {
                text.clone()
            }
            Self::Refused(text) => (*text).to_owned(),
            Self::SignIn => "Sign in first. Nothing was changed.".to_owned(),
            Self::BadKey => {
                "This key is unknown, ended or too old. A keeper makes a new one. Nothing was changed."
                    .to_owned()
            }
            Self::Takes(who) => {
                format!("This takes {who} of this department. Nothing was changed.")
            }
            Self::Wait(seconds) => {
                format!("Too many failed tries. Wait {seconds} seconds, then try again.")
            }
            Self::Store(e @ (StoreError::Conflict { .. } | StoreError::Duplicate { .. })) => {
                format!("Somebody else was here first: {e}. Nothing was changed.")
            }
            Self::Store(e @ (StoreError::Waits { .. } | StoreError::ReviewWaits { .. })) => {
                format!("Not yours to decide: {e}. Nothing was changed.")
            }
            Self::Store(error) if error.is_refusal() => {
                format!("Not possible: {error}. Nothing was changed.")
            }
            _ => return ErrorNote::of_status(self.status()).with_internal(chain(self)),
        };
        ErrorNote {
            text,
            internal: None,
        }
    }
}

impl IntoResponse for AppError {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        response.extensions_mut().insert(self.note());
        response
    }
}

impl ErrorNote {
    /// The sentence for a status nobody gave words for.
    pub fn of_status(status: StatusCode) -> Self {
        let text = match status {
            StatusCode::NOT_FOUND => "There is nothing at this address.",
            StatusCode::METHOD_NOT_ALLOWED => "This address does not answer to that.",
            StatusCode::PAYLOAD_TOO_LARGE => "What was sent is too large. Nothing was changed.",
            StatusCode::UNSUPPORTED_MEDIA_TYPE => {
                "What was sent is of a kind this address does not read. Nothing was changed."
            }
            StatusCode::SERVICE_UNAVAILABLE => {
                "The service is too busy or its database is not available. Try again; nothing was changed by this request."
            }
            s if s.is_client_error() => "The request cannot be read. Nothing was changed.",
            _ => "Something failed here. It is logged under the number below.",
        };
        Self {
            text: text.to_owned(),
            internal: None,
        }
    }

    fn with_internal(mut self, internal: String) -> Self {
        self.internal = Some(internal);
        self
    }

    /// The error page.
    pub fn page(&self, status: StatusCode, request_id: &str) -> String {
        let page = ErrorPage {
            status: status.as_u16(),
            heading: heading(status),
            text: &self.text,
            request_id,
        };
        page.render().unwrap_or_else(|_| self.text.clone())
    }

    /// The same as a problem document (RFC 9457).
    pub fn problem(&self, status: StatusCode, request_id: &str) -> String {
        serde_json::json!({
            "type": "about:blank",
            "title": status.canonical_reason().unwrap_or("error"),
            "status": status.as_u16(),
            "detail": self.text,
            "instance": format!("urn:uuid:{request_id}"),
        })
        .to_string()
    }
}

/// Heading of the error page, for a person.
fn heading(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "Not here",
        StatusCode::FORBIDDEN => "Refused",
        StatusCode::CONFLICT => "Not saved",
        StatusCode::SERVICE_UNAVAILABLE => "Not available now",
        s if s.is_client_error() => "Cannot do that",
        _ => "This failed",
    }
}

/// An error with all its causes on one line.
fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text = format!("{text}: {inner}");
        cause = inner.source();
    }
    text
}

/// Answers every address that is not in the table.
pub async fn show_unknown_address(_: Uri) -> AppError {
    AppError::NotFound("page")
}

/// Answers a known address asked in the wrong way.
pub async fn show_wrong_method() -> StatusCode {
    StatusCode::METHOD_NOT_ALLOWED
}
