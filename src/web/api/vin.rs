//! Vehicle identification numbers.

use super::answer;
use super::problems::{ApiError, ReadProblems};
use crate::domain::vin::{self, Vin};
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;
use utoipa::ToSchema;

/// What can be read from a VIN (49 CFR 565.15). A check digit that does not
/// match is a warning: other regions do not use it.
#[derive(Debug, Serialize, ToSchema)]
pub struct VinView {
    vin: String,
    well_formed: bool,
    /// Position 9 as it stands.
    check_digit: Option<char>,
    /// Position 9 as it is computed.
    expected: Option<char>,
    matches: bool,
    /// Model years that position 10 can stand for.
    years: Vec<i32>,
    /// The one of them by position 7.
    year: Option<i32>,
    warnings: Vec<String>,
}

/// Read a VIN
#[utoipa::path(
    get, path = "/api/v1/vin/{vin}", tag = "reference",
    params(("vin" = String, Path, description = "The VIN as typed")),
    responses((status = 200, body = VinView), ReadProblems),
)]
pub async fn read_vin(Path(typed): Path<String>) -> Result<Response, ApiError> {
    let view = VinView::from(vin::read_vin(&typed));
    Ok(answer::json(StatusCode::OK, &view))
}

impl From<Vin> for VinView {
    fn from(vin: Vin) -> Self {
        Self {
            vin: vin.vin,
            well_formed: vin.well_formed,
            check_digit: vin.check_digit,
            expected: vin.expected,
            matches: vin.matches,
            years: vin.years,
            year: vin.year,
            warnings: vin.warnings.iter().map(ToString::to_string).collect(),
        }
    }
}
