//! A cutting disc on a straight piece of span against a straight piece of body.
//!
//! The cut at axial coordinate s of a straight piece is the disc of radius
//! `reach` across it. With a(u), ρ(u) the axial and radial coordinate of the
//! body's point at u ∈ [0, 1], the disc comes within R of the body when
//!
//! ```text
//! e(u) = max(0, ρ(u) − reach);   some u with e(u) ≤ R has |a(u) − s| ≤ √(R² − e(u)²)
//! ```
//!
//! e is convex, so the blocked s are one interval [min(a − g), max(a + g)] with
//! g = √(R² − e²); a − g and −(a + g) are convex on the range of u with e ≤ R.
//! Millimetres; own derivation.

use super::Interval;
use crate::domain::frame::{Point, Vector};

/// Below this a body runs parallel to the piece, or has no length (mm a unit of u).
const PARALLEL_MM: f64 = 1e-9;
/// The minimiser is bracketed to this much of the body's own length (mm).
const BRACKET_MM: f64 = 1e-7;

/// A straight piece of a span: where it starts and its unit direction.
#[derive(Debug, Clone, Copy)]
pub struct Axis {
    pub origin: Point,
    pub direction: Vector,
}

/// A straight piece of body as seen along an axis: a(u) = a0 + a1·u, and the
/// radial part q(u) = q0 + q1·u by its products.
#[derive(Debug, Clone, Copy)]
struct AlongAxis {
    a0: f64,
    a1: f64,
    q00: f64,
    q01: f64,
    q11: f64,
    reach: f64,
    radius: f64,
}

/// What a blocked interval's ends are made of at one u: a, g, and the slope of
/// −g times g, which stays finite where g vanishes.
#[derive(Debug, Clone, Copy)]
struct At {
    u: f64,
    a: f64,
    g: f64,
    drop: f64,
}

/// Axial coordinates (mm from the axis' origin, not clamped to the piece) at
/// which a disc of radius `reach` comes within `radius` of the body from `b0`
/// to `b1`. `None`: nowhere.
pub fn blocked_on_axis(axis: Axis, reach: f64, body: [Point; 2], radius: f64) -> Option<Interval> {
    let along = AlongAxis::new(axis, reach, body, radius);
    if along.q11 < PARALLEL_MM * PARALLEL_MM {
        return along.parallel();
    }
    let range = along.range_within()?.map(|u| along.at(u));
    let low = along.minimise(range, 1.0);
    let high = -along.minimise(range, -1.0);
    Some(Interval::new(low, high))
}

impl AlongAxis {
    fn new(axis: Axis, reach: f64, [b0, b1]: [Point; 2], radius: f64) -> Self {
        let (start, run) = (b0 - axis.origin, b1 - b0);
        let (a0, a1) = (start.dot(axis.direction), run.dot(axis.direction));
        let (q0, q1) = (start - axis.direction * a0, run - axis.direction * a1);
        Self {
            a0,
            a1,
            q00: q0.dot(q0),
            q01: q0.dot(q1),
            q11: q1.dot(q1),
            reach,
            radius,
        }
    }

    fn rho(&self, u: f64) -> f64 {
        (self.q00 + u * (2.0 * self.q01 + u * self.q11))
            .max(0.0)
            .sqrt()
    }

    /// g at a known e.
    fn half_chord(&self, e: f64) -> f64 {
        ((self.radius - e) * (self.radius + e)).max(0.0).sqrt()
    }

    fn parallel(&self) -> Option<Interval> {
        let e = (self.q00.sqrt() - self.reach).max(0.0);
        if e > self.radius {
            return None;
        }
        let g = self.half_chord(e);
        let (low, high) = (
            self.a0.min(self.a0 + self.a1),
            self.a0.max(self.a0 + self.a1),
        );
        Some(Interval::new(low - g, high + g))
    }

    /// The range of u ∈ [0, 1] with e(u) ≤ R: a quadratic inequality in u.
    fn range_within(&self) -> Option<[f64; 2]> {
        let nearest = -self.q01 / self.q11;
        let nearest_rho2 = (self.q00 - self.q01 * self.q01 / self.q11).max(0.0);
        let limit = self.radius + self.reach;
        let slack = limit * limit - nearest_rho2;
        if slack < 0.0 {
            return None;
        }
        let half = (slack / self.q11).sqrt();
        let (low, high) = ((nearest - half).max(0.0), (nearest + half).min(1.0));
        (low <= high).then_some([low, high])
    }

