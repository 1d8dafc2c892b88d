//! A form that may carry a file: sent as `multipart/form-data` (RFC 7578), or as
//! any other form where it carries none.

use super::Typed;
use crate::web::error::AppError;
use crate::web::routes::FORM_LIMIT_BYTES;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::response::{IntoResponse, Response};
use http::StatusCode;
use http::header::CONTENT_TYPE;
use tokio::io::AsyncWriteExt;

/// Fields of such a form; the longest page has a dozen.
const MOST_PARTS: usize = 50;

/// What was sent: fields as typed, and the file if one was chosen.
#[derive(Debug, Default)]
pub struct Upload {
    pub typed: Typed,
    pub file: Option<UploadedFile>,
}

/// A file as sent.
#[derive(Debug)]
pub struct UploadedFile {
    /// What the sender calls it; for the page alone.
    pub name: String,
    pub bytes: Vec<u8>,
}

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        if !may_carry_file(&request) {
            let typed = Typed::from_request(request, state).await?;
            return Ok(Self { typed, file: None });
        }
        let parts = Multipart::from_request(request, state).await;
        let parts = parts.map_err(IntoResponse::into_response)?;
        read(parts).await.map_err(IntoResponse::into_response)
    }
}

async fn read(mut parts: Multipart) -> Result<Upload, MultipartError> {
    let (mut pairs, mut file) = (Vec::new(), None);
    while let Some(part) = parts.next_field().await? {
        let name = part.name().unwrap_or_default().to_owned();
        match part.file_name().map(str::to_owned) {
            Some(called) => {
                let bytes = part.bytes().await?.to_vec();
                // A browser sends an empty one where none was chosen.
                if !(called.is_empty() && bytes.is_empty()) {
                    file = Some(UploadedFile {
                        name: called,
                        bytes,
                    });
                }
            }
            None if pairs.len() < MOST_PARTS => {
                let bytes = part.bytes().await?;
                pairs.push((name, String::from_utf8_lossy(&bytes).into_owned()));
            }
            None => {}
        }
    }
    Ok(Upload {
        typed: Typed::sent(pairs),
        file,
    })
}

/// What was sent, with a file that is too large for memory: written to the disk as
/// it comes.
#[derive(Debug, Default)]
pub struct LargeUpload {
    pub typed: Typed,
    pub file: Option<LargeFile>,
}

/// A file on the disk, under no name: gone when it is closed.
#[derive(Debug)]
pub struct LargeFile {
    /// What the sender calls it; for the page alone.
    pub name: String,
    pub bytes: u64,
    pub file: tokio::fs::File,
}

impl<S: Send + Sync> FromRequest<S> for LargeUpload {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        if !may_carry_file(&request) {
            // The address takes as much as a file may have; in memory, no form does.
            let mut request = request;
            DefaultBodyLimit::max(FORM_LIMIT_BYTES).apply(&mut request);
            let typed = Typed::from_request(request, state).await?;
            return Ok(Self { typed, file: None });
        }
        let parts = Multipart::from_request(request, state).await;
        let mut parts = parts.map_err(IntoResponse::into_response)?;
        let (mut pairs, mut file, mut left) = (Vec::new(), None, FORM_LIMIT_BYTES);
        while let Some(part) = parts
            .next_field()
            .await
            .map_err(IntoResponse::into_response)?
        {
            let name = part.name().unwrap_or_default().to_owned();
            if part.file_name().is_some() {
                file = to_disk(part).await?.or(file);
            } else if pairs.len() < MOST_PARTS {
                let bytes = within(part, left).await?;
                left -= bytes.len();
                pairs.push((name, String::from_utf8_lossy(&bytes).into_owned()));
            }
        }
        Ok(Self {
            typed: Typed::sent(pairs),
            file,
        })
    }
}

/// A field in memory, which has so many bytes at most.
async fn within(mut part: Field<'_>, most: usize) -> Result<Vec<u8>, Response> {
    let mut bytes = Vec::new();
    while let Some(piece) = part.chunk().await.map_err(IntoResponse::into_response)? {
        if bytes.len() + piece.len() > most {
            return Err(StatusCode::PAYLOAD_TOO_LARGE.into_response());
        }
        bytes.extend_from_slice(&piece);
    }
    Ok(bytes)
}

/// A browser sends an empty one where none was chosen: that is none.
async fn to_disk(mut part: Field<'_>) -> Result<Option<LargeFile>, Response> {
    let failed = |e: std::io::Error| AppError::Internal(Box::new(e)).into_response();
    let name = part.file_name().unwrap_or_default().to_owned();
    let file = tempfile::tempfile().map_err(failed)?;
    let (mut file, mut bytes) = (tokio::fs::File::from_std(file), 0);
    while let Some(piece) = part.chunk().await.map_err(IntoResponse::into_response)? {
        bytes += piece.len() as u64;
        file.write_all(&piece).await.map_err(failed)?;
    }
    file.flush().await.map_err(failed)?;
    let chosen = !(name.is_empty() && bytes == 0);
    Ok(chosen.then_some(LargeFile { name, bytes, file }))
}

fn may_carry_file(request: &Request) -> bool {
    let kind = request.headers().get(CONTENT_TYPE);
    kind.and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| kind.starts_with("multipart/"))
}
