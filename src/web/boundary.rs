//! The outermost layer: gives each request an id, logs it once, turns what
//! went wrong into a page (or a problem document under `/api/`), and sets the
//! headers that keep other sites and inline scripts out.

use super::error::{AppError, ErrorNote};
use axum::body::Body;
use axum::extract::{MatchedPath, Request};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::any::Any;
use std::time::Instant;
use tracing::Instrument;

/// The header that carries the request id out.
pub static REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Set unless the handler has set its own. No inline script, no inline style.
const HEADERS: [(HeaderName, &str); 7] = [
    // What one member is shown is no other's, on no shared cache on the way.
    (header::CACHE_CONTROL, "private, no-cache"),
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; \
         connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    // Not `no-referrer`: with it a browser sends `Origin: null` for our own forms.
    (header::REFERRER_POLICY, "same-origin"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=()",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// Wraps every request.
pub async fn pass(request: Request, next: Next) -> Response {
    let id = uuid::Uuid::now_v7().to_string();
    let for_api = request.uri().path().starts_with("/api/");
    let span = tracing::info_span!(
        "request",
        id,
        method = %request.method(),
        path = loggable(&request),
    );
    let started = Instant::now();
    let mut response = next.run(request).instrument(span.clone()).await;
    let took_ms = started.elapsed().as_secs_f64() * 1000.0;
    span.in_scope(|| log(&response, took_ms));
    response = shown(response, for_api, &id);
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    if let Ok(id) = HeaderValue::from_str(&id) {
        headers.insert(REQUEST_ID.clone(), id);
    }
    response
}

/// The path, without the query, which may hold a VIN. Of a link that opens
/// something by itself only the pattern, and of what is no address here nothing:
/// it may be such a link, mistyped.
fn loggable(request: &Request) -> &str {
    let pattern = request.extensions().get::<MatchedPath>();
    match pattern.map(MatchedPath::as_str) {
        Some(pattern) if pattern.contains("{secret}") => pattern,
        Some(_) => request.uri().path(),
        None => "(no address here)",
    }
}

/// One line a request; the only place where an inner error is written out.
fn log(response: &Response, took_ms: f64) {
    let status = response.status().as_u16();
    let note = response.extensions().get::<ErrorNote>();
    match note.and_then(|n| n.internal.as_deref()) {
        Some(internal) => tracing::error!(status, took_ms, error = internal, "failed"),
        None if response.status().is_server_error() => tracing::error!(status, took_ms, "failed"),
        None => tracing::info!(status, took_ms, "answered"),
    }
}

/// The response with its error page, where it is an error without one.
fn shown(response: Response, for_api: bool, request_id: &str) -> Response {
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let note = match response.extensions().get::<ErrorNote>() {
        Some(note) => note.clone(),
        None if has_own_body(&response) => return response,
        None => ErrorNote::of_status(status),
    };
    let (mut parts, _) = response.into_parts();
    parts.headers.remove(header::CONTENT_LENGTH);
    let (content_type, body) = if for_api {
        ("application/problem+json", note.problem(status, request_id))
    } else {
        ("text/html; charset=utf-8", note.page(status, request_id))
    };
    parts
        .headers
        .insert(header::CONTENT_TYPE, HeaderValue::from_static(content_type));
    parts
        .headers
        .insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    Response::from_parts(parts, Body::from(body))
}

/// A form shown again, or a problem document: already fit to be read.
fn has_own_body(response: &Response) -> bool {
    let content_type = response.headers().get(header::CONTENT_TYPE);
    content_type
        .and_then(|v| v.to_str().ok())
        .is_some_and(|v| v.starts_with("text/html") || v.contains("json"))
}

/// A panic becomes an ordinary failure; its text goes to the log only.
pub fn answer_panic(panic: Box<dyn Any + Send + 'static>) -> Response {
    let text = panic
        .downcast_ref::<String>()
        .cloned()
        .or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned()))
        .unwrap_or_else(|| "panic without text".to_owned());
    AppError::Internal(format!("panic: {text}").into()).into_response()
}
