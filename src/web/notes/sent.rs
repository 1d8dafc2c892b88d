//! A form that may bring a photo along, and the photo as it is taken in.

use crate::domain::annotation::{MOST_ALT, Photo};
use crate::photo::{self, MOST_BYTES, PhotoError, Taken};
use crate::secret;
use crate::store::{PhotoFiles, Store};
use crate::web::error::AppError;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed, Upload};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::error::Error;
use time::OffsetDateTime;
use tokio::sync::Semaphore;

pub const PHOTO: Asked<'static> = Asked::new("photo", "Photo");
pub const ALT: Asked<'static> = Asked::new("alt", "What the photo shows");

/// Photos decoded at once in the whole process: each takes much memory.
static DECODING: Semaphore = Semaphore::const_new(1);
/// Characters of a name that the program draws: 128 bits in hex.
const NAME_LENGTH: usize = 32;

/// A form as sent, with or without a photo.
#[derive(Debug)]
pub struct Sent {
    pub typed: Typed,
    /// The photo's bytes; none where no file was chosen.
    file: Option<Vec<u8>>,
}

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let upload = Upload::from_request(request, state).await;
        let Upload { typed, file } = upload.map_err(unread)?;
        let file = file.map(|file| file.bytes).filter(|b| !b.is_empty());
        Ok(Self { typed, file })
    }
}

/// A body that cannot be received; larger than any photo may be, it is told so.
fn unread(refusal: Response) -> Response {
    match refusal.status() {
        StatusCode::PAYLOAD_TOO_LARGE => AppError::TooLarge(format!(
            "The photo is too large: at most {} MiB are accepted. Nothing was changed.",
            MOST_BYTES >> 20
        ))
        .into_response(),
        _ => refusal,
    }
}

/// A photo that was taken in, not kept yet.
#[derive(Debug)]
pub struct Brought {
    taken: Taken,
    alt: String,
}

impl Sent {
    /// The field a photo is sent in.
    pub const PHOTO: Asked<'static> = PHOTO;

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
        let taken = taking(move || photo::take(&file)).await?;
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

/// Decodes one photo, few at once, on a thread that answers nobody.
pub async fn taking(
    take: impl FnOnce() -> Result<Taken, PhotoError> + Send + 'static,
) -> Result<Result<Taken, PhotoError>, AppError> {
    let internal = |e: Box<dyn std::error::Error + Send + Sync>| AppError::Internal(e);
    let permit = DECODING.acquire().await.map_err(|e| internal(e.into()))?;
    let taking = tokio::task::spawn_blocking(move || {
        // Held until the work is done, also where nobody waits for it any more.
        let _held = permit;
        take()
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
            sha256,
        } = self.taken;
        // Whatever fails from here on, the files are not forgotten.
        let now = OffsetDateTime::now_utc();
        state.store.expect_photo_file(&name, now).await?;
        state.photos.keep(&name, full.into(), small.into()).await?;
        Ok(Photo {
            name,
            alt: self.alt,
            width_px,
            height_px,
            sha256: Some(sha256),
        })
    }
}

/// Removes the bytes of a photo that no note came to hold.
pub async fn forget(state: &AppState, photo: Option<&Photo>) {
    if let Some(photo) = photo {
        remove_now(&state.store, &state.photos, &photo.name).await;
    }
}

/// Removes the files of a photo that the book left to be removed. `false` where
/// they are still there: they are tried again with every sweep.
pub async fn remove_now(store: &Store, photos: &PhotoFiles, name: &str) -> bool {
    let removed: Result<(), Box<dyn Error + Send + Sync>> = async {
        photos.remove(name).await?;
        Ok(store.forget_photo_file(name).await?)
    }
    .await;
    if let Err(error) = &removed {
        let error: &dyn Error = error.as_ref();
        tracing::warn!(error, "a photo's file is not removed yet");
    }
    removed.is_ok()
}
