//! Photos of notes: each fetched, and one sent to a note.

use super::answer;
use super::cards::{for_reader, read_card};
use super::problems::{ApiError, BodyProblems, ReadProblems};
use crate::contract::{FieldError, Path as FieldPath};
use crate::domain::annotation::{Annotation, Photo};
use crate::photo::MOST_BYTES;
use crate::store::{PhotoSize, StoredCard};
use crate::web::AppState;
use crate::web::notes::{Sent, answer_photo, forget};
use crate::web::typed::Typed;
use axum::extract::{FromRequest, Path, Request};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use time::OffsetDateTime;
use utoipa::ToSchema;

/// What every photo is kept as.
const MEDIA_TYPE: &str = "image/jpeg";

/// A photo of a note or a reply, and where it is fetched.
#[derive(Debug, Serialize, ToSchema)]
pub struct PhotoAnswer {
    pub name: String,
    /// The note or reply it hangs on.
    pub of: String,
    /// In words, for who cannot see it.
    pub alt: String,
    pub width_px: u32,
    pub height_px: u32,
    #[schema(example = "image/jpeg")]
    pub media_type: &'static str,
    /// Of the file at `href`, in hex; null for one that was kept before it was noted.
    pub sha256: Option<String>,
    /// Where it is fetched.
    pub href: String,
    /// The same, at most 320 pixels along its longer side.
    pub thumbnail: String,
}

impl PhotoAnswer {
    fn new(card: &str, remark: &str, photo: &Photo) -> Self {
        let href = format!("/api/v1/cards/{card}/photos/{}", photo.name);
        Self {
            name: photo.name.clone(),
            of: remark.to_owned(),
            alt: photo.alt.clone(),
            width_px: photo.width_px,
            height_px: photo.height_px,
            media_type: MEDIA_TYPE,
            sha256: photo.sha256.clone(),
            thumbnail: format!("{href}/small"),
            href,
        }
    }

    /// Those of notes and their replies.
    pub fn of<'a>(
        stored: &'a StoredCard,
        notes: impl Iterator<Item = &'a Annotation>,
    ) -> Vec<Self> {
        let card = stored.id.as_str();
        notes
            .flat_map(Annotation::remarks)
            .flat_map(|r| r.photos.iter().map(|p| Self::new(card, &r.id, p)))
            .collect()
    }
}

/// A photo as it is sent.
#[derive(ToSchema)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct NewPhoto {
    /// JPEG, PNG or WebP, whole and still, up to 16 MiB and 50 million pixels. It
    /// is written anew: place, time and device stay behind.
    #[schema(value_type = String, format = Binary, content_media_type = "application/octet-stream")]
    photo: Vec<u8>,
    /// What it shows, in up to 200 characters, for who cannot see it. No patient, no
    /// number plate, no face.
    #[schema(min_length = 1, max_length = 200)]
    alt: String,
}

