//! Fitting a template to a measured car.
//!
//! A monotone piecewise-linear map in x (axles, bumpers, measured landmarks)
//! and in z (ground, roof, measured landmarks), and one ratio in y. Vertices
//! move, pieces stay straight. Millimetres in the frame.

use super::{BodyStyle, Measured, Span};
use crate::domain::frame::Point;
use crate::domain::geometry::Polyline;
use std::collections::BTreeMap;
use std::fmt;

/// Knots closer than this in the template are one.
const MERGE_MM: f64 = 50.0;
/// How much a stretch of the car may be shorter or longer than the template's.
const SLOPE: std::ops::RangeInclusive<f64> = 0.5..=2.0;
/// Two measured widths that differ by more than this cannot both be right.
const WIDTH_CONFLICT_MM: f64 = 25.0;
/// A fitted centreline that bends more than this is no longer that body.
const BEND_DEG: f64 = 45.0;
/// What a car or a light commercial vehicle can measure.
const OVERALL_MM: std::ops::RangeInclusive<f64> = 500.0..=12_000.0;
/// Where a landmark of one can be.
const COORDINATE_MM: std::ops::RangeInclusive<f64> = -12_000.0..=12_000.0;

/// Why measurements do not fit a body style.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    #[error("{field} is {value} mm; a number from {from} to {to} is accepted")]
    OutOfRange {
        field: String,
        value: f64,
        from: f64,
        to: f64,
    },
    #[error("{field}: this body style has no landmark of that name")]
    UnknownLandmark { field: String },
    #[error(
        "{a} and {b}: the car would be {slope:.2} times as long between them as this body \
         style; from 0.5 to 2 times is accepted"
    )]
    Slope { a: String, b: String, slope: f64 },
    #[error("{a} and {b} give widths that differ by {mm:.0} mm; at most 25 mm is accepted")]
    Width { a: String, b: String, mm: f64 },
    #[error("{field}: the middle of the car has no width; leave y empty")]
    WidthAtMiddle { field: String },
    #[error("the {span} would bend by {degrees:.0}°; at most 45° is accepted")]
    Bend { span: String, degrees: f64 },
}

impl FitError {
    /// The measured fields at fault.
    pub fn fields(&self) -> Vec<&str> {
        match self {
            Self::OutOfRange { field, .. }
            | Self::UnknownLandmark { field }
            | Self::WidthAtMiddle { field } => vec![field],
            Self::Slope { a, b, .. } | Self::Width { a, b, .. } => vec![a, b],
            Self::Bend { .. } => vec!["measured"],
        }
    }
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

/// A template fitted to a car.
#[derive(Debug, Clone)]
pub struct FittedBody {
    pub style: &'static BodyStyle,
    /// In the template's order.
    pub spans: Vec<Span>,
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

