//! What the department has set for its plans: its own openings, the order rules
//! it has switched off, its tools. All of it is one version, so that a plan made
//! with it can be told from one made before.

use super::answer;
use super::body::JsonText;
use super::precondition::IfMatch;
use super::problems::{ApiError, BodyProblems, ReadProblems, RevisionProblems};
use crate::contract::Problem;
use crate::contract::plan::{DepartmentFile, ToolsFile, settings_of_text, tools_of_text};
use crate::store::{PlanSettings, Revision, StoreError};
use crate::web::AppState;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use serde::Serialize;
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
    show(&state, &headers, OPENINGS).await
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
    let change = |set: &PlanSettings| PlanSettings {
        openings: sent.own_openings,
        rules_off: sent.rules_off,
        tools: set.tools.clone(),
    };
    update(&state, &if_match, OPENINGS, change).await
}

/// The department's tools, which its plans take where an ask names none
#[utoipa::path(
    get, path = "/api/v1/department/tools", tag = "plans",
    responses(
        (status = 200, body = ToolsFile, headers(("etag" = String, description = "The version"))),
        (status = 304, description = "The asker has this version"),
        ReadProblems,
    ),
)]
pub async fn show_tools(state: AppState, headers: HeaderMap) -> Result<Response, ApiError> {
    show(&state, &headers, TOOLS).await
}

/// Put another list of tools in its place
///
/// Openings and rules stay as they are. `If-Match` carries the `ETag` of the version
/// that was changed, which openings, rules and tools share; `"0"` where nothing was
/// set yet.
#[utoipa::path(
    put, path = "/api/v1/department/tools", tag = "plans",
    params(("if-match" = String, Header, description = "The version this is based on")),
    request_body = ToolsFile,
    responses(
        (status = 200, body = ToolsFile, headers(("etag" = String, description = "The version"))),
        ReadProblems, BodyProblems, RevisionProblems,
    ),
)]
pub async fn update_tools(
    state: AppState,
    headers: HeaderMap,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let if_match = IfMatch::required(&headers)?;
    let tools = tools_of_text(&text)?;
    let change = |set: &PlanSettings| PlanSettings {
        tools,
        ..set.clone()
    };
    update(&state, &if_match, TOOLS, change).await
}

/// A part of what is set, that can be read and put by itself.
#[derive(Clone, Copy)]
struct Part {
    /// As it begins a sentence.
    name: &'static str,
    value: fn(&PlanSettings) -> Value,
}

const OPENINGS: Part = Part {
    name: "The department's openings and rules",
    value: |set| plain(&DepartmentFile::new(&set.openings, &set.rules_off)),
};

const TOOLS: Part = Part {
    name: "The department's tools",
    value: |set| plain(&ToolsFile::new(&set.tools)),
};

fn plain(file: &impl Serialize) -> Value {
    serde_json::to_value(file).expect("settings are plain data")
}

async fn show(state: &AppState, headers: &HeaderMap, part: Part) -> Result<Response, ApiError> {
    let (version, set) = state.store.plan_settings(&state.actor.department).await?;
    Ok(answer::of_revision(headers, version, || {
        (part.value)(&set).to_string()
    }))
}

async fn update(
    state: &AppState,
    if_match: &IfMatch,
    part: Part,
    change: impl FnOnce(&PlanSettings) -> PlanSettings,
) -> Result<Response, ApiError> {
    let department = &state.actor.department;
    let (version, set) = state.store.plan_settings(department).await?;
    let wanted = change(&set);
    if !if_match.allows(version) {
        return Err(stale(if_match, version, part, [&wanted, &set]));
    }
    let now = OffsetDateTime::now_utc();
    let saved = state
        .store
        .set_plan_settings(&state.actor, Some(version), &wanted, now)
        .await;
    match saved {
        Err(StoreError::Conflict { .. }) => {
            let (version, set) = state.store.plan_settings(department).await?;
            Err(stale(if_match, version, part, [&wanted, &set]))
        }
        saved => Ok(answer::of_revision(&HeaderMap::new(), saved?, || {
            (part.value)(&wanted).to_string()
        })),
    }
}

/// A write based on an older version: 412, with both versions.
fn stale(
    if_match: &IfMatch,
    version: Revision,
    part: Part,
    versions: [&PlanSettings; 2],
) -> ApiError {
    let [yours, current] = versions.map(part.value);
    let detail = format!(
        "{} are at version {version} now. Nothing was changed; compare both versions and send \
         it again with If-Match: \"{version}\".",
        part.name
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