    /// The least sign·a(u) − g(u) on a range: the root of its slope, which for a
    /// convex function changes sign once. Regula falsi in the Illinois way: an
    /// end that stays twice counts half, so that both ends close in.
    fn minimise(&self, [mut low, mut high]: [At; 2], sign: f64) -> f64 {
        let slope = |at: At| sign * self.a1 * at.g + at.drop;
        let value = |at: At| sign * at.a - at.g;
        let (mut at_low, mut at_high) = (slope(low), slope(high));
        if at_low >= 0.0 {
            return value(low);
        }
        if at_high <= 0.0 {
            return value(high);
        }
        let length = (self.a1 * self.a1 + self.q11).sqrt();
        let mut last_above = None;
        while (high.u - low.u) * length > BRACKET_MM {
            let next = low.u + at_low / (at_low - at_high) * (high.u - low.u);
            if next <= low.u || next >= high.u {
                break;
            }
            let next = self.at(next);
            let at_next = slope(next);
            let above = at_next > 0.0;
            let again = last_above.replace(above) == Some(above);
            if above {
                (high, at_high) = (next, at_next);
                at_low *= if again { 0.5 } else { 1.0 };
            } else {
                (low, at_low) = (next, at_next);
                at_high *= if again { 0.5 } else { 1.0 };
            }
        }
        value(low).min(value(high))
    }

    fn at(&self, u: f64) -> At {
        let rho = self.rho(u);
        let e = (rho - self.reach).max(0.0);
        let drop = if e == 0.0 {
            0.0
        } else {
            e * (self.q01 + self.q11 * u) / rho
        };
        At {
            u,
            a: self.a0 + self.a1 * u,
            g: self.half_chord(e),
            drop,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALONG_X: Axis = Axis {
        origin: Point::new(0.0, 0.0, 0.0),
        direction: Vector::new(1.0, 0.0, 0.0),
    };

    fn blocked(reach: f64, body: [[f64; 3]; 2], radius: f64) -> Option<(f64, f64)> {
        let body = body.map(Point::from);
        blocked_on_axis(ALONG_X, reach, body, radius).map(|i| (i.from, i.to))
    }

    #[test]
    fn a_body_on_the_axis_blocks_its_length_and_the_radius_at_both_ends() {
        assert_eq!(
            blocked(80.0, [[100.0, 0.0, 0.0], [250.0, 0.0, 0.0]], 40.0),
            Some((60.0, 290.0))
        );
    }

    #[test]
    fn a_point_beside_the_disc_blocks_by_pythagoras() {
        // e = 80 − 50 = 30, R = 50: g = 40.
        assert_eq!(
            blocked(50.0, [[10.0, 80.0, 0.0], [10.0, 80.0, 0.0]], 50.0),
            Some((-30.0, 50.0))
        );
    }

    #[test]
    fn a_body_out_of_reach_blocks_nothing() {
        assert_eq!(
            blocked(50.0, [[0.0, 200.1, 0.0], [500.0, 300.0, 0.0]], 150.0),
            None
        );
    }

    #[test]
    fn a_crossing_body_blocks_the_radius_about_the_crossing_when_the_disc_has_no_size() {
        // Perpendicular line through the axis, h = t = 0: a plain circle's chord.
        let (from, to) = blocked(0.0, [[7.0, -300.0, 0.0], [7.0, 300.0, 0.0]], 25.0).unwrap();
        assert!((from + 18.0).abs() < 1e-9 && (to - 32.0).abs() < 1e-9);
    }

    #[test]
    fn a_slanting_line_blocks_radius_over_sine_when_the_disc_has_no_size() {
        // A line at 30° through the axis: the band of half-width R meets the axis at R / sin 30°.
        let (dx, dy) = (1000.0 * 3f64.sqrt() / 2.0, 500.0);
        let (from, to) = blocked(0.0, [[-dx, -dy, 0.0], [dx, dy, 0.0]], 60.0).unwrap();
        assert!((from + 120.0).abs() < 1e-7 && (to - 120.0).abs() < 1e-7);
    }
}
