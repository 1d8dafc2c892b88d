//! The volume a blade must not enter around one body, and where it lies on each
//! span. Millimetres.

use super::blade::{BladeSpan, Bounds};
use crate::domain::frame::Point;
use crate::domain::fusion::located::OnSpan;
use crate::domain::geometry::{Interval, Intervals, union};
use smallvec::smallvec;

/// A body: a chain of straight pieces, placed on a span or free in the frame.
#[derive(Debug, Clone)]
pub struct Body {
    pub points: Vec<Point>,
    pub on_span: Option<OnSpan>,
    bounds: Bounds,
    /// The largest half-depth along a body placed on a span; its place across
    /// the section is unknown, so other spans keep this much further off.
    depth_mm: f64,
}

impl Body {
    /// The straight segment between two points.
    pub fn segment(ends: [Point; 2]) -> Self {
        let points = ends.to_vec();
        Self {
            bounds: Bounds::around(&points),
            points,
            on_span: None,
            depth_mm: 0.0,
        }
    }

    /// The piece of a span's centreline between two stations.
    pub fn on_span(place: OnSpan, spans: &[BladeSpan]) -> Self {
        let span = spans[place.span].span;
        let points = span.line.between(place.from, place.to);
        Self {
            bounds: Bounds::around(&points),
            points,
            on_span: Some(place),
            depth_mm: span.largest_half_depth(place.from, place.to),
        }
    }

    pub fn ends(&self) -> [Point; 2] {
        [self.points[0], self.points[self.points.len() - 1]]
    }

    pub fn depth_mm(&self) -> f64 {
        self.depth_mm
    }

    /// Stations of a span within `radius` of the body.
    pub fn blocks(&self, index: usize, span: &BladeSpan, radius: f64) -> Intervals {
        match self.on_span {
            Some(own) if own.span == index => {
                let along = along(own, radius, span.length());
                let mut found = span.blocked(&self.points, &self.bounds, radius, Some(along));
                found.push(along);
                union(found)
            }
            _ => span.blocked(&self.points, &self.bounds, radius + self.depth_mm, None),
        }
    }

    /// Stations of a span that the part itself occupies when it is `radius`
    /// thick, uncertainty included: on its own span by stations alone, free in
    /// the frame by the disc test.
    pub fn occupies(
        &self,
        index: usize,
        span: &BladeSpan,
        radius: f64,
        widening: f64,
    ) -> Intervals {
        match self.on_span {
            Some(own) if own.span == index => smallvec![along(own, widening, span.length())],
            Some(_) => Intervals::new(),
            None => span.blocked(&self.points, &self.bounds, radius + widening, None),
        }
    }
}

fn along(place: OnSpan, by: f64, length: f64) -> Interval {
    Interval::new(
        (place.from - by).clamp(0.0, length),
        (place.to + by).clamp(0.0, length),
    )
}

/// One keep-out of a component: the fused one, or one finding's own.
#[derive(Debug, Clone)]
pub struct Volume {
    pub body: Body,
    /// Index of the finding, `None` for the fused one.
    pub finding: Option<usize>,
    pub offered: bool,
    pub radius_mm: f64,
    /// `None`: the kind is a material, no keep-out.
    pub clearance_mm: Option<f64>,
    /// Marks material.
    pub material: bool,
    pub sigma_mm: f64,
    pub k: f64,
    /// Added where the findings are not all on one span.
    pub grown_mm: Option<f64>,
}

impl Volume {
    /// k·σ.
    pub fn widening_mm(&self) -> f64 {
        self.k * self.sigma_mm
    }

    /// R = r + clearance + k·σ, without `grown_mm`.
    pub fn keep_out_mm(&self) -> f64 {
        self.radius_mm + self.clearance_mm.unwrap_or(0.0) + self.widening_mm()
    }

    fn grown(&self) -> f64 {
        self.grown_mm.unwrap_or(0.0)
    }

    /// Stations inside the keep-out; none for a material.
    pub fn no_cut(&self, index: usize, span: &BladeSpan) -> Intervals {
        match self.clearance_mm {
            Some(_) => self
                .body
                .blocks(index, span, self.keep_out_mm() + self.grown()),
            None => Intervals::new(),
        }
    }

    /// Stations inside the keep-out if the place were certain; for drawing, so
    /// on its own span by stations alone.
    pub fn clearance_band(&self, index: usize, span: &BladeSpan) -> Intervals {
        let certain = self.radius_mm + self.clearance_mm.unwrap_or(0.0);
        match self.body.on_span {
            Some(own) if own.span == index => smallvec![along(own, certain, span.length())],
            _ => self.body.blocks(index, span, certain + self.grown()),
        }
    }

    /// Stations of the part itself.
    pub fn part_band(&self, index: usize, span: &BladeSpan) -> Intervals {
        self.body
            .occupies(index, span, self.radius_mm + self.grown(), 0.0)
    }

    /// Stations the part may occupy: what a bare finding must not overlap, and
    /// what a material marks.
    pub fn extent(&self, index: usize, span: &BladeSpan) -> Intervals {
        self.body.occupies(
            index,
            span,
            self.radius_mm + self.grown(),
            self.widening_mm(),
        )
    }
}
