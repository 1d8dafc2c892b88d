//! Why an API request was not answered, as problem documents.

use crate::contract::card_file::CardFileError;
use crate::contract::{FieldError, Problem, problem};
use crate::store::{Revision, StoreError};
use crate::web::error::AppError;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::Value;
use utoipa::IntoResponses;

/// Why a handler could not answer.
#[derive(Debug)]
pub enum ApiError {
    /// With its own words and fields.
    Problem(Box<Problem>),
    /// What pages and API have in common.
    App(AppError),
}

impl ApiError {
    pub fn new(status: StatusCode, detail: impl Into<String>) -> Self {
        let title = status.canonical_reason().unwrap_or("Error");
        Problem::new(status.as_u16(), title, detail).into()
    }

    /// Fields that cannot be accepted: 422.
    pub fn invalid(errors: Vec<FieldError>) -> Self {
        Problem::invalid(errors).into()
    }

    /// Names what was looked for.
    pub fn not_found(what: &'static str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            format!("There is no {what} at this address."),
        )
    }

    /// A write based on an older revision: 412, with both versions.
    pub fn stale(expected: Option<Revision>, current: Revision, versions: [Value; 2]) -> Self {
        let [yours, current_version] = versions;
        let detail = format!(
            "The card is at revision {current} now. Nothing was changed; compare both versions \
             and send it again with If-Match: \"{current}\"."
        );
        let status = StatusCode::PRECONDITION_FAILED;
        Problem {
            expected_revision: expected,
            current_revision: Some(current),
            yours: Some(yours),
            current: Some(current_version),
            ..Problem::new(status.as_u16(), "Precondition Failed", detail)
        }
        .into()
    }
}

impl From<Problem> for ApiError {
    fn from(problem: Problem) -> Self {
        Self::Problem(Box::new(problem))
    }
}

impl From<CardFileError> for ApiError {
    fn from(error: CardFileError) -> Self {
        Problem::from(&error).into()
    }
}

impl From<AppError> for ApiError {
    fn from(error: AppError) -> Self {
        Self::App(error)
    }
}

impl From<StoreError> for ApiError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Conflict { .. } | StoreError::Duplicate { .. } => Self::new(
                StatusCode::CONFLICT,
                format!("{error}. Nothing was changed."),
            ),
            StoreError::NoSuchFinding { .. } => Self::not_found("finding"),
            StoreError::NoSuchRemark { .. } => Self::not_found("note"),
            StoreError::NoSuchPhoto => Self::not_found("photo"),
            refusal if refusal.is_refusal() => Self::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                format!("{refusal}. Nothing was changed."),
            ),
            error => Self::App(AppError::Store(error)),
        }
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        match self {
            Self::App(error) => error.into_response(),
            Self::Problem(problem) => {
                let status = StatusCode::from_u16(problem.status)
                    .unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
                let headers = [
                    (header::CONTENT_TYPE, problem::MEDIA_TYPE),
                    (header::CACHE_CONTROL, "no-store"),
                ];
                (status, headers, problem.to_json()).into_response()
            }
        }
    }
}

/// What any reading address may answer instead.
#[derive(IntoResponses)]
#[expect(dead_code, reason = "read by the description alone")]
pub enum ReadProblems {
    #[response(
        status = 400,
        description = "The address or its query cannot be read",
        content_type = "application/problem+json"
    )]
    BadRequest(#[to_schema] Problem),
    #[response(
        status = 401,
        description = "Nobody is signed in, or the key does not hold",
        content_type = "application/problem+json"
    )]
    Unauthorized(#[to_schema] Problem),
    #[response(
        status = 403,
        description = "None of the roles it takes, or asked from another site",
        content_type = "application/problem+json"
    )]
    Forbidden(#[to_schema] Problem),
    #[response(
        status = 404,
        description = "Nothing there",
        content_type = "application/problem+json"
    )]
    NotFound(#[to_schema] Problem),
    #[response(
        status = 405,
        description = "Not a method of this address",
        content_type = "application/problem+json"
    )]
    WrongMethod(#[to_schema] Problem),
    #[response(
        status = 422,
        description = "Invalid fields, each named",
        content_type = "application/problem+json"
    )]
    Invalid(#[to_schema] Problem),
    #[response(
        status = 503,
        description = "Too busy, or the database is not available",
        content_type = "application/problem+json"
    )]
    Unavailable(#[to_schema] Problem),
}

/// What any address that takes a body may answer besides.
#[derive(IntoResponses)]
#[expect(dead_code, reason = "read by the description alone")]
pub enum BodyProblems {
    #[response(
        status = 409,
        description = "Somebody else was here first",
        content_type = "application/problem+json"
    )]
    Conflict(#[to_schema] Problem),
    #[response(
        status = 413,
        description = "More than is taken: 2 MiB of JSON, a photo of 16 MiB, or more than is computed at once",
        content_type = "application/problem+json"
    )]
    TooLarge(#[to_schema] Problem),
    #[response(
        status = 415,
        description = "Not of the media type it takes",
        content_type = "application/problem+json"
    )]
    WrongKind(#[to_schema] Problem),
}

/// What an address that changes a revision may answer besides.
#[derive(IntoResponses)]
#[expect(dead_code, reason = "read by the description alone")]
pub enum RevisionProblems {
    #[response(
        status = 412,
        description = "The card has changed since; both versions",
        content_type = "application/problem+json"
    )]
    Stale(#[to_schema] Problem),
    #[response(
        status = 428,
        description = "If-Match is missing",
        content_type = "application/problem+json"
    )]
    Unconditional(#[to_schema] Problem),
}
