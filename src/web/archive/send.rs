//! A card, or every card of the department, as one archive to keep or to send.

use super::photos;
use crate::contract::archive;
use crate::store::CardId;
use crate::web::error::AppError;
use crate::web::state::AppState;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;

/// `GET /cards/{id}/export.zip`
pub async fn send_card(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    send(&state, Some(&CardId::new(id)), "card").await
}

/// `GET /export`
pub async fn send_all(state: AppState) -> Result<Response, AppError> {
    send(&state, None, "cards").await
}

async fn send(state: &AppState, only: Option<&CardId>, what: &str) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let contents = state.store.archive(&state.actor.department, only, now);
    let mut contents = contents.await?.ok_or(AppError::NotFound("card"))?;
    photos::gather(&state.photos, &mut contents).await?;
    // Packing a whole book takes a while of one processor.
    let packed = tokio::task::spawn_blocking(move || archive::write(&contents)).await;
    let bytes = packed
        .map_err(|e| AppError::Internal(Box::new(e)))?
        .map_err(|e| AppError::Internal(Box::new(e)))?;
    let name = format!(
        "attachment; filename=\"pillarbook-{what}-{}.zip\"",
        now.date()
    );
    let headers = [
        (CONTENT_TYPE, "application/zip".to_owned()),
        (CONTENT_DISPOSITION, name),
        (CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((headers, bytes).into_response())
}
