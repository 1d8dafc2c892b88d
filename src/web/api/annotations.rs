//! Notes beside a card, read and written.

use super::answer;
use super::body::JsonText;
use super::cards::{for_reader, read_card};
use super::photos::PhotoAnswer;
use super::precondition::IfMatch;
use super::problems::{ApiError, BodyProblems, ReadProblems, RevisionProblems};
use crate::contract::card_file::AnnotationFile;
use crate::contract::notes::{NoteAdditions, ReadNote, read_notes};
use crate::contract::{FieldError, Path as FieldPath};
use crate::domain::annotation::Annotation;
use crate::domain::body::{fit, style};
use crate::store::{NewAbout, NewRemark, StoreError, StoredCard};
use crate::web::AppState;
use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::Value;
use time::OffsetDateTime;
use utoipa::ToSchema;

/// Notes of a card at a revision.
#[derive(Debug, Serialize, ToSchema)]
pub struct Annotations {
    pub revision: i64,
    pub annotations: Vec<AnnotationFile>,
    /// Those that hang on these notes and their replies, with where each is fetched.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub photos: Vec<PhotoAnswer>,
}

impl Annotations {
    fn of<'a>(stored: &'a StoredCard, notes: impl Iterator<Item = &'a Annotation> + Clone) -> Self {
        Self {
            revision: stored.revision,
            annotations: notes.clone().map(AnnotationFile::from).collect(),
            photos: PhotoAnswer::of(stored, notes),
        }
    }
}

/// The notes beside a card, as its file has them
///
/// Of another department's card without what was hidden, declined or withdrawn.
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/annotations", tag = "cards",
    params(("id" = String, Path, description = "The card's id")),
    responses(
        (status = 200, body = Annotations, headers(("etag" = String, description = "The revision"))),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn list_annotations(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Response, ApiError> {
    let stored = for_reader(&state, read_card(&state, &id).await?);
    Ok(answer::of_revision(&headers, stored.revision, || {
        let notes = Annotations::of(&stored, stored.card.annotations.iter());
        serde_json::to_string(&notes).expect("notes are plain data")
    }))
}

/// Write notes and replies, all of them or none
///
/// They are signed by who sends them. A partner's are offered until an officer of
/// the card's department decides. Without `If-Match` two may write at once.
#[utoipa::path(
    post, path = "/api/v1/cards/{id}/annotations", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("if-match" = Option<String>, Header, description = "The revision this is based on"),
    ),
    request_body = NoteAdditions,
    responses(
        (status = 201, body = Annotations), ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn add_annotations(
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::of(&headers);
    let stored = read_card(&state, &id).await?;
    let notes = read_notes(&text, &stored.card)?;
    if !if_match.allows(stored.revision) {
        return Err(stale(&if_match, &for_reader(&state, stored), &text));
    }
    check_places(&notes, &stored)?;
    let new: Vec<NewRemark> = notes.into_iter().map(new_remark).collect();
    // Only a write that named its revision is held to it.
    let expected = (if_match != IfMatch::Missing).then_some(stored.revision);
    let now = OffsetDateTime::now_utc();
    let written = state
        .store
        .add_remarks(&state.actor, &stored.id, expected, &new, now)
        .await;
    let written = match written {
        Err(StoreError::Conflict { .. }) => {
            let now = for_reader(&state, read_card(&state, &id).await?);
            return Err(stale(&if_match, &now, &text));
        }
        written => written?.ok_or_else(|| ApiError::not_found("card to write on"))?,
    };
    let touched = |a: &&Annotation| a.remarks().any(|r| written.ids.contains(&r.id));
    let card = for_reader(&state, written.card.clone());
    let changed = Annotations::of(&card, card.card.annotations.iter().filter(touched));
    let etag = [(header::ETAG, answer::etag(card.revision))];
    Ok((etag, answer::json(StatusCode::CREATED, &changed)).into_response())
}

fn new_remark(note: ReadNote) -> NewRemark {
    let (about, text) = match note {
        ReadNote::Note { target, text } => (NewAbout::Note(target), text),
        ReadNote::Reply { to, text } => (NewAbout::Reply(to), text),
    };
    NewRemark {
        about,
        text,
        photos: Vec::new(),
    }
}

/// Whether the fitted body has every place.
fn check_places(notes: &[ReadNote], stored: &StoredCard) -> Result<(), ApiError> {
    let card = &stored.card;
    let body = fit(style(card.vehicle.body_style), &card.measured)
        .map_err(|e| ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, e.to_string()))?;
    let misplaced = |(index, note): (usize, &ReadNote)| {
        let ReadNote::Note { target, .. } = note else {
            return None;
        };
        let error = target.check(&body, &card.findings).err()?;
        let at = FieldPath::document().field("annotations").item(index);
        let accepted = "a place that the card has";
        Some(FieldError::new(
            at.field("at"),
            error.to_string(),
            accepted,
            None,
        ))
    };
    let errors: Vec<FieldError> = notes.iter().enumerate().filter_map(misplaced).collect();
    match errors.is_empty() {
        true => Ok(()),
        false => Err(ApiError::invalid(errors)),
    }
}

fn stale(if_match: &IfMatch, stored: &StoredCard, text: &[u8]) -> ApiError {
    let yours = serde_json::from_slice(text).unwrap_or(Value::Null);
    let current = Annotations::of(stored, stored.card.annotations.iter());
    let current = serde_json::to_value(current).unwrap_or(Value::Null);
    ApiError::stale(if_match.named(), stored.revision, [yours, current])
}
