//! Each measurement by itself: finite, and of a size that a car or a light
//! commercial vehicle can have. The bounds are common practice, no source; they
//! catch inches, centimetres and slips of the finger.

use super::FitError;
use super::landmark::field;
use crate::domain::body::{BodyStyle, Measured};
use std::ops::RangeInclusive;

const LENGTH_MM: RangeInclusive<f64> = 2000.0..=9000.0;
const WHEELBASE_MM: RangeInclusive<f64> = 1200.0..=6000.0;
const WIDTH_MM: RangeInclusive<f64> = 1000.0..=2800.0;
const HEIGHT_MM: RangeInclusive<f64> = 900.0..=3500.0;
/// Where a landmark can be: x, y, z.
const PLACE_MM: [(&str, RangeInclusive<f64>); 3] = [
    ("x ", -3000.0..=8000.0),
    ("y ", -1400.0..=1400.0),
    ("z ", 0.0..=3500.0),
];

/// Every measurement out of range or of no landmark of the style.
pub fn check(style: &BodyStyle, measured: &Measured) -> Vec<FitError> {
    let overall = [
        ("measured.length_mm", measured.length_mm, LENGTH_MM),
        ("measured.wheelbase_mm", measured.wheelbase_mm, WHEELBASE_MM),
        ("measured.width_mm", measured.width_mm, WIDTH_MM),
        ("measured.height_mm", measured.height_mm, HEIGHT_MM),
    ];
    let mut errors: Vec<FitError> = overall
        .into_iter()
        .filter_map(|(name, value, range)| out_of_range(name.to_owned(), "", value, &range))
        .collect();
    for (id, place) in &measured.landmarks {
        if !style.landmarks.iter().any(|l| l.id == *id) {
            errors.push(FitError::UnknownLandmark { field: field(id) });
        }
        let coordinates = place.iter().zip(PLACE_MM);
        errors
            .extend(coordinates.filter_map(|(value, (axis, range))| {
                out_of_range(field(id), axis, *value, &range)
            }));
    }
    errors
}

fn out_of_range(
    field: String,
    axis: &'static str,
    value: Option<f64>,
    range: &RangeInclusive<f64>,
) -> Option<FitError> {
    // Not a number is in no range.
    let value = value.filter(|v| !range.contains(v))?;
    Some(FitError::OutOfRange {
        field,
        axis,
        value,
        from: *range.start(),
        to: *range.end(),
    })
}
