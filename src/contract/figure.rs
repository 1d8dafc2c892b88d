//! The one place where figures are rounded for JSON.

use crate::domain::frame::Point;

/// Lengths, stations, coordinates of ends: mm to 0.01.
pub(super) fn length(mm: f64) -> f64 {
    to_nearest(mm, 100.0)
}

/// Centrelines, σ, χ², Birge ratios: to 0.001.
pub(super) fn fine(value: f64) -> f64 {
    to_nearest(value, 1_000.0)
}

/// The widening factor k: to 0.0001.
pub(super) fn factor(value: f64) -> f64 {
    to_nearest(value, 10_000.0)
}

/// A point of a centreline.
pub(super) fn vertex(point: Point) -> [f64; 3] {
    <[f64; 3]>::from(point).map(fine)
}

/// An end of a part.
pub(super) fn end(point: Point) -> [f64; 3] {
    <[f64; 3]>::from(point).map(length)
}

fn to_nearest(value: f64, per_unit: f64) -> f64 {
    // Adding 0 turns -0.0 into 0.0.
    (value * per_unit).round() / per_unit + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_to_the_nearest_and_never_negative_zero() {
        assert_eq!(
            (length(120.229_7), fine(17.559_4), factor(2.575_829_3)),
            (120.23, 17.559, 2.5758)
        );
        assert!(length(-0.001).is_sign_positive());
    }
}
