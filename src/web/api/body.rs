//! JSON bodies as text: the contract reads them, so that every invalid field
//! can be named with its line.

use super::problems::ApiError;
use crate::contract::card_file::{MOST_BYTES, MOST_FINDINGS};
use crate::contract::{FieldError, Path, Problem};
use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use axum::http::{HeaderMap, StatusCode, header};
use serde_json::Value;

/// A body sent as `application/json`, at most as large as a card file.
pub struct JsonText(pub Bytes);

impl<S: Send + Sync> FromRequest<S> for JsonText {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiError> {
        if !is_json(request.headers()) {
            return Err(ApiError::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "The body has to be sent with Content-Type: application/json. Nothing was changed.",
            ));
        }
        let announced = announced_bytes(request.headers());
        let body = Bytes::from_request(request, state).await;
        body.map(Self)
            .map_err(|rejection| match rejection.status() {
                StatusCode::PAYLOAD_TOO_LARGE => too_large(announced),
                status => ApiError::new(
                    status,
                    "The body could not be received. Nothing was changed.",
                ),
            })
    }
}

/// How large the body is said to be.
fn announced_bytes(headers: &HeaderMap) -> Option<u64> {
    let value = headers.get(header::CONTENT_LENGTH)?;
    value.to_str().ok()?.parse().ok()
}

/// Names the whole body as the field at fault: it is not read to the end, so how
/// many findings it holds is not known.
fn too_large(announced: Option<u64>) -> ApiError {
    let accepted =
        format!("at most {MOST_BYTES} bytes (2 MiB) and {MOST_FINDINGS} findings on a card");
    let given = announced.map(Value::from);
    let error = FieldError::new(
        Path::document(),
        "the body is too large",
        accepted.clone(),
        given.as_ref(),
    );
    let status = StatusCode::PAYLOAD_TOO_LARGE;
    let title = status.canonical_reason().unwrap_or("Content Too Large");
    let size = announced.map_or(String::new(), |bytes| format!(" of {bytes} bytes"));
    let detail = format!("The body{size} is too large; accepted: {accepted}. Nothing was changed.");
    Problem {
        errors: vec![error],
        ..Problem::new(status.as_u16(), title, detail)
    }
    .into()
}

/// Parameters such as a charset are let pass; JSON is UTF-8 whatever they say.
fn is_json(headers: &HeaderMap) -> bool {
    let value = headers
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok());
    value
        .and_then(|value| value.split(';').next())
        .is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json"))
}
