//! Zones of a card file, and of a stored card.

use super::answer::{self, Mark};
use super::body::JsonText;
use super::cards::read_card;
use super::problems::{ApiError, BodyProblems, ReadProblems};
use crate::contract::card_file::{CardFile, CardFileError};
use crate::contract::variant::variant_of_query;
use crate::contract::{ZonesFile, zone_errors, zones_of_file};
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use crate::web::variant::Pairs;
use crate::web::{AppError, AppState};
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::response::Response;
use utoipa::IntoParams;

/// Names the fields of a file that were passed over, since the zones document
/// has no place for them.
static IGNORED_FIELDS: HeaderName = HeaderName::from_static("x-ignored-fields");

/// The variant of the car asked about; what is left out falls back to the card's
/// vehicle. Read by the contract, described here.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct VariantParams {
    /// Model year, 1900 to 2100
    year: Option<i32>,
    /// petrol, diesel, hybrid, battery, gas, hydrogen
    drive: Option<String>,
    /// left, right
    wheel: Option<String>,
    /// fixed, sunroof, glass, folding
    roof: Option<String>,
    /// Market, as cards name it
    region: Option<String>,
}

pub fn variant_of(query: &[(String, String)]) -> Result<Variant, ApiError> {
    variant_of_query(query).map_err(ApiError::invalid)
}

/// Work out the zones of a card file
///
/// The same bytes as `pillarbook zones` prints for the same file. Nothing is stored.
#[utoipa::path(
    post, path = "/api/v1/zones", tag = "zones",
    params(VariantParams),
    request_body = CardFile,
    responses((status = 200, body = ZonesFile), ReadProblems, BodyProblems),
)]
pub async fn compute_zones(
    Query(query): Pairs,
    JsonText(text): JsonText,
) -> Result<Response, ApiError> {
    let variant = variant_of(&query)?;
    // A file of thousands of findings must not hold up other requests.
    let computed = tokio::task::spawn_blocking(move || {
        let answer = zones_of_file(&text, &variant)?;
        let document = ZonesFile::from(&answer.zones).to_json();
        Ok::<_, CardFileError>((document, answer.read.ignored))
    });
    let (document, ignored) = computed
        .await
        .map_err(|panic| AppError::Internal(panic.into()))??;
    let mut response = answer::text_of(StatusCode::OK, document);
    let names: Vec<String> = ignored.iter().map(|e| e.field.to_string()).collect();
    if !names.is_empty()
        && let Ok(value) = HeaderValue::from_str(&names.join(", "))
    {
        response.headers_mut().insert(&IGNORED_FIELDS, value);
    }
    Ok(response)
}

/// The zones of a stored card, under its department's policy
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/zones", tag = "zones",
    params(("id" = String, Path, description = "The card's id"), VariantParams),
    responses(
        (status = 200, body = ZonesFile, headers(("etag" = String, description = "The revision"))),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_zones(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    headers: HeaderMap,
) -> Result<Response, ApiError> {
    let variant = variant_of(&query)?;
    let stored = read_card(&state, &id).await?;
    let found = zones(&stored.card, &variant).map_err(|e| ApiError::invalid(zone_errors(&e)))?;
    let mark = Mark {
        revision: stored.revision,
        late: stored.card.review_overdue,
    };
    Ok(answer::of_revision(&headers, mark, || {
        let document = ZonesFile::from(&found);
        document
            .of_revision(stored.updated_at.date(), stored.revision)
            .to_json()
    }))
}
