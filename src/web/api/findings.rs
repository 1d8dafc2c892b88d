//! Findings added to a card, and where they stand.

use super::answer;
use super::body::JsonText;
use super::cards::read_own_card;
use super::precondition::IfMatch;
use super::problems::{ApiError, BodyProblems, ReadProblems, RevisionProblems};
use crate::contract::card_file::{CardFile, FindingFile, MOST_FINDINGS, read_additions};
use crate::contract::status_change::{StatusChangeFile, read_status_change};
use crate::contract::{FieldError, Path as FieldPath, zone_errors};
use crate::domain::card::Card;
use crate::domain::decision::is_bare;
use crate::domain::finding::{Finding, Report, Status};
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use crate::store::{StatusChange, StoreError, StoredCard};
use crate::web::AppState;
use crate::web::own_card::{Footing, card_to_add_to};
use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::Value;
use time::OffsetDateTime;
use utoipa::ToSchema;

/// Findings to be added. An `id` or a `component` that is left out is numbered
/// by the card.
#[derive(Debug, Serialize, ToSchema)]
pub struct Additions {
    pub findings: Vec<FindingFile>,
}

/// What a change of findings made of the card.
#[derive(Debug, Serialize, ToSchema)]
pub struct FindingsChanged {
    pub revision: i64,
    /// The findings that were added or changed, as they stand now.
    pub findings: Vec<FindingFile>,
}

/// Add findings to a card, all of them or none
///
/// Without `If-Match` two members may add at once and both succeed. To a card of
/// a partner they are offered, whatever status they come with, until an officer
/// there accepts them.
#[utoipa::path(
    post, path = "/api/v1/cards/{id}/findings", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("if-match" = Option<String>, Header, description = "The revision this is based on"),
    ),
    request_body = Additions,
    responses(
        (status = 201, body = FindingsChanged), ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn add_findings(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::of(&headers);
    let (stored, footing) = card_to_add_to(&state, &id).await?;
    let findings = read_additions(&text, stored.card.vehicle.body_style)?;
    if !if_match.allows(stored.revision) {
        return Err(stale(&if_match, &stored, &text));
    }
    check_additions(&stored.card, &findings)?;
    // Only a write that named its revision is held to it.
    let expected = (if_match != IfMatch::Missing).then_some(stored.revision);
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    let added = match footing {
        Footing::Partner => {
            store
                .offer_findings(actor, &stored.id, &findings, now)
                .await
        }
        Footing::Own | Footing::Reader => {
            store
                .add_findings(actor, &stored.id, expected, &findings, now)
                .await
        }
    };
    let changed = match added {
        Err(StoreError::Conflict { .. }) => {
            let (current, _) = card_to_add_to(&state, &id).await?;
            return Err(stale(&if_match, &current, &text));
        }
        added => added?.ok_or_else(|| ApiError::not_found("card"))?,
    };
    let all = &changed.card.findings;
    let known = |f: &&Finding| !stored.card.findings.iter().any(|old| old.id == f.id);
    Ok(answer_changed(
        StatusCode::CREATED,
        &changed,
        all.iter().filter(known),
    ))
}

/// Accept, decline or withdraw a finding
///
/// An accepted or offered finding can be withdrawn, an offered one accepted or
/// declined; declining and withdrawing need a reason. Nothing is ever deleted.
#[utoipa::path(
    post, path = "/api/v1/cards/{id}/findings/{finding}/status", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("finding" = String, Path, description = "The finding's id"),
        ("if-match" = String, Header, description = "The revision this is based on"),
    ),
    request_body = StatusChangeFile,
    responses(
        (status = 200, body = FindingsChanged), ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn change_status(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::required(&headers)?;
    let stored = read_own_card(&state, &id).await?;
    let StatusChangeFile { status, reason } = read_status_change(&text)?;
    if !if_match.allows(stored.revision) {
        return Err(stale(&if_match, &stored, &text));
    }
    let change = [StatusChange {
        finding: finding.clone(),
        status,
        reason,
    }];
    let now = OffsetDateTime::now_utc();
    let expected = Some(stored.revision);
    let done = state
        .store
        .change_status(&state.actor, &stored.id, expected, &change, now)
        .await;
    let changed = match done {
        Err(StoreError::Conflict { .. }) => {
            return Err(stale(&if_match, &read_own_card(&state, &id).await?, &text));
        }
        done => done?.ok_or_else(|| ApiError::not_found("card"))?,
    };
    let one = changed.card.findings.iter().filter(|f| f.id == finding);
    Ok(answer_changed(StatusCode::OK, &changed, one))
}

fn answer_changed<'a>(
    status: StatusCode,
    stored: &StoredCard,
    findings: impl Iterator<Item = &'a Finding>,
) -> Response {
    let changed = FindingsChanged {
        revision: stored.revision,
        findings: findings.map(FindingFile::from).collect(),
    };
    let etag = [(header::ETAG, answer::etag(stored.revision))];
    (etag, answer::json(status, &changed)).into_response()
}

