//! A monotone piecewise-linear map along one axis, through knots: places of the
//! template whose place on the car is known. Slopes continue outside.

use super::landmark::Pair;
use super::{FitError, SLOPE};
use crate::domain::body::{BodyStyle, Measured};

/// Knots closer than this in the template are one, mm.
const MERGE_MM: f64 = 50.0;

/// A place of the template and where it is on the car, mm along one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Knot {
    name: String,
    /// The measurements that make it; none for axle and ground.
    fields: Vec<String>,
    template: f64,
    car: f64,
}

impl Knot {
    fn new(name: &str, fields: &[&str], template: f64, car: f64) -> Self {
        Self {
            name: name.to_owned(),
            fields: fields.iter().map(ToString::to_string).collect(),
            template,
            car,
        }
    }

    fn of_pair(pair: &Pair, template: f64, car: Option<f64>) -> Option<Self> {
        Some(Self {
            name: pair.name.clone(),
            fields: pair.fields.clone(),
            template,
            car: car?,
        })
    }
}

/// Knots in x. The front axle is the origin of both.
pub fn x_knots(style: &BodyStyle, measured: &Measured, pairs: &[Pair]) -> Vec<Knot> {
    let d = &style.dimensions;
    let mut knots = vec![Knot::new("the front axle", &[], 0.0, 0.0)];
    if let Some(wheelbase) = measured.wheelbase_mm {
        let fields = ["measured.wheelbase_mm"];
        let at = d.wheelbase_mm;
        knots.push(Knot::new("the rear axle", &fields, at, wheelbase));
    }
    if let Some(length) = measured.length_mm {
        let front = front_overhang(style, length, measured.wheelbase_mm, pairs);
        let fields = ["measured.length_mm"];
        let at = -d.front_overhang_mm;
        knots.push(Knot::new("the front bumper", &fields, at, -front));
        let at = d.wheelbase_mm + d.rear_overhang_mm;
        knots.push(Knot::new("the rear bumper", &fields, at, length - front));
    }
    let measured = pairs.iter();
    knots.extend(measured.filter_map(|p| Knot::of_pair(p, p.template.x, p.x)));
    knots
}

/// What a measured length puts before the front axle: as measured at a bumper,
/// else by the template's ratio of the overhangs, else of the whole length.
fn front_overhang(style: &BodyStyle, length: f64, wheelbase: Option<f64>, pairs: &[Pair]) -> f64 {
    let d = &style.dimensions;
    let bumper = |id: &str| pairs.iter().find(|p| p.base == id).and_then(|p| p.x);
    match (bumper("front-bumper"), bumper("rear-bumper"), wheelbase) {
        (Some(x), _, _) => -x,
        (None, Some(x), _) => length - x,
        (None, None, Some(wheelbase)) => {
            let overhangs = d.front_overhang_mm + d.rear_overhang_mm;
            (length - wheelbase) * d.front_overhang_mm / overhangs
        }
        (None, None, None) => length * d.front_overhang_mm / d.length_mm,
    }
}

/// Knots in z. The ground stays the ground.
pub fn z_knots(style: &BodyStyle, measured: &Measured, pairs: &[Pair]) -> Vec<Knot> {
    let mut knots = vec![Knot::new("the ground", &[], 0.0, 0.0)];
    if let Some(height) = measured.height_mm {
        let fields = ["measured.height_mm"];
        let at = style.dimensions.height_mm;
        knots.push(Knot::new("the roof", &fields, at, height));
    }
    let measured = pairs.iter();
    knots.extend(measured.filter_map(|p| Knot::of_pair(p, p.template.z, p.z)));
    knots
}

/// The map through the knots, which ascend in the template.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisMap {
    knots: Vec<(f64, f64)>,
}

impl AxisMap {
    /// Merges neighbours and reports every interval that is stretched too far.
    pub fn through(mut knots: Vec<Knot>, errors: &mut Vec<FitError>) -> Self {
        knots.sort_by(|a, b| {
            let places = a.template.total_cmp(&b.template);
            places.then_with(|| a.name.cmp(&b.name))
        });
        let merged: Vec<Knot> = knots
            .chunk_by(|a, b| b.template - a.template < MERGE_MM)
            .map(merge)
            .collect();
        errors.extend(
            merged
                .windows(2)
                .filter_map(|k| overstretched(&k[0], &k[1])),
        );
        Self {
            knots: merged.iter().map(|k| (k.template, k.car)).collect(),
        }
    }

    /// The place on the car of a place of the template, mm.
    pub fn map(&self, at: f64) -> f64 {
        let last = self.knots.len() - 1;
        if last == 0 {
            let (template, car) = self.knots[0];
            return at - template + car;
        }
        let after = self.knots.partition_point(|(t, _)| *t <= at);
        let after = after.clamp(1, last);
        let ((t0, c0), (t1, c1)) = (self.knots[after - 1], self.knots[after]);
        c0 + (at - t0) * (c1 - c0) / (t1 - t0)
    }
}

fn overstretched(a: &Knot, b: &Knot) -> Option<FitError> {
    let slope = (b.car - a.car) / (b.template - a.template);
    if SLOPE.contains(&slope) {
        return None;
    }
    let mut fields: Vec<String> = a.fields.iter().chain(&b.fields).cloned().collect();
    fields.dedup();
    Some(FitError::Slope {
        a: a.name.clone(),
        b: b.name.clone(),
        slope,
        fields,
    })
}

fn merge(knots: &[Knot]) -> Knot {
    let mean = |of: fn(&Knot) -> f64| knots.iter().map(of).sum::<f64>() / knots.len() as f64;
    let names: Vec<&str> = knots.iter().map(|k| k.name.as_str()).collect();
    Knot {
        name: names.join(" with "),
        fields: knots.iter().flat_map(|k| k.fields.clone()).collect(),
        template: mean(|k| k.template),
        car: mean(|k| k.car),
    }
}