/// A photo of a note
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/photos/{name}", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("name" = String, Path, description = "The photo's name"),
    ),
    responses((status = 200, content_type = "image/jpeg", body = Vec<u8>), ReadProblems),
)]
pub async fn show_photo(
    state: AppState,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, ApiError> {
    Ok(answer_photo(&state, &id, &name, PhotoSize::Full).await?)
}

/// The same, at most 320 pixels along its longer side
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/photos/{name}/small", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("name" = String, Path, description = "The photo's name"),
    ),
    responses((status = 200, content_type = "image/jpeg", body = Vec<u8>), ReadProblems),
)]
pub async fn show_small_photo(
    state: AppState,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, ApiError> {
    Ok(answer_photo(&state, &id, &name, PhotoSize::Small).await?)
}

/// Hang a photo on a note or a reply
///
/// On any of the own department's card, or on one's own on a partner's.
#[utoipa::path(
    post, path = "/api/v1/cards/{id}/annotations/{note}/photos", tag = "cards",
    params(
        ("id" = String, Path, description = "The card's id"),
        ("note" = String, Path, description = "The id of the note or reply"),
    ),
    request_body(content = NewPhoto, content_type = "multipart/form-data"),
    responses(
        (status = 201, body = PhotoAnswer, headers(("etag" = String, description = "The revision"))),
        ReadProblems, BodyProblems,
    ),
)]
pub async fn add_photo(
    state: AppState,
    Path((id, note)): Path<(String, String)>,
    PhotoForm(mut sent): PhotoForm,
) -> Result<Response, ApiError> {
    let stored = for_reader(&state, read_card(&state, &id).await?);
    let mut notes = stored.card.annotations.iter();
    // A reply has the same place, and what one cannot read is not there.
    if !notes.any(|a| a.remark(&note).is_some()) {
        return Err(ApiError::not_found("note"));
    }
    let brought = sent.photo().await?;
    if brought.is_none() && sent.typed.is_valid() {
        sent.typed.refuse(Sent::PHOTO, "send a photo");
    }
    let Some(brought) = brought.filter(|_| sent.typed.is_valid()) else {
        return Err(ApiError::invalid(faults(&sent.typed)));
    };
    let photo = brought.keep(&state).await?;
    let now = OffsetDateTime::now_utc();
    let added = state
        .store
        .add_photo(&state.actor, &stored.id, &note, &photo, now)
        .await;
    let written = match added {
        Ok(Some(written)) => written,
        Ok(None) => {
            forget(&state, Some(&photo)).await;
            return Err(ApiError::not_found("card to write on"));
        }
        Err(error) => {
            forget(&state, Some(&photo)).await;
            return Err(error.into());
        }
    };
    let made = PhotoAnswer::new(stored.id.as_str(), &note, &photo);
    let etag = [(header::ETAG, answer::etag(written.revision))];
    Ok((etag, answer::json(StatusCode::CREATED, &made)).into_response())
}

fn faults(typed: &Typed) -> Vec<FieldError> {
    let named = |fault: &crate::web::typed::Fault| {
        let accepted = match fault.field.as_str() {
            "photo" => "a whole, still JPEG, PNG or WebP, up to 16 MiB and 50 million pixels",
            _ => "1 to 200 characters",
        };
        let path = FieldPath::document().field(&fault.field);
        FieldError::new(path, fault.said.clone(), accepted, None)
    };
    typed.faults().iter().map(named).collect()
}

/// A body sent as `multipart/form-data`, with a photo at most as large as one may be.
/// Any site's form can send one with a member's cookie, so it comes with a key, or
/// from a browser that says which page sent it: others were refused on the way here.
pub struct PhotoForm(Sent);

fn says_where_from(headers: &HeaderMap) -> bool {
    let known = [header::AUTHORIZATION, header::ORIGIN];
    known.iter().any(|name| headers.contains_key(name)) || headers.contains_key("sec-fetch-site")
}

impl<S: Send + Sync> FromRequest<S> for PhotoForm {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let kind = kind.and_then(|value| value.to_str().ok()).unwrap_or("");
        let name = kind.split(';').next().unwrap_or_default().trim();
        if !name.eq_ignore_ascii_case("multipart/form-data") {
            return Err(ApiError::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "A photo has to be sent as multipart/form-data. Nothing was changed.",
            ));
        }
        if !says_where_from(request.headers()) {
            return Err(ApiError::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "A photo has to be sent with a key, or by a page of this service. Nothing was changed.",
            ));
        }
        let sent = Sent::from_request(request, state).await;
        sent.map(Self).map_err(|refusal| match refusal.status() {
            StatusCode::PAYLOAD_TOO_LARGE => ApiError::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                format!(
                    "The photo is too large: at most {} MiB are accepted. Nothing was changed.",
                    MOST_BYTES >> 20
                ),
            ),
            _ => ApiError::new(
                StatusCode::BAD_REQUEST,
                "The form could not be read. Nothing was changed.",
            ),
        })
    }
}
