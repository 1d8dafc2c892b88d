//! Counts and times of requests for whoever runs the service, in the
//! Prometheus text format. Addresses are counted by their pattern, so no id and
//! no search is in them.

use axum::extract::{MatchedPath, Request};
use axum::http::{Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use metrics::{counter, histogram};
use metrics_exporter_prometheus::{PrometheusBuilder, PrometheusHandle};
use std::sync::OnceLock;
use std::time::Instant;

/// Upper bounds of the times that are told apart, in seconds.
const BUCKETS_S: [f64; 8] = [0.001, 0.005, 0.01, 0.05, 0.1, 0.5, 1.0, 5.0];

/// The recorder is one for the process, however many routers there are.
fn recorder() -> Option<&'static PrometheusHandle> {
    static HANDLE: OnceLock<Option<PrometheusHandle>> = OnceLock::new();
    let install = || {
        let builder = PrometheusBuilder::new().set_buckets(&BUCKETS_S).ok()?;
        builder.install_recorder().ok()
    };
    HANDLE.get_or_init(install).as_ref()
}

/// Counts a request and its time.
pub async fn measure(request: Request, next: Next) -> Response {
    recorder();
    let route = request.extensions().get::<MatchedPath>();
    let route = route.map_or("none", MatchedPath::as_str).to_owned();
    let method = method_label(request.method());
    let started = Instant::now();
    let response = next.run(request).await;
    let status = response.status().as_u16().to_string();
    histogram!("pillarbook_request_seconds", "route" => route.clone())
        .record(started.elapsed().as_secs_f64());
    counter!(
        "pillarbook_requests_total",
        "route" => route, "method" => method, "status" => status,
    )
    .increment(1);
    response
}

/// Methods of our own addresses by name; whatever else is sent is one label.
fn method_label(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        _ => "other",
    }
}

/// `GET /metrics`.
pub async fn show_metrics() -> Response {
    let Some(handle) = recorder() else {
        return StatusCode::SERVICE_UNAVAILABLE.into_response();
    };
    handle.run_upkeep();
    let kind = [(
        header::CONTENT_TYPE,
        "text/plain; version=0.0.4; charset=utf-8",
    )];
    (kind, handle.render()).into_response()
}
