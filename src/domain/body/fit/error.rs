//! Why measurements do not fit a body style. Each names the measurements at
//! fault, as the card file calls them.

use std::fmt;

/// One reason.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    #[error("{field}: {axis}{value} mm; a number from {from} to {to} is accepted")]
    OutOfRange {
        field: String,
        /// `"x "` and so on for a landmark, else empty.
        axis: &'static str,
        value: f64,
        from: f64,
        to: f64,
    },
    #[error("{field}: this body style has no landmark of that name")]
    UnknownLandmark { field: String },
    #[error("{}", slope_words(a, b, *slope))]
    Slope {
        a: String,
        b: String,
        slope: f64,
        /// The measurements that make the two places.
        fields: Vec<String>,
    },
    #[error("{a} and {b} give places that differ by {mm:.0} mm across; at most 25 mm is accepted")]
    Width { a: String, b: String, mm: f64 },
    #[error("{field}: this place is in the middle of the car; leave y empty or 0")]
    WidthAtMiddle { field: String },
    #[error("the {span} would bend by {degrees:.0}°; at most 45° is accepted")]
    Bend { span: String, degrees: f64 },
}

impl FitError {
    /// The measured fields at fault, for example `measured.length_mm`.
    pub fn fields(&self) -> Vec<&str> {
        match self {
            Self::OutOfRange { field, .. }
            | Self::UnknownLandmark { field }
            | Self::WidthAtMiddle { field } => vec![field],
            Self::Width { a, b, .. } => vec![a, b],
            Self::Slope { fields, .. } => fields.iter().map(String::as_str).collect(),
            Self::Bend { .. } => vec!["measured"],
        }
    }
}

fn slope_words(a: &str, b: &str, slope: f64) -> String {
    if slope <= 0.0 {
        return format!(
            "{a} and {b} come in the wrong order: on this body style they lie the other way round"
        );
    }
    format!(
        "between {a} and {b} the car would be {slope:.2} times as long as this body style; \
         from 0.5 to 2 times is accepted"
    )
}

/// Every reason why measurements do not fit; at least one.
#[derive(Debug, Clone, PartialEq)]
pub struct FitErrors(pub Vec<FitError>);

impl fmt::Display for FitErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all: Vec<_> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&all.join("; "))
    }
}

impl std::error::Error for FitErrors {}
