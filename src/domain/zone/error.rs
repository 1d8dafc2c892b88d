//! Why no zones can be computed for a card. Every misplaced finding is named.

use crate::domain::body::FitErrors;

/// Why no zones can be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ZoneError {
    #[error("the measurements do not fit the body style: {0}")]
    Fit(FitErrors),
    #[error("{}", list(.0))]
    Findings(Vec<PlaceError>),
}

/// A finding whose place is not on the body.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("finding {finding}: {problem}")]
pub struct PlaceError {
    /// Index in the card's findings.
    pub index: usize,
    pub finding: String,
    /// 0 for `from_mm`, 1 for `to_mm`, `None` for the span.
    pub end: Option<usize>,
    pub problem: PlaceProblem,
}

impl PlaceError {
    /// The field of the finding that is wrong.
    pub fn field(&self) -> &'static str {
        match self.end {
            None => "place.span",
            Some(0) => "place.from_mm",
            Some(_) => "place.to_mm",
        }
    }
}

/// What is wrong with a place.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlaceProblem {
    #[error("this body style has no span {span}")]
    UnknownSpan { span: String },
    #[error(
        "station {station_mm} mm is off the {span}, which is {length_mm:.0} mm long; \
         from 0 to its length, at most 100 mm outside"
    )]
    Outside {
        span: String,
        station_mm: f64,
        length_mm: f64,
    },
}

fn list(errors: &[PlaceError]) -> String {
    errors
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}
