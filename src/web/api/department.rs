//! What the department has set for its plans: its own openings and the order
//! rules it has switched off.

use super::answer;
use super::body::JsonText;
use super::precondition::IfMatch;
use super::problems::{ApiError, BodyProblems, ReadProblems, RevisionProblems};
use crate::contract::Problem;
use crate::contract::plan::{DepartmentFile, settings_of_text};
use crate::store::{PlanSettings, Revision, StoreError};
use crate::web::AppState;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use serde_json::Value;
use time::OffsetDateTime;

/// The department's own openings, and the order rules it has switched off
#[utoipa::path(
    get, path = "/api/v1/department/openings", tag = "plans",
    responses(
        (status = 200, body = DepartmentFile, headers(("etag" = String, description = "The version"))),
        (status = 304, description = "The asker has this version"),
        ReadProblems,
    ),
)]
pub async fn show_openings(state: AppState, headers: HeaderMap) -> Result<Response, ApiError> {
    let (version, set) = state.store.plan_settings(&state.actor.department).await?;
    Ok(answer::of_revision(&headers, version, || {
        value(&set).to_string()
    }))
}

/// Put other openings and switched-off rules in their place
///
/// What is left out is none afterwards; tools stay as they are. `If-Match` carries
/// the `ETag` of the version that was changed, `"0"` where nothing was set yet.
#[utoipa::path(
    put, path = "/api/v1/department/openings", tag = "plans",
    params(("if-match" = String, Header, description = "The version this is based on")),
    request_body = DepartmentFile,
    responses(
        (status = 200, body = DepartmentFile, headers(("etag" = String, description = "The version"))),
        ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn update_openings(
    state: AppState,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::required(&headers)?;
    let sent = settings_of_text(&text)?;
    let department = &state.actor.department;
    let (version, set) = state.store.plan_settings(department).await?;
    let wanted = PlanSettings {
        openings: sent.own_openings,
        rules_off: sent.rules_off,
        tools: set.tools.clone(),
    };
    if !if_match.allows(version) {
        return Err(stale(&if_match, version, [&wanted, &set]));
    }
    let now = OffsetDateTime::now_utc();
    let saved = state
        .store
        .set_plan_settings(&state.actor, Some(version), &wanted, now)
        .await;
    match saved {
        Err(StoreError::Conflict { .. }) => {
            let (version, set) = state.store.plan_settings(department).await?;
            Err(stale(&if_match, version, [&wanted, &set]))
        }
        saved => Ok(answer::of_revision(&HeaderMap::new(), saved?, || {
            value(&wanted).to_string()
        })),
    }
}

fn value(set: &PlanSettings) -> Value {
    let file = DepartmentFile::new(&set.openings, &set.rules_off);
    serde_json::to_value(file).expect("settings are plain data")
}

/// A write based on an older version: 412, with both versions.
fn stale(if_match: &IfMatch, version: Revision, versions: [&PlanSettings; 2]) -> ApiError {
    let [yours, current] = versions.map(value);
    let detail = format!(
        "The department's openings are at version {version} now. Nothing was changed; compare \
         both versions and send it again with If-Match: \"{version}\"."
    );
    let status = StatusCode::PRECONDITION_FAILED;
    Problem {
        expected_revision: if_match.named(),
        current_revision: Some(version),
        yours: Some(yours),
        current: Some(current),
        ..Problem::new(status.as_u16(), "Precondition Failed", detail)
    }
    .into()
}
