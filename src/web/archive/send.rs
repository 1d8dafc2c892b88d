//! A card, or every card of the department, as one archive to keep or to send.

use super::photos::{self, PackError};
use crate::contract::archive::WriteError;
use crate::store::CardId;
use crate::web::error::AppError;
use crate::web::state::AppState;
use axum::body::Body;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_LENGTH, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use bytes::{Bytes, BytesMut};
use futures_util::stream::{Stream, try_unfold};
use time::OffsetDateTime;
use tokio::io::AsyncReadExt;

/// Bytes of a piece as it is sent.
const PIECE_BYTES: usize = 64 << 10;

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
    let contents = contents.await?.ok_or(AppError::NotFound("card"))?;
    let file = photos::pack(&state.photos, contents).await;
    let file = file.map_err(not_packed)?;
    let bytes = file
        .metadata()
        .map_err(|e| AppError::Internal(Box::new(e)))?;
    let name = format!(
        "attachment; filename=\"pillarbook-{what}-{}.zip\"",
        now.date()
    );
    let headers = [
        (CONTENT_TYPE, "application/zip".to_owned()),
        (CONTENT_DISPOSITION, name),
        (CACHE_CONTROL, "no-store".to_owned()),
        (CONTENT_LENGTH, bytes.len().to_string()),
    ];
    Ok((headers, Body::from_stream(pieces(file.into()))).into_response())
}

fn not_packed(error: PackError) -> AppError {
    match error {
        PackError::Write(error @ WriteError::TooMuch) => AppError::TooLarge(format!(
            "{error}. Send cards one by one, each from its findings page."
        )),
        PackError::Photos(error) => error.into(),
        other => AppError::Internal(Box::new(other)),
    }
}

/// The file piece by piece, as fast as it is taken.
fn pieces(file: tokio::fs::File) -> impl Stream<Item = std::io::Result<Bytes>> {
    try_unfold(file, |mut file| async move {
        let mut piece = BytesMut::with_capacity(PIECE_BYTES);
        let read = file.read_buf(&mut piece).await?;
        Ok((read > 0).then(|| (piece.freeze(), file)))
    })
}
