//! One card, read-only, for whoever holds a link to it: the sheet, which leads
//! nowhere else, and the photos on it.

use crate::domain::annotation::Annotation;
use crate::domain::vehicle::Variant;
use crate::store::{PhotoSize, ShareLink, StoredCard};
use crate::web::error::AppError;
use crate::web::notes::as_picture;
use crate::web::reading::Reading;
use crate::web::say;
use crate::web::sheet::{SheetAsked, SheetPage};
use crate::web::state::Service;
use crate::web::variant::Pairs;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, HeaderName, REFERRER_POLICY};
use axum::http::{HeaderValue, Method};
use axum::response::{Html, IntoResponse, Response};
use std::error::Error;
use time::OffsetDateTime;

/// What a link opens is kept by nobody: it shall end with the link.
const KEPT_BY_NOBODY: &str = "private, no-store";

/// The address is the key: it is told to no other page and listed by no search.
const UNLISTED: [(HeaderName, HeaderValue); 2] = [
    (
        HeaderName::from_static("x-robots-tag"),
        HeaderValue::from_static("noindex, nofollow, noarchive"),
    ),
    (REFERRER_POLICY, HeaderValue::from_static("no-referrer")),
];

/// One answer for a link that is unknown, ended or too old.
async fn opened(
    service: &Service,
    secret: &str,
    now: OffsetDateTime,
) -> Result<(ShareLink, StoredCard), AppError> {
    let opened = service.store.linked_card(secret, now).await?;
    opened.ok_or(AppError::NotFound("link that works"))
}

/// `GET /shared/{secret}`: the sheet; each time it is read is an opening.
pub async fn show_linked(
    State(service): State<Service>,
    Path(secret): Path<String>,
    Query(query): Pairs,
    method: Method,
) -> Result<Response, AppError> {
    let wanted = SheetAsked::of(&query)?;
    let now = OffsetDateTime::now_utc();
    let (link, card) = opened(&service, &secret, now).await?;
    let until = say::day(link.expires_at.date());
    let drawn = tokio::task::spawn_blocking(move || {
        let reading = Reading::of_card(card, Variant::default())?;
        let photos = format!("/shared/{secret}/photos");
        let page = SheetPage {
            linked_until: Some(until),
            ..SheetPage::of(&reading, wanted, &photos)
        };
        page.render().map_err(|e| AppError::Internal(Box::new(e)))
    });
    let page = drawn.await.map_err(|e| AppError::Internal(Box::new(e)))??;
    // Asked for its head alone, it was not read.
    if method != Method::HEAD
        && let Err(error) = service.store.count_opening(&link.id, now).await
    {
        // Whoever stands beside a car needs the card more than we the count.
        tracing::error!(error = &error as &dyn Error, "opening not counted");
    }
    Ok((UNLISTED, [(CACHE_CONTROL, KEPT_BY_NOBODY)], Html(page)).into_response())
}

/// `GET /shared/{secret}/photos/{name}`: a photo that stands on the sheet of this
/// link; there is no other.
pub async fn show_linked_photo(
    State(service): State<Service>,
    Path((secret, name)): Path<(String, String)>,
) -> Result<Response, AppError> {
    let no_photo = || AppError::NotFound("photo");
    let (_, card) = opened(&service, &secret, OffsetDateTime::now_utc()).await?;
    let mut remarks = card
        .card
        .annotations
        .iter()
        .flat_map(Annotation::shown_remarks);
    if !remarks.any(|r| r.photos.iter().any(|p| p.name == name)) {
        return Err(no_photo());
    }
    let bytes = service.photos.read(&name, PhotoSize::Full).await?;
    let picture = as_picture(bytes.ok_or_else(no_photo)?, KEPT_BY_NOBODY);
    Ok((UNLISTED, picture).into_response())
}
