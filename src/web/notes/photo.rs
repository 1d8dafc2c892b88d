//! Photos, to who may read their card; to others there is none.

use crate::store::{CardId, PhotoSize};
use crate::web::error::AppError;
use crate::web::state::AppState;
use axum::extract::Path;
use axum::http::HeaderValue;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
};
use axum::response::{IntoResponse, Response};
use bytes::Bytes;

/// `GET /cards/{id}/photos/{name}`
pub async fn show_photo(
    state: AppState,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, AppError> {
    answer(&state, &id, &name, PhotoSize::Full).await
}

/// `GET /cards/{id}/photos/{name}/small`
pub async fn show_small_photo(
    state: AppState,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, AppError> {
    answer(&state, &id, &name, PhotoSize::Small).await
}

/// A photo's file, or its small one.
pub async fn answer(
    state: &AppState,
    id: &str,
    name: &str,
    size: PhotoSize,
) -> Result<Response, AppError> {
    let no_photo = AppError::NotFound("photo");
    let card = CardId::new(id);
    if !state.store.has_photo(&state.actor, &card, name).await? {
        return Err(no_photo);
    }
    let bytes = state.photos.read(name, size).await?.ok_or(no_photo)?;
    // A name is never written over. No cache on the way may keep it.
    Ok(as_picture(bytes, "private, max-age=31536000, immutable"))
}

/// A photo's bytes as an answer, kept by whom `cached` says.
pub fn as_picture(bytes: Bytes, cached: &'static str) -> Response {
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        (CACHE_CONTROL, cached),
        (CONTENT_DISPOSITION, "inline"),
        (
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; frame-ancestors 'none'; sandbox",
        ),
    ];
    let headers = headers.map(|(name, value)| (name, HeaderValue::from_static(value)));
    (headers, bytes).into_response()
}