    pub fn span(&self, id: &str) -> Option<&Span> {
        self.spans.iter().find(|s| s.id == id)
    }
}

/// Fits a template to what was measured.
///
/// # Errors
/// Every measurement out of range or unknown; else every pair of landmarks
/// between which the car would be stretched too far, widths that disagree, and
/// centrelines that would bend too far.
pub fn fit(style: &'static BodyStyle, measured: &Measured) -> Result<FittedBody, FitErrors> {
    let mut errors = implausible(style, measured);
    if !errors.is_empty() {
        return Err(FitErrors(errors));
    }
    let pairs = landmark_pairs(style, measured);
    let x = AxisMap::through(x_knots(style, measured, &pairs), &mut errors);
    let z = AxisMap::through(z_knots(style, measured, &pairs), &mut errors);
    let width_ratio = width_ratio(style, measured, &pairs, &mut errors);
    let fitted = *measured != Measured::default();
    let mut body = FittedBody {
        style,
        spans: Vec::new(),
        fitted,
        x,
        z,
        width_ratio,
    };
    if errors.is_empty() {
        body.spans = style
            .spans
            .iter()
            .filter_map(|s| moved(s, &body, &mut errors))
            .collect();
    }
    if errors.is_empty() {
        Ok(body)
    } else {
        Err(FitErrors(errors))
    }
}

fn moved(span: &Span, body: &FittedBody, errors: &mut Vec<FitError>) -> Option<Span> {
    if !body.fitted {
        return Some(span.clone());
    }
    let vertices = span
        .line
        .vertices()
        .iter()
        .map(|p| body.map_point(*p))
        .collect();
    // Slopes are at least 0.5, so a piece with length keeps some.
    let line = Polyline::new(vertices).expect("a fitted piece keeps its length");
    let bend = (1..line.piece_count())
        .map(|v| line.bend_at(v).to_degrees())
        .fold(0.0, f64::max);
    if bend > BEND_DEG {
        errors.push(FitError::Bend {
            span: span.name.clone(),
            degrees: bend,
        });
        return None;
    }
    Some(Span {
        line,
        ..span.clone()
    })
}

fn implausible(style: &BodyStyle, measured: &Measured) -> Vec<FitError> {
    let mut errors = Vec::new();
    let mut check = |field: String, value: Option<f64>, range: std::ops::RangeInclusive<f64>| {
        if let Some(value) = value.filter(|v| !range.contains(v)) {
            let (from, to) = (*range.start(), *range.end());
            errors.push(FitError::OutOfRange {
                field,
                value,
                from,
                to,
            });
        }
    };
    for (name, value) in [
        ("length_mm", measured.length_mm),
        ("wheelbase_mm", measured.wheelbase_mm),
        ("width_mm", measured.width_mm),
        ("height_mm", measured.height_mm),
    ] {
        check(format!("measured.{name}"), value, OVERALL_MM);
    }
    for (id, point) in &measured.landmarks {
        for value in point {
            check(field(id), *value, COORDINATE_MM);
        }
    }
    let unknown = |id: &&String| !style.landmarks.iter().any(|l| l.id == **id);
    let named = measured.landmarks.keys().filter(unknown);
    errors.extend(named.map(|id| FitError::UnknownLandmark { field: field(id) }));
    errors
}

fn field(landmark: &str) -> String {
    format!("measured.landmarks.{landmark}")
}

/// A measured landmark, or a mirror pair as one: template coordinates with
/// |y|, and the mean of what was measured of each.
struct LandmarkPair {
    field: String,
    base: String,
    template: Point,
    x: Option<f64>,
    y: Option<f64>,
    z: Option<f64>,
}

/// A landmark's id and what was measured of it.
type Measurement<'m> = (&'m String, &'m [Option<f64>; 3]);

fn landmark_pairs(style: &BodyStyle, measured: &Measured) -> Vec<LandmarkPair> {
    let mut by_base: BTreeMap<&str, Vec<Measurement>> = BTreeMap::new();
    for (id, point) in &measured.landmarks {
        let base = id.trim_end_matches(".left").trim_end_matches(".right");
        by_base.entry(base).or_default().push((id, point));
    }
    let pair = |(base, all): (&str, Vec<Measurement>)| {
        let (id, _) = all[0];
        let at = style.landmarks.iter().find(|l| l.id == *id)?.point;
        let mean = |axis: usize, sign: fn(f64) -> f64| {
            let of: Vec<f64> = all.iter().filter_map(|(_, p)| p[axis]).map(sign).collect();
            (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64)
        };
        Some(LandmarkPair {
            field: field(id),
            base: base.to_owned(),
            template: Point::new(at.x, at.y.abs(), at.z),
            x: mean(0, |v| v),
            y: mean(1, f64::abs),
            z: mean(2, |v| v),
        })
    };
    by_base.into_iter().filter_map(pair).collect()
}

/// A place of the template and where it is on the car, along one axis.
#[derive(Debug, Clone, PartialEq)]
struct Knot {
    name: String,
    template: f64,
    car: f64,
}

impl Knot {
    fn new(name: impl Into<String>, template: f64, car: f64) -> Self {
        Self {
            name: name.into(),
            template,
            car,
        }
    }
}

fn x_knots(style: &BodyStyle, measured: &Measured, pairs: &[LandmarkPair]) -> Vec<Knot> {
    let d = &style.dimensions;
    let mut knots = vec![Knot::new("front axle", 0.0, 0.0)];
    if let Some(wheelbase) = measured.wheelbase_mm {
        knots.push(Knot::new(
            "measured.wheelbase_mm",
            d.wheelbase_mm,
            wheelbase,
        ));
    }
    if let Some(length) = measured.length_mm {
        let of_overhangs = d.front_overhang_mm / (d.front_overhang_mm + d.rear_overhang_mm);
        let by_ratio = match measured.wheelbase_mm {
            Some(wheelbase) => (length - wheelbase) * of_overhangs,
            None => length * d.front_overhang_mm / d.length_mm,
        };
        let at_bumper = pairs
            .iter()
            .find(|p| p.base == "front-bumper")
            .and_then(|p| p.x);
        let front = at_bumper.map_or(by_ratio, |x| -x);
        knots.push(Knot::new(
            "measured.length_mm (front)",
            -d.front_overhang_mm,
            -front,
        ));
        let rear = d.wheelbase_mm + d.rear_overhang_mm;
        knots.push(Knot::new("measured.length_mm (rear)", rear, length - front));
    }
    knots.extend(
        pairs
            .iter()
            .filter_map(|p| Some(Knot::new(&*p.field, p.template.x, p.x?))),
    );
    knots
}

fn z_knots(style: &BodyStyle, measured: &Measured, pairs: &[LandmarkPair]) -> Vec<Knot> {
    let mut knots = vec![Knot::new("the ground", 0.0, 0.0)];
    if let Some(height) = measured.height_mm {
        knots.push(Knot::new(
            "measured.height_mm",
            style.dimensions.height_mm,
            height,
        ));
    }
    knots.extend(
        pairs
            .iter()
            .filter_map(|p| Some(Knot::new(&*p.field, p.template.z, p.z?))),
    );
    knots
}

/// The overall width decides; without it the mean of the measured landmarks.
fn width_ratio(
    style: &BodyStyle,
    measured: &Measured,
    pairs: &[LandmarkPair],
    errors: &mut Vec<FitError>,
) -> f64 {
    let mut widths: Vec<(String, f64, f64)> = Vec::new();
    if let Some(width) = measured.width_mm {
        let half = style.dimensions.width_mm / 2.0;
        widths.push(("measured.width_mm".into(), half, width / 2.0));
    }
    for pair in pairs {
        match pair.y {
            Some(_) if pair.template.y == 0.0 => {
                errors.push(FitError::WidthAtMiddle {
                    field: pair.field.clone(),
                });
            }
            Some(y) => widths.push((pair.field.clone(), pair.template.y, y)),
            None => {}
        }
    }
    for (i, (a, template, car)) in widths.iter().enumerate() {
        for (b, other_template, other_car) in &widths[i + 1..] {
            let mm = (car / template * other_template - other_car).abs();
            if mm > WIDTH_CONFLICT_MM {
                errors.push(FitError::Width {
                    a: a.clone(),
                    b: b.clone(),
                    mm,
                });
            }
        }
    }
    let ratio = match (&widths[..], measured.width_mm) {
        ([], _) => 1.0,
        ([(_, template, car), ..], Some(_)) => car / template,
        (all, None) => all.iter().map(|(_, t, c)| c / t).sum::<f64>() / all.len() as f64,
    };
    if !SLOPE.contains(&ratio) {
        let (a, b) = (widths[0].0.clone(), "the middle of the car".to_owned());
        errors.push(FitError::Slope { a, b, slope: ratio });
    }
    ratio
}

/// A monotone piecewise-linear map along one axis; slopes continue outside.
#[derive(Debug, Clone, PartialEq)]
struct AxisMap {
    knots: Vec<(f64, f64)>,
}

impl AxisMap {
    fn through(mut knots: Vec<Knot>, errors: &mut Vec<FitError>) -> Self {
        knots.sort_by(|a, b| a.template.total_cmp(&b.template).then(a.name.cmp(&b.name)));
        let merged: Vec<Knot> = knots
            .chunk_by(|a, b| b.template - a.template < MERGE_MM)
            .map(mean_knot)
            .collect();
        for pair in merged.windows(2) {
            let slope = (pair[1].car - pair[0].car) / (pair[1].template - pair[0].template);
            if !SLOPE.contains(&slope) {
                let (a, b) = (pair[0].name.clone(), pair[1].name.clone());
                errors.push(FitError::Slope { a, b, slope });
            }
        }
        Self {
            knots: merged.iter().map(|k| (k.template, k.car)).collect(),
        }
    }

    fn map(&self, at: f64) -> f64 {
        let last = self.knots.len() - 1;
        if last == 0 {
            let (template, car) = self.knots[0];
            return at - template + car;
        }
        let after = self.knots.partition_point(|(t, _)| *t <= at).clamp(1, last);
        let ((t0, c0), (t1, c1)) = (self.knots[after - 1], self.knots[after]);
        c0 + (at - t0) * (c1 - c0) / (t1 - t0)
    }
}

fn mean_knot(knots: &[Knot]) -> Knot {
    let n = knots.len() as f64;
    let names: Vec<&str> = knots.iter().map(|k| k.name.as_str()).collect();
    Knot::new(
        names.join(" with "),
        knots.iter().map(|k| k.template).sum::<f64>() / n,
        knots.iter().map(|k| k.car).sum::<f64>() / n,
    )
}
