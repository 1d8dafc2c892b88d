//! JSON bodies as text: the contract reads them, so that every invalid field
//! can be named with its line.

use super::problems::ApiError;
use crate::contract::card_file::MOST_BYTES;
use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use axum::http::{HeaderMap, StatusCode, header};

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
        let body = Bytes::from_request(request, state).await;
        body.map(Self)
            .map_err(|rejection| match rejection.status() {
                StatusCode::PAYLOAD_TOO_LARGE => ApiError::new(
                    StatusCode::PAYLOAD_TOO_LARGE,
                    format!(
                        "The body is larger than the {MOST_BYTES} bytes (2 MiB) that are accepted. \
                     Nothing was changed."
                    ),
                ),
                status => ApiError::new(
                    status,
                    "The body could not be received. Nothing was changed.",
                ),
            })
    }
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
