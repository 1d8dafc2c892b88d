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

async fn answer(
    state: &AppState,
    id: &str,
    name: &str,
    size: PhotoSize,
) -> Result<Response, AppError> {
    let no_photo = AppError::NotFound("photo");
    let department = &state.actor.department;
    if !state
        .store
        .has_photo(department, &CardId::new(id), name)
        .await?
    {
        return Err(no_photo);
    }
    let bytes = state.photos.read(name, size).await?.ok_or(no_photo)?;
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        // A name is never written over. No cache on the way may keep it.
        (CACHE_CONTROL, "private, max-age=31536000, immutable"),
        (CONTENT_DISPOSITION, "inline"),
        (CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox"),
    ];
    let headers = headers.map(|(name, value)| (name, HeaderValue::from_static(value)));
    Ok((headers, bytes).into_response())
}
