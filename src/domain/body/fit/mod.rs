//! Fitting a template to a measured car.
//!
//! A monotone piecewise-linear map in x (axles, bumpers, measured landmarks)
//! and in z (ground, roof, measured landmarks), and one ratio in y. Vertices
//! move, pieces stay straight. Millimetres in the frame. [`plausible`] looks at
//! each measurement by itself, [`landmark`] makes a mirror pair one landmark,
//! [`axis`] builds the maps, [`width`] the ratio.

mod axis;
mod error;
mod landmark;
mod plausible;
#[cfg(test)]
mod tests;
mod width;

pub use error::{FitError, FitErrors};

use super::{BodyStyle, Measured, Span};
use crate::domain::frame::Point;
use crate::domain::geometry::Polyline;
use axis::AxisMap;
use std::borrow::Cow;

/// How much a stretch of the car may be shorter or longer than the template's.
const SLOPE: std::ops::RangeInclusive<f64> = 0.5..=2.0;
/// A fitted centreline that bends more than this is no longer that body.
const BEND_DEG: f64 = 45.0;

/// A template fitted to a car.
#[derive(Debug, Clone)]
pub struct FittedBody {
    pub style: &'static BodyStyle,
    /// In the template's order; an unfitted body's are the template's.
    pub spans: Cow<'static, [Span]>,
    /// Whether anything was measured: an unfitted body is the template's own.
    pub fitted: bool,
    x: AxisMap,
    z: AxisMap,
    width_ratio: f64,
}

impl FittedBody {
    /// Where a point of the template is on this car.
    pub fn map_point(&self, p: Point) -> Point {
        Point::new(self.x.map(p.x), p.y * self.width_ratio, self.z.map(p.z))
    }

    /// The span of that id, for example `b-pillar.left`.
    pub fn span(&self, id: &str) -> Option<&Span> {
        self.spans.iter().find(|s| s.id == id)
    }

    /// Where a landmark is on this car.
    pub fn landmark(&self, id: &str) -> Option<Point> {
        let landmark = self.style.landmarks.iter().find(|l| l.id == id)?;
        Some(self.map_point(landmark.point))
    }
}

/// Fits a template to what was measured.
///
/// # Errors
/// Every measurement out of range or unknown; else every pair of landmarks
/// between which the car would be stretched too far, widths that disagree, and
/// centrelines that would bend too far.
pub fn fit(style: &'static BodyStyle, measured: &Measured) -> Result<FittedBody, FitErrors> {
    let mut errors = plausible::check(style, measured);
    if !errors.is_empty() {
        return Err(FitErrors(errors));
    }
    let pairs = landmark::pairs(style, measured);
    let body = FittedBody {
        style,
        spans: Cow::Borrowed(&style.spans),
        fitted: anything(measured),
        x: AxisMap::through(axis::x_knots(style, measured, &pairs), &mut errors),
        z: AxisMap::through(axis::z_knots(style, measured, &pairs), &mut errors),
        width_ratio: width::ratio(style, measured, &pairs, &mut errors),
    };
    if !errors.is_empty() {
        return Err(FitErrors(errors));
    }
    if !body.fitted {
        return Ok(body);
    }
    let moved = style.spans.iter().map(|s| moved(s, &body));
    let (spans, bent): (Vec<_>, Vec<_>) = moved.partition(Result::is_ok);
    let bent: Vec<FitError> = bent.into_iter().filter_map(Result::err).collect();
    if bent.is_empty() {
        let spans = spans.into_iter().filter_map(Result::ok).collect();
        Ok(FittedBody { spans, ..body })
    } else {
        Err(FitErrors(bent))
    }
}

fn anything(measured: &Measured) -> bool {
    let overall = [
        measured.length_mm,
        measured.wheelbase_mm,
        measured.width_mm,
        measured.height_mm,
    ];
    let coordinates = measured.landmarks.values().flatten();
    overall.iter().chain(coordinates).any(Option::is_some)
}

fn moved(span: &Span, body: &FittedBody) -> Result<Span, FitError> {
    let map = |p: &Point| body.map_point(*p);
    let vertices: Vec<Point> = span.line.vertices().iter().map(map).collect();
    // Slopes are at least 0.5, so a piece with length keeps some.
    let line = Polyline::new(vertices).expect("a fitted piece keeps its length");
    let degrees = (1..line.piece_count())
        .map(|v| line.bend_at(v).to_degrees())
        .fold(0.0, f64::max);
    if degrees > BEND_DEG {
        let span = span.name.to_string();
        return Err(FitError::Bend { span, degrees });
    }
    let span = span.clone();
    Ok(Span { line, ..span })
}
