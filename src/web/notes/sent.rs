//! A form that may bring a photo along, and the photo as it is taken in.

use crate::domain::annotation::{MOST_ALT, Photo};
use crate::photo::{self, MOST_BYTES, PhotoError, Taken};
use crate::secret;
use crate::web::error::AppError;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use axum::body::Bytes;
use axum::extract::multipart::{Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use tokio::sync::Semaphore;

pub const PHOTO: Asked<'static> = Asked::new("photo", "Photo");
pub const ALT: Asked<'static> = Asked::new("alt", "What the photo shows");

/// Fields of such a form at most.
const MOST_FIELDS: usize = 40;
/// Bytes of one typed field at most.
const MOST_TEXT_BYTES: usize = 64 << 10;
/// Photos decoded at once in the whole process: each takes much memory.
static DECODING: Semaphore = Semaphore::const_new(1);
/// Characters of a name that the program draws: 128 bits in hex.
const NAME_LENGTH: usize = 32;

/// A form as sent, with or without a file.
#[derive(Debug)]
pub struct Sent {
    pub typed: Typed,
    /// The bytes of the field `photo`; none where no file was chosen.
    file: Option<Bytes>,
}

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        if !is_multipart(request.headers()) {
            let typed = Typed::from_request(request, state).await?;
            return Ok(Self { typed, file: None });
        }
        let parts = Multipart::from_request(request, state).await;
        let mut parts = parts.map_err(IntoResponse::into_response)?;
        let (mut pairs, mut file) = (Vec::new(), None);
        while let Some(part) = parts.next_field().await.map_err(unread)? {
            let name = part.name().unwrap_or_default().to_owned();
            let bytes = part.bytes().await.map_err(unread)?;
            if name == PHOTO.name {
                file = Some(bytes).filter(|b| !b.is_empty());
                continue;
            }
            if pairs.len() == MOST_FIELDS || bytes.len() > MOST_TEXT_BYTES {
                return Err(StatusCode::PAYLOAD_TOO_LARGE.into_response());
            }
            pairs.push((name, String::from_utf8_lossy(&bytes).into_owned()));
        }
        let typed = Typed::sent(pairs);
        Ok(Self { typed, file })
    }
}

fn is_multipart(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE).and_then(|v| v.to_str().ok());
    kind.is_some_and(|kind| {
        let kind = kind.split(';').next().unwrap_or_default().trim();
        kind.eq_ignore_ascii_case("multipart/form-data")
    })
}

/// A body that cannot be received; larger than any photo may be, it is told so.
fn unread(error: MultipartError) -> Response {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => AppError::TooLarge(format!(
            "The photo is too large: at most {} MiB are accepted. Nothing was changed.",
            MOST_BYTES >> 20
        ))
        .into_response(),
        status => status.into_response(),
    }
}

/// A photo that was taken in, not kept yet.
#[derive(Debug)]
pub struct Brought {
    taken: Taken,
    alt: String,
}

impl Sent {
    /// Takes the photo in, if one was sent; what is wrong with it or its words
    /// is said beside their fields.
    pub async fn photo(&mut self) -> Result<Option<Brought>, AppError> {
        let alt = self.typed.text(ALT, MOST_ALT);
        let Some(file) = self.file.clone() else {
            if alt.is_some() {
                self.typed
                    .refuse(PHOTO, "choose the photo that these words are about");
            }
            return Ok(None);
        };
        if alt.is_none() && self.typed.fault(ALT.name).is_none() {
            let ask = "say in a few words what it shows, for who cannot see it";
            self.typed.refuse(ALT, ask);
        }
        let taken = take(file).await?;
        let taken = taken.map_err(|error| self.typed.refuse(PHOTO, error.to_string()));
        Ok(taken
            .ok()
            .zip(alt)
            .map(|(taken, alt)| Brought { taken, alt }))
    }

    /// Whether a file came along, which no browser fills in again.
    pub fn has_file(&self) -> bool {
        self.file.is_some()
    }
}

async fn take(file: Bytes) -> Result<Result<Taken, PhotoError>, AppError> {
    let internal = |e: Box<dyn std::error::Error + Send + Sync>| AppError::Internal(e);
    let permit = DECODING.acquire().await.map_err(|e| internal(e.into()))?;
    let taking = tokio::task::spawn_blocking(move || {
        // Held until the work is done, also where nobody waits for it any more.
        let _held = permit;
        photo::take(&file)
    });
    taking.await.map_err(|e| internal(e.into()))
}

impl Brought {
    /// Keeps its bytes under a name that is drawn here.
    pub async fn keep(self, state: &AppState) -> Result<Photo, AppError> {
        let mut name = secret::draw();
        name.truncate(NAME_LENGTH);
        let Taken {
            full,
            small,
            width_px,
            height_px,
        } = self.taken;
        state.photos.keep(&name, full.into(), small.into()).await?;
        Ok(Photo {
            name,
            alt: self.alt,
            width_px,
            height_px,
        })
    }
}

/// Removes the bytes of a photo that no note came to hold.
pub async fn forget(state: &AppState, photo: Option<&Photo>) {
    if let Some(photo) = photo
        && let Err(error) = state.photos.remove(&photo.name).await
    {
        tracing::warn!(error = %error, "a photo of no note stays behind");
    }
}
