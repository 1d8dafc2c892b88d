//! Plans: of a card file, and of a stored card.

use super::answer;
use super::body::JsonText;
use super::cards::read_card;
use super::problems::{ApiError, BodyProblems, ReadProblems};
use crate::contract::card_file::CardFileError;
use crate::contract::plan::{
    AskError, AskRequestFile, PlanFile, PlanRequestFile, ask_of_request, plan_of_ask, plan_of_text,
};
use crate::web::{AppError, AppState};
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::Response;

/// Check ways in against a card file's zones, cut by cut
///
/// The same bytes as `pillarbook plan` prints for the same card and ask. Nothing is
/// stored, neither of the card nor of the ask.
#[utoipa::path(
    post, path = "/api/v1/plan", tag = "plans",
    request_body = PlanRequestFile,
    responses((status = 200, body = PlanFile), ReadProblems, BodyProblems),
)]
pub async fn compute_plan(JsonText(text): JsonText) -> Result<Response, ApiError> {
    let document = aside(move || {
        let planned = plan_of_text(&text)?;
        Ok::<_, CardFileError>(PlanFile::from(&planned.plan).to_json())
    })
    .await??;
    Ok(answer::text_of(StatusCode::OK, document))
}

/// Check ways in against a stored card's zones, cut by cut
///
/// Under the policy of the card's department. With the openings of the department
/// that asks, without the rules it has switched off, and with its tools where the
/// ask names none. Nothing of the ask is stored.
#[utoipa::path(
    post, path = "/api/v1/cards/{id}/plan", tag = "plans",
    params(("id" = String, Path, description = "The card's id")),
    request_body = AskRequestFile,
    responses((status = 200, body = PlanFile), ReadProblems, BodyProblems),
)]
pub async fn plan_card(
    state: AppState,
    Path(id): Path<String>,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let stored = read_card(&state, &id).await?;
    let mut ask = ask_of_request(&text)?;
    let (_, set) = state.store.plan_settings(&state.actor.department).await?;
    let settings = set.settle(&mut ask);
    let document = aside(move || {
        let plan = plan_of_ask(&stored.card, &ask, &settings)?;
        Ok::<_, AskError>(PlanFile::from(&plan).to_json())
    })
    .await?
    .map_err(|error| ApiError::invalid(error.fields()))?;
    Ok(answer::text_of(StatusCode::OK, document))
}

/// Work that must not hold up other requests.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, ApiError> {
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|panic| AppError::Internal(panic.into()).into())
}
