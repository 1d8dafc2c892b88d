//! Whether the service runs, and whether it can answer.

use super::error::AppError;
use super::state::Service;
use axum::extract::State;

/// `GET /healthz`: the process answers.
pub async fn show_health() -> &'static str {
    "ok\n"
}

/// `GET /readyz`: the database answers too.
pub async fn show_readiness(State(service): State<Service>) -> Result<&'static str, AppError> {
    service.store.ping().await?;
    Ok("ok\n")
}