fn stale(if_match: &IfMatch, stored: &StoredCard, text: &[u8]) -> ApiError {
    let yours = serde_json::from_slice(text).unwrap_or(Value::Null);
    let current = serde_json::to_value(CardFile::from(&stored.card)).unwrap_or(Value::Null);
    ApiError::stale(if_match.named(), stored.revision, [yours, current])
}

/// Whether the card can take the findings: their number, their status, and
/// their places on the fitted body.
fn check_additions(card: &Card, findings: &[Finding]) -> Result<(), ApiError> {
    let list = FieldPath::document().field("findings");
    let total = card.findings.len() + findings.len();
    if total > MOST_FINDINGS {
        let message = format!("the card would hold {total} findings");
        let accepted = format!("at most {MOST_FINDINGS} on one card");
        return Err(ApiError::invalid(vec![FieldError::new(
            list, message, accepted, None,
        )]));
    }
    let misplaced = |(index, finding): (usize, &Finding)| {
        let accepted = first_statuses(finding);
        (!accepted.contains(&finding.status)).then(|| {
            let words: Vec<&str> = accepted.iter().map(|status| status.word()).collect();
            FieldError::new(
                list.item(index).field("status"),
                "a new finding cannot begin with this status",
                words.join(", "),
                Some(&Value::from(finding.status.word())),
            )
        })
    };
    let mut errors: Vec<FieldError> = findings.iter().enumerate().filter_map(misplaced).collect();
    errors.extend(resolved(findings));
    if !errors.is_empty() {
        return Err(ApiError::invalid(errors));
    }
    // Alone, so that an index in an error is one of what was sent.
    let alone = Card {
        findings: findings.to_vec(),
        ..card.clone()
    };
    let placed = zones(&alone, &Variant::default());
    placed
        .map(|_| ())
        .map_err(|error| ApiError::invalid(zone_errors(&error)))
}

/// What of a sent card's bare findings takes an officer: that they count, though
/// nobody here confirmed them, and that they are resolved.
pub fn decided(findings: &[Finding]) -> Vec<FieldError> {
    let list = FieldPath::document().field("findings");
    let counts = |(index, finding): (usize, &Finding)| {
        (is_bare(finding) && finding.status == Status::Accepted).then(|| {
            FieldError::new(
                list.item(index).field("status"),
                "a bare finding counts once a second person here has confirmed it; \
                 as the department’s own record it is brought in by an officer",
                Status::Offered.word(),
                Some(&Value::from(finding.status.word())),
            )
        })
    };
    let mut errors: Vec<FieldError> = findings.iter().enumerate().filter_map(counts).collect();
    errors.extend(resolved(findings));
    errors
}

/// A resolution is an officer's word, given on the card.
fn resolved(findings: &[Finding]) -> impl Iterator<Item = FieldError> {
    let list = FieldPath::document().field("findings");
    findings
        .iter()
        .enumerate()
        .filter_map(move |(index, finding)| {
            let Report::Bare(bare) = &finding.report else {
                return None;
            };
            bare.resolved.as_ref().map(|resolved| {
                FieldError::new(
                    list.item(index).field("resolved"),
                    "a contradiction is resolved by an officer, on the card",
                    "left out",
                    Some(&Value::from(resolved.by.as_str())),
                )
            })
        })
}

/// A bare finding waits for a second person.
fn first_statuses(finding: &Finding) -> &'static [Status] {
    match finding.report {
        Report::Component(_) => &[Status::Accepted, Status::Offered],
        Report::Bare(_) => &[Status::Offered],
    }
}
