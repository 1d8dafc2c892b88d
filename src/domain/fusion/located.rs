//! A finding's place put on the fitted body: stations clamped, points in the frame.

use crate::domain::finding::Finding;
use crate::domain::frame::Point;

/// A component finding with its place on the car. Stations and points in mm.
#[derive(Debug, Clone, Copy)]
pub struct Located<'a> {
    pub finding: &'a Finding,
    /// Index of the span and the two stations, when placed on one.
    pub on_span: Option<OnSpan>,
    /// The two ends in the frame; of a span finding, the points at its stations.
    pub ends: [Point; 2],
}

/// Two stations on one span of the fitted body, `from` ≤ `to`, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnSpan {
    pub span: usize,
    pub from: f64,
    pub to: f64,
}

impl Located<'_> {
    /// Bound ±a in mm.
    pub fn bound(&self) -> f64 {
        self.finding.bound_mm()
    }
}

/// The span all findings are on, if there is one.
pub fn shared_span(all: &[Located]) -> Option<usize> {
    let first = all.first()?.on_span?.span;
    all.iter()
        .all(|l| l.on_span.is_some_and(|o| o.span == first))
        .then_some(first)
}
