//! Every span made ready for a blade: its straight pieces with the radius of
//! the cut's disc and how far a bend carries it; then which stations a body
//! blocks. Stations and lengths in mm.

use crate::domain::body::Span;
use crate::domain::frame::Point;
use crate::domain::geometry::{Axis, Interval, Intervals, blocked_on_axis, union};

/// How much further than its reach a body must be to be skipped untested.
const SKIPPED_MM: f64 = 0.1;

/// An axis-aligned box, for skipping what provably adds nothing.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    low: Point,
    high: Point,
}

impl Bounds {
    /// The box of a non-empty chain of points.
    pub fn around(points: &[Point]) -> Self {
        let first = points[0];
        points.iter().fold(
            Self {
                low: first,
                high: first,
            },
            |b, p| Self {
                low: Point::new(b.low.x.min(p.x), b.low.y.min(p.y), b.low.z.min(p.z)),
                high: Point::new(b.high.x.max(p.x), b.high.y.max(p.y), b.high.z.max(p.z)),
            },
        )
    }

    /// Whether the boxes are more than `margin` mm apart on some axis.
    fn apart(&self, other: &Self, margin: f64) -> bool {
        let gap = |low: f64, high: f64, l: f64, h: f64| (l - high > margin) | (low - h > margin);
        // Without branches: which axis parts two boxes cannot be foretold.
        gap(self.low.x, self.high.x, other.low.x, other.high.x)
            | gap(self.low.y, self.high.y, other.low.y, other.high.y)
            | gap(self.low.z, self.high.z, other.low.z, other.high.z)
    }
}

/// A straight piece of a span under a blade.
#[derive(Debug, Clone)]
struct BladePiece {
    axis: Axis,
    /// Station of its first vertex.
    station: f64,
    length: f64,
    /// h + t: half-depth (the larger of its two ends) and tip reach.
    reach: f64,
    /// (h + t)·tan(θ/2) at its first and last vertex; 0 at foot and head.
    bend: [f64; 2],
    bounds: Bounds,
}

/// One span under a blade of a given tip reach.
#[derive(Debug, Clone)]
pub struct BladeSpan<'a> {
    pub span: &'a Span,
    pieces: Vec<BladePiece>,
    bounds: Bounds,
    /// The largest reach and bend of any piece.
    margin: f64,
}

impl<'a> BladeSpan<'a> {
    pub fn new(span: &'a Span, tip_reach_mm: f64) -> Self {
        let line = &span.line;
        let depth = |piece: usize| span.half_depth_mm[piece].max(span.half_depth_mm[piece + 1]);
        let bend = |vertex: usize| {
            if vertex == 0 || vertex == line.piece_count() {
                return 0.0;
            }
            let reach = depth(vertex - 1).max(depth(vertex)) + tip_reach_mm;
            reach * line.half_bend_tangent(vertex)
        };
        let pieces: Vec<_> = (0..line.piece_count())
            .map(|i| BladePiece {
                axis: Axis {
                    origin: line.vertices()[i],
                    direction: line.direction(i),
                },
                station: line.stations()[i],
                length: line.stations()[i + 1] - line.stations()[i],
                reach: depth(i) + tip_reach_mm,
                bend: [bend(i), bend(i + 1)],
                bounds: Bounds::around(&line.vertices()[i..=i + 1]),
            })
            .collect();
        let margin = pieces.iter().map(BladePiece::margin).fold(0.0, f64::max);
        Self {
            span,
            pieces,
            bounds: Bounds::around(line.vertices()),
            margin,
        }
    }

    pub fn length(&self) -> f64 {
        self.span.line.length()
    }

    /// Stations, clamped to the span and united, at which the disc of a cut
    /// comes within `radius` of a chain of straight body pieces. `known` is what
    /// the same component already blocks here: pieces inside it are skipped.
    pub fn blocked(
        &self,
        body: &[Point],
        bounds: &Bounds,
        radius: f64,
        known: Option<Interval>,
    ) -> Intervals {
        if self.bounds.apart(bounds, radius + self.margin) {
            return Intervals::new();
        }
        let mut found = Intervals::new();
        for piece in &self.pieces {
            if piece.bounds.apart(bounds, radius + piece.margin())
                || known.is_some_and(|k| k.covers(piece.stations()))
            {
                continue;
            }
            for segment in body.windows(2) {
                found.extend(piece.blocked([segment[0], segment[1]], radius));
            }
        }
        union(found)
    }
}

impl BladePiece {
    fn margin(&self) -> f64 {
        self.reach + self.bend[0].max(self.bend[1])
    }

    fn stations(&self) -> Interval {
        Interval::new(self.station, self.station + self.length)
    }

    /// At a bend the disc of one piece sweeps over the start of the next, so an
    /// interval that reaches past a vertex also blocks as far as the bend carries.
    fn blocked(&self, body: [Point; 2], radius: f64) -> Option<Interval> {
        let [before, after] = self.bend;
        // No blocked station is further along the axis from the body than the
        // radius, and the disc test errs by less than this margin.
        let along = body.map(|p| (p - self.axis.origin).dot(self.axis.direction));
        let margin = radius + SKIPPED_MM;
        if along[0].max(along[1]) + margin < -before
            || along[0].min(along[1]) - margin > self.length + after
        {
            return None;
        }
        let found = blocked_on_axis(self.axis, self.reach, body, radius)?;
        if found.to < -before || found.from > self.length + after {
            return None;
        }
        let mut reached = found;
        if found.from < 0.0 {
            reached.to = reached.to.max(before);
        }
        if found.to > self.length {
            reached.from = reached.from.min(self.length - after);
        }
        let clamp = |s: f64| self.station + s.clamp(0.0, self.length);
        Some(Interval::new(clamp(reached.from), clamp(reached.to)))
    }
}
