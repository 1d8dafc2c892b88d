//! Finding cards by words in any order, with slips, or by a VIN, as the find
//! page does.

use super::answer;
use super::problems::{ApiError, ReadProblems};
use super::query::QueryReader;
use super::vin::VinView;
use crate::domain::find::look_up;
use crate::domain::vehicle::Vehicle;
use crate::web::AppState;
use crate::web::variant::Pairs;
use axum::extract::Query;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;
use utoipa::{IntoParams, ToSchema};

/// Results unless asked otherwise.
const RESULTS: u32 = 10;
/// Results at most.
const MOST_RESULTS: u32 = 50;
/// Characters of a search at most.
const MOST_CHARS: usize = 200;

/// What to look for.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes what `QueryReader` reads")]
pub struct FindParams {
    /// Year, make, model, body style, drive, in any order, or a VIN; at most 200 characters
    #[param(required = false, max_length = 200)]
    q: String,
    /// Results, 1 to 50; 10 if left out
    #[param(minimum = 1, maximum = 50)]
    limit: Option<usize>,
}

/// A card that answers.
#[derive(Debug, Serialize, ToSchema)]
pub struct FindResult {
    card: String,
    make: Option<String>,
    model: Option<String>,
    years: Option<[i32; 2]>,
    body_style: &'static str,
    /// 0 to 1.
    score: f64,
    /// What was met and what was not.
    why: String,
}

/// What was found. A VIN tells a model year, no make or model.
#[derive(Debug, Serialize, ToSchema)]
pub struct FindAnswer {
    /// Best first.
    results: Vec<FindResult>,
    /// The body style whose generic card stands in where no card matches: nobody
    /// has looked at that car.
    generic: Option<&'static str>,
    /// What was typed, read as a VIN; left out where it is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    vin: Option<VinView>,
}

/// Find cards by words in any order, or by a VIN
#[utoipa::path(
    get, path = "/api/v1/find", tag = "cards",
    params(FindParams),
    responses((status = 200, body = FindAnswer), ReadProblems),
)]
pub async fn find_cards(state: AppState, Query(pairs): Pairs) -> Result<Response, ApiError> {
    let mut query = QueryReader::new(&pairs);
    let q = query.words("q", MOST_CHARS);
    let limit = query.whole("limit", 1..=MOST_RESULTS, RESULTS) as usize;
    query.finish()?;
    let cards = state.store.all_summaries(&state.actor.department).await?;
    let vehicles: Vec<&Vehicle> = cards.iter().map(|card| &card.vehicle).collect();
    let (vin, found) = look_up(q, &vehicles, limit);
    let result = |hit: &crate::domain::find::Match| {
        let card = &cards[hit.index];
        FindResult {
            card: card.id.to_string(),
            make: card.vehicle.make.clone(),
            model: card.vehicle.model.clone(),
            years: card.vehicle.years.map(Into::into),
            body_style: card.vehicle.body_style.word(),
            score: hit.score,
            why: hit.why.clone(),
        }
    };
    let answer = FindAnswer {
        results: found.matches.iter().map(result).collect(),
        generic: found.generic().map(|style| style.word()),
        vin: vin.map(VinView::from),
    };
    Ok(answer::json(StatusCode::OK, &answer))
}
