//! Sketches of a card as SVG and PNG.

use super::answer::{self, Mark};
use super::problems::{ApiError, ReadProblems};
use super::zones::{VariantParams, variant_of};
use crate::sketch::png::{self, PngError};
use crate::store::CardId;
use crate::web::drawing::{self, Wanted, refused};
use crate::web::reading::{Reading, Subject};
use crate::web::variant::Pairs;
use crate::web::{AppError, AppState};
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tokio::sync::Semaphore;
use utoipa::IntoParams;

/// Pictures drawn at once in the whole process: each holds four bytes a pixel.
static RASTERISING: Semaphore = Semaphore::const_new(2);

/// What is drawn, and how.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct SketchParams {
    /// frame-left (if left out), frame-right, left, right, top, front
    view: Option<String>,
    /// light (if left out), dark, print
    look: Option<String>,
    /// Degrees clockwise, to how the car lies: 0, 90, 180, 270
    turn: Option<String>,
    /// Mirrored after the turn: no, yes
    flip: Option<String>,
}

/// The same with the width of the picture.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct WidthParams {
    /// Pixels across, 64 to 3200; 1080 if left out
    width: Option<u32>,
}

/// A card's side frame or a view of it, as SVG
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/sketch.svg", tag = "zones",
    params(("id" = String, Path, description = "The card's id"), SketchParams, VariantParams),
    responses(
        (status = 200, content_type = "image/svg+xml", body = String),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_svg(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, ApiError> {
    let wanted = Wanted::of(&query).map_err(ApiError::invalid)?;
    let variant = variant_of(&query)?;
    let subject = Subject::Card(CardId::new(id));
    let mark = mark_of(&subject, &state).await?;
    if answer::is_known(&asked, mark) {
        return Ok(answer::unchanged(mark));
    }
    let response = drawing::alone(&state, subject, (wanted, variant), &asked).await?;
    Ok(answer::with_revision(mark, response))
}

/// The same as a picture
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/sketch.png", tag = "zones",
    params(
        ("id" = String, Path, description = "The card's id"),
        SketchParams, WidthParams, VariantParams,
    ),
    responses(
        (status = 200, content_type = "image/png", body = Vec<u8>),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_png(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, ApiError> {
    let wanted = Wanted::of(&query).map_err(ApiError::invalid)?;
    let variant = variant_of(&query)?;
    let subject = Subject::Card(CardId::new(id));
    let mark = mark_of(&subject, &state).await?;
    if answer::is_known(&asked, mark) {
        return Ok(answer::unchanged(mark));
    }
    let reading = subject.read(&state, mark.revision, variant).await?;
    let picture = picture(reading, wanted).await?;
    let kind = [(header::CONTENT_TYPE, "image/png")];
    let response = (StatusCode::OK, kind, picture).into_response();
    Ok(answer::with_revision(mark, response))
}

async fn mark_of(subject: &Subject, state: &AppState) -> Result<Mark, AppError> {
    Ok(Mark {
        revision: subject.revision(state).await?,
        late: subject.is_review_late(state).await?,
    })
}

async fn picture(reading: Reading, wanted: Wanted) -> Result<Vec<u8>, ApiError> {
    let turn = RASTERISING
        .acquire()
        .await
        .expect("the semaphore is never closed");
    let drawn = tokio::task::spawn_blocking(move || {
        // Held until the picture is drawn, even if the asker has gone by then.
        let _turn = turn;
        let scene = drawing::view(&reading, wanted, None);
        png::render(&scene, wanted.look, wanted.width_px)
    });
    let picture = drawn
        .await
        .map_err(|panic| AppError::Internal(panic.into()))?;
    picture.map_err(|error| match error {
        PngError::Width { given } | PngError::TooLarge { width: given, .. } => {
            let accepted = format!("fewer pixels: {error}");
            ApiError::invalid(vec![refused("width", accepted, &given.to_string())])
        }
        error => AppError::Internal(Box::new(error)).into(),
    })
}
