//! A card's details: everything on it that is not a finding or policy.

use super::answer;
use super::body::JsonText;
use super::cards::{read_card, read_own_card};
use super::precondition::IfMatch;
use super::problems::{ApiError, BodyProblems, ReadProblems, RevisionProblems};
use crate::contract::card_file::{CardDetailsFile, read_details};
use crate::contract::zone_errors;
use crate::domain::card::Card;
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use crate::store::{CardDetails, StoreError, StoredCard};
use crate::web::AppState;
use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use serde_json::Value;
use time::OffsetDateTime;

/// A card's vehicle, measurements, power off, glass, and how to tell it
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/details", tag = "cards",
    params(("id" = String, Path, description = "The card's id")),
    responses(
        (status = 200, body = CardDetailsFile, headers(("etag" = String, description = "The revision"))),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_details(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Response, ApiError> {
    let stored = read_card(&state, &id).await?;
    Ok(answer::of_revision(&headers, stored.revision, || {
        written(&stored.card)
    }))
}

/// Put new details in the place of a card's
///
/// What is left out is unknown afterwards. `If-Match` carries the `ETag` of the
/// version that was changed; if the card has moved on since, both versions are
/// answered and nothing is changed.
#[utoipa::path(
    put, path = "/api/v1/cards/{id}/details", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("if-match" = String, Header, description = "The revision this is based on"),
    ),
    request_body = CardDetailsFile,
    responses(
        (status = 200, body = CardDetailsFile, headers(("etag" = String, description = "The revision"))),
        ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn update_details(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::required(&headers)?;
    let stored = read_own_card(&state, &id).await?;
    let sent = read_details(&text)?.card;
    if !if_match.allows(stored.revision) {
        return Err(stale(&if_match, &stored, &sent));
    }
    check_fit(&stored.card, &sent)?;
    let (details, now) = (CardDetails::from(&sent), OffsetDateTime::now_utc());
    let saved = state
        .store
        .update_details(&state.actor, &stored.id, stored.revision, &details, now)
        .await;
    match saved {
        Err(StoreError::Conflict { .. }) => {
            Err(stale(&if_match, &read_own_card(&state, &id).await?, &sent))
        }
        saved => {
            let saved = saved?.ok_or_else(|| ApiError::not_found("card"))?;
            Ok(answer::of_revision(
                &HeaderMap::new(),
                saved.revision,
                || written(&saved.card),
            ))
        }
    }
}

fn written(card: &Card) -> String {
    let details = CardDetailsFile::from(card);
    serde_json::to_string(&details).expect("details are plain data")
}

/// The findings stay where they are, so the new body has to hold them.
fn check_fit(stored: &Card, sent: &Card) -> Result<(), ApiError> {
    let together = Card {
        findings: stored.findings.clone(),
        policy: stored.policy.clone(),
        ..sent.clone()
    };
    let placed = zones(&together, &Variant::default());
    placed
        .map(|_| ())
        .map_err(|error| ApiError::invalid(zone_errors(&error)))
}

fn stale(if_match: &IfMatch, stored: &StoredCard, sent: &Card) -> ApiError {
    let value = |card| serde_json::to_value(CardDetailsFile::from(card)).unwrap_or(Value::Null);
    ApiError::stale(
        if_match.named(),
        stored.revision,
        [value(sent), value(&stored.card)],
    )
}
