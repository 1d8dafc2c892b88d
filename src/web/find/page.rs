//! `/`: the box and what it finds. `/find` is the part below the box, for a
//! page that asks again as one types; whoever comes there without one is sent to
//! the page.

use super::results::{CardRow, LIMIT, Results, StyleRow};
use crate::domain::body::StyleId;
use crate::web::error::AppError;
use crate::web::state::AppState;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Query, RawQuery};
use axum::http::{HeaderMap, HeaderName};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// Sent by the page that has the box, which asks for the part alone.
const PART: HeaderName = HeaderName::from_static("x-part");
/// Most characters of a search that are read.
const LONGEST: usize = 200;

/// What is typed in the box.
#[derive(Debug, Default, Deserialize)]
pub struct FindQuery {
    #[serde(default)]
    q: String,
}

/// The find page.
#[derive(Template, WebTemplate)]
#[template(path = "find/find.html")]
pub struct FindPage {
    pub typed: String,
    /// How much waits for a second person or an officer.
    pub waiting: usize,
    /// `None` before anything is typed.
    pub results: Option<Results>,
    pub recent: Vec<CardRow>,
    pub styles: Vec<StyleRow>,
}

/// The part of the find page below the box.
#[derive(Template, WebTemplate)]
#[template(path = "find/_below.html")]
pub struct FindBelow {
    pub results: Option<Results>,
    pub recent: Vec<CardRow>,
    pub styles: Vec<StyleRow>,
}

async fn look_up(state: &AppState, query: &FindQuery) -> Result<FindPage, AppError> {
    let typed: String = query.q.chars().take(LONGEST).collect();
    let typed = typed.trim().to_owned();
    let summaries = state.store.all_summaries(&state.actor.department).await?;
    let results = (!typed.is_empty()).then(|| Results::of(&typed, &summaries));
    Ok(FindPage {
        typed,
        waiting: state.store.waiting_count(&state.actor.department).await?,
        results,
        recent: summaries.iter().take(LIMIT).map(CardRow::of).collect(),
        styles: StyleId::ALL.iter().map(|s| StyleRow::of(*s)).collect(),
    })
}

/// `GET /`
pub async fn show_find(
    state: AppState,
    Query(query): Query<FindQuery>,
) -> Result<FindPage, AppError> {
    look_up(&state, &query).await
}

/// `GET /find`
pub async fn show_find_results(
    state: AppState,
    asked: HeaderMap,
    RawQuery(typed): RawQuery,
    Query(query): Query<FindQuery>,
) -> Result<Response, AppError> {
    if !asked.contains_key(PART) {
        let typed = typed.map(|typed| format!("?{typed}")).unwrap_or_default();
        return Ok(Redirect::to(&format!("/{typed}")).into_response());
    }
    let page = look_up(&state, &query).await?;
    let below = FindBelow {
        results: page.results,
        recent: page.recent,
        styles: page.styles,
    };
    Ok(below.into_response())
}
