//! Why no zones can be computed, as invalid fields of the card.

use super::field_error::FieldError;
use super::path::Path;
use crate::domain::body::FitError;
use crate::domain::zone::{PlaceError, PlaceProblem, ZoneError};
use serde_json::Value;

/// Every field of the card that stands in the way.
pub fn zone_errors(error: &ZoneError) -> Vec<FieldError> {
    match error {
        ZoneError::Fit(errors) => errors.0.iter().flat_map(fit_errors).collect(),
        ZoneError::Findings(errors) => errors.iter().map(place_error).collect(),
    }
}

/// One error for each measurement at fault: two that conflict are both named.
fn fit_errors(error: &FitError) -> Vec<FieldError> {
    let accepted = match error {
        FitError::OutOfRange { from, to, .. } => format!("a number from {from} to {to} mm"),
        FitError::UnknownLandmark { .. } => "a landmark of the body style".to_owned(),
        FitError::Slope { .. } => {
            "between two measured places 0.5 to 2 times the body style's length".to_owned()
        }
        FitError::Width { .. } => "widths that agree within 25 mm".to_owned(),
        FitError::WidthAtMiddle { .. } => "null for y".to_owned(),
        FitError::Bend { .. } => "a centreline that bends by at most 45°".to_owned(),
    };
    let given = match error {
        FitError::OutOfRange { value, .. } => Some(Value::from(*value)),
        _ => None,
    };
    let mut paths: Vec<Path> = error.fields().into_iter().map(measured_path).collect();
    paths.dedup();
    let one = |path| FieldError::new(path, error.to_string(), accepted.clone(), given.as_ref());
    paths.into_iter().map(one).collect()
}

/// The path of a measurement by the name the fit gives it. Knots that nobody
/// measured, an axle or the ground, stand for the measurements as a whole.
fn measured_path(name: &str) -> Path {
    let measured = Path::document().field("measured");
    match name.strip_prefix("measured.") {
        None => measured,
        Some(rest) => match rest.strip_prefix("landmarks.") {
            Some(landmark) => measured.field("landmarks").field(landmark),
            None => measured.field(rest),
        },
    }
}

fn place_error(error: &PlaceError) -> FieldError {
    let finding = Path::document().field("findings").item(error.index);
    let path = error
        .field()
        .split('.')
        .fold(finding, |path, name| path.field(name));
    let (accepted, given) = match &error.problem {
        PlaceProblem::UnknownSpan { span } => (
            "a span of the body style".to_owned(),
            Value::from(span.as_str()),
        ),
        PlaceProblem::Outside {
            station_mm,
            length_mm,
            ..
        } => (
            format!("a station from 0 to {length_mm:.0} mm, at most 100 mm outside"),
            Value::from(*station_mm),
        ),
    };
    FieldError::new(path, error.problem.to_string(), accepted, Some(&given))
}
