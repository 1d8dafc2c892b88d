//! A form that may carry a file: sent as `multipart/form-data` (RFC 7578), or as
//! any other form where it carries none.

use super::Typed;
use axum::extract::multipart::MultipartError;
use axum::extract::{FromRequest, Multipart, Request};
use axum::response::{IntoResponse, Response};
use http::header::CONTENT_TYPE;

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
        let kind = request.headers().get(CONTENT_TYPE);
        let with_file = kind
            .and_then(|kind| kind.to_str().ok())
            .is_some_and(|kind| kind.starts_with("multipart/"));
        if !with_file {
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
