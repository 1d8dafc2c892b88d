//! The twelve body styles.

use super::answer;
use super::problems::{ApiError, ReadProblems};
use crate::contract::body_style::{BodyStyleEntry, BodyStyleView};
use crate::domain::body::{StyleId, style};
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;
use utoipa::ToSchema;

/// Every body style.
#[derive(Debug, Serialize, ToSchema)]
pub struct BodyStyleList {
    body_styles: Vec<BodyStyleEntry>,
}

/// The body styles
#[utoipa::path(
    get, path = "/api/v1/body-styles", tag = "reference",
    responses((status = 200, body = BodyStyleList), ReadProblems),
)]
pub async fn list_body_styles() -> Response {
    let entry = |id: &StyleId| BodyStyleEntry::from(style(*id));
    let list = BodyStyleList {
        body_styles: StyleId::ALL.iter().map(entry).collect(),
    };
    answer::json(StatusCode::OK, &list)
}

/// A body style: dimensions, spans, seats, landmarks, expectations
#[utoipa::path(
    get, path = "/api/v1/body-styles/{id}", tag = "reference",
    params(("id" = String, Path, description = "For example sedan")),
    responses((status = 200, body = BodyStyleView), ReadProblems),
)]
pub async fn show_body_style(Path(id): Path<String>) -> Result<Response, ApiError> {
    let id = StyleId::from_word(&id).ok_or_else(|| ApiError::not_found("body style"))?;
    Ok(answer::json(
        StatusCode::OK,
        &BodyStyleView::from(style(id)),
    ))
}
