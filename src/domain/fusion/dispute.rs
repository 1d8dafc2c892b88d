//! Findings that cannot both be right.

use super::located::Located;
use crate::domain::frame::Point;

/// Two findings differ by more than their bounds and this much together.
const ALLOWANCE_MM: f64 = 30.0;

/// Two findings that cannot both be right: their indices and their largest
/// coordinate difference in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disagreement {
    pub a: usize,
    pub b: usize,
    pub mm: f64,
}

/// Every disputing pair, in the order of the findings.
pub fn disagreements(findings: &[Located]) -> Vec<Disagreement> {
    let mut pairs = Vec::new();
    for (a, one) in findings.iter().enumerate() {
        for (b, other) in findings.iter().enumerate().skip(a + 1) {
            let mm = difference(one, other);
            if mm > one.bound() + other.bound() + ALLOWANCE_MM {
                pairs.push(Disagreement { a, b, mm });
            }
        }
    }
    pairs
}

/// Largest coordinate difference in mm: by stations on one span, otherwise as
/// point pairs in the order of ends that makes it smallest.
fn difference(one: &Located, other: &Located) -> f64 {
    if let (Some(p), Some(q)) = (one.on_span, other.on_span)
        && p.span == q.span
    {
        return (p.from - q.from).abs().max((p.to - q.to).abs());
    }
    let ([p0, p1], [q0, q1]) = (one.ends, other.ends);
    let straight = largest(p0, q0).max(largest(p1, q1));
    let turned = largest(p0, q1).max(largest(p1, q0));
    straight.min(turned)
}

fn largest(p: Point, q: Point) -> f64 {
    (p.x - q.x)
        .abs()
        .max((p.y - q.y).abs())
        .max((p.z - q.z).abs())
}
