//! One card, read-only, for whoever holds a link to it: the sheet, which leads
//! nowhere else.

use crate::domain::vehicle::Variant;
use crate::web::error::AppError;
use crate::web::reading::Reading;
use crate::web::say;
use crate::web::sheet::SheetPage;
use crate::web::state::Service;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, REFERRER_POLICY};
use axum::response::{Html, IntoResponse, Response};
use time::OffsetDateTime;

/// `GET /shared/{secret}`: one answer for a link that is unknown, ended or too old.
pub async fn show_linked(
    State(service): State<Service>,
    Path(secret): Path<String>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let opened = service.store.linked_card(&secret, now).await?;
    let (link, card) = opened.ok_or(AppError::NotFound("link that works"))?;
    service.store.count_opening(&link.id, now).await?;
    let until = say::day(link.expires_at.date());
    let drawn = tokio::task::spawn_blocking(move || {
        let reading = Reading::of_card(card, Variant::default())?;
        let page = SheetPage {
            linked_until: Some(until),
            ..SheetPage::of(&reading, "a4", true)
        };
        page.render().map_err(|e| AppError::Internal(Box::new(e)))
    });
    let page = drawn.await.map_err(|e| AppError::Internal(Box::new(e)))??;
    // The address is the key: it is told to no other page and kept by no cache.
    let kept = [
        (CACHE_CONTROL, "no-store"),
        (REFERRER_POLICY, "no-referrer"),
    ];
    Ok((kept, Html(page)).into_response())
}
