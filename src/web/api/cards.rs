//! Cards: listed, shown as card files, made from them.

use super::answer;
use super::body::JsonText;
use super::findings::decided;
use super::problems::{ApiError, BodyProblems, ReadProblems};
use super::query::QueryReader;
use crate::contract::card_file::{self, CardFile, VehicleFile};
use crate::contract::zones_of_file;
use crate::domain::role::Deed;
use crate::domain::vehicle::Variant;
use crate::store::{CardId, CardSummary, StoredCard};
use crate::web::AppState;
use crate::web::variant::Pairs;
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use time::OffsetDateTime;
use utoipa::{IntoParams, ToSchema};

/// Cards on one page of the list, unless asked otherwise.
const PAGE: u32 = 50;
/// Cards on one page of the list at most.
const MOST: u32 = 200;

/// Which page of the list.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes what `QueryReader` reads")]
pub struct ListParams {
    /// Cards on the page, 1 to 200; 50 if left out
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
    /// The `next` of the page before
    after: Option<String>,
}

/// A card in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct CardEntry {
    id: String,
    revision: i64,
    /// Name of the department whose record it is.
    department: String,
    /// Whether it is this department's own.
    own: bool,
    #[serde(with = "time::serde::rfc3339")]
    #[schema(value_type = String, format = DateTime)]
    updated_at: OffsetDateTime,
    #[serde(flatten)]
    vehicle: VehicleFile,
    findings: i64,
}

/// One page of the list of cards.
#[derive(Debug, Serialize, ToSchema)]
pub struct CardList {
    cards: Vec<CardEntry>,
    /// To be given as `after` for the next page; null on the last.
    next: Option<String>,
}

/// A card that was made.
#[derive(Debug, Serialize, ToSchema)]
pub struct CardMade {
    pub id: String,
    pub revision: i64,
}

/// A card that the department owns or may read.
pub async fn read_card(state: &AppState, id: &str) -> Result<StoredCard, ApiError> {
    let stored = state
        .store
        .card(&state.actor.department, &CardId::new(id))
        .await?;
    stored.ok_or_else(|| ApiError::not_found("card"))
}

/// The card as who asks may have it: another department's without the notes that
/// were hidden, declined or withdrawn.
pub fn for_reader(state: &AppState, mut stored: StoredCard) -> StoredCard {
    if stored.department != state.actor.department {
        stored.card.keep_notes_for_all();
    }
    stored
}

/// The same, for a write: only the department's own exist to it.
pub async fn read_own_card(state: &AppState, id: &str) -> Result<StoredCard, ApiError> {
    let stored = read_card(state, id).await?;
    if stored.department == state.actor.department {
        Ok(stored)
    } else {
        Err(ApiError::not_found("card of this department"))
    }
}

/// The cards the department owns or may read
#[utoipa::path(
    get, path = "/api/v1/cards", tag = "cards",
    params(ListParams),
    responses((status = 200, body = CardList), ReadProblems),
)]
pub async fn list_cards(state: AppState, Query(pairs): Pairs) -> Result<Response, ApiError> {
    let mut query = QueryReader::new(&pairs);
    let limit = query.whole("limit", 1..=MOST, PAGE);
    let after = query.id("after", "the `next` of the page before");
    query.finish()?;
    let department = &state.actor.department;
    let after = after.map(CardId::new);
    // One more than asked for tells whether there is a next page.
    let mut cards = state
        .store
        .list_cards(department, after.as_ref(), limit + 1)
        .await?;
    let more = cards.len() > limit as usize;
    cards.truncate(limit as usize);
    let next = cards
        .last()
        .filter(|_| more)
        .map(|card| card.id.to_string());
    let entry = |card: CardSummary| CardEntry {
        own: card.department == *department,
        id: card.id.to_string(),
        revision: card.revision,
        department: card.department_name,
        updated_at: card.updated_at,
        vehicle: VehicleFile::from(&card.vehicle),
        findings: card.finding_count,
    };
    let list = CardList {
        cards: cards.into_iter().map(entry).collect(),
        next,
    };
    Ok(answer::json(StatusCode::OK, &list))
}

/// A card as a card file
#[utoipa::path(
    get, path = "/api/v1/cards/{id}", tag = "cards",
    params(("id" = String, Path, description = "The card's id")),
    responses(
        (status = 200, body = CardFile, headers(("etag" = String, description = "The revision"))),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_card(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Response, ApiError> {
    let stored = for_reader(&state, read_card(&state, &id).await?);
    Ok(answer::of_revision(&headers, stored.revision, || {
        card_file::write(&stored.card)
    }))
}

/// Make a card of a card file
///
/// The file is the department's own record: findings keep their status. What a
/// second person or an officer has to decide, that a bare finding counts or is
/// resolved, is brought in by an officer alone. The department's policy stays in
/// force, whatever policy the file carries.
#[utoipa::path(
    post, path = "/api/v1/cards", tag = "cards",
    request_body = CardFile,
    responses(
        (status = 201, body = CardMade, headers(("location" = String, description = "The card"))),
        ReadProblems, BodyProblems,
    ),
)]
pub async fn create_card(state: AppState, JsonText(text): JsonText) -> Result<Response, ApiError> {
    let card = zones_of_file(&text, &Variant::default())?.read.card;
    if !state.actor.roles.may(Deed::Decide) {
        let errors = decided(&card.findings);
        if !errors.is_empty() {
            return Err(ApiError::invalid(errors));
        }
    }
    let stored = state
        .store
        .import_card(&state.actor, card, OffsetDateTime::now_utc())
        .await?;
    let made = CardMade {
        id: stored.id.to_string(),
        revision: stored.revision,
    };
    let headers = [
        (header::LOCATION, format!("/api/v1/cards/{}", stored.id)),
        (header::ETAG, answer::etag(stored.revision)),
    ];
    Ok((headers, answer::json(StatusCode::CREATED, &made)).into_response())
}
