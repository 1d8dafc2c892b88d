//! The one place where stations are rounded: whole hundredths of a millimetre,
//! so that stretches meet exactly. What keeps a blade off is rounded outward,
//! what lets it in inward, both after a tolerance of 1e-6 mm.

use crate::domain::geometry::Interval;

/// A station in hundredths of a millimetre.
pub type Hundredths = i64;

const TOLERANCE_MM: f64 = 1e-6;

/// Hundredths as millimetres.
pub fn mm(station: Hundredths) -> f64 {
    station as f64 / 100.0
}

/// The nearest hundredth.
pub fn nearest(mm: f64) -> Hundredths {
    (mm * 100.0).round() as Hundredths
}

fn floor(mm: f64) -> Hundredths {
    ((mm + TOLERANCE_MM) * 100.0).floor() as Hundredths
}

fn ceil(mm: f64) -> Hundredths {
    ((mm - TOLERANCE_MM) * 100.0).ceil() as Hundredths
}

/// A rounded interval, `from` ≤ `to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rounded {
    pub from: Hundredths,
    pub to: Hundredths,
}

impl Rounded {
    /// Grown to whole hundredths, within [0, `length`]; `None` when empty.
    pub fn outward(i: Interval, length: Hundredths) -> Option<Self> {
        Self {
            from: floor(i.from),
            to: ceil(i.to),
        }
        .within(length)
    }

    /// Shrunk to whole hundredths, within [0, `length`]; `None` when empty.
    pub fn inward(i: Interval, length: Hundredths) -> Option<Self> {
        Self {
            from: ceil(i.from),
            to: floor(i.to),
        }
        .within(length)
    }

    fn within(self, length: Hundredths) -> Option<Self> {
        let inside = Self {
            from: self.from.max(0),
            to: self.to.min(length),
        };
        (inside.from < inside.to).then_some(inside)
    }

    /// Whether they share more than a point.
    pub fn overlaps(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }

    pub fn covers(self, other: Self) -> bool {
        self.from <= other.from && other.to <= self.to
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outward_grows_and_inward_shrinks_to_whole_hundredths() {
        let i = Interval::new(10.005, 20.005);
        assert_eq!(
            Rounded::outward(i, 9000),
            Some(Rounded {
                from: 1000,
                to: 2001
            })
        );
        assert_eq!(
            Rounded::inward(i, 9000),
            Some(Rounded {
                from: 1001,
                to: 2000
            })
        );
    }

    #[test]
    fn noise_below_the_tolerance_does_not_move_a_hundredth() {
        let i = Interval::new(10.0 - 1e-9, 20.0 + 1e-9);
        assert_eq!(
            Rounded::outward(i, 9000),
            Some(Rounded {
                from: 1000,
                to: 2000
            })
        );
        assert_eq!(
            Rounded::inward(i, 9000),
            Some(Rounded {
                from: 1000,
                to: 2000
            })
        );
    }
}
