//! The ratio of the car's width to the template's. A measured y of a landmark
//! only sets this ratio.

use super::landmark::Pair;
use super::{FitError, SLOPE};
use crate::domain::body::{BodyStyle, Measured};

/// Two measurements that put a place further apart than this cannot both be
/// right; a place in the middle can be measured no further off it. mm.
const CONFLICT_MM: f64 = 25.0;

/// A distance from the middle, mm: in the template and on the car.
struct Half {
    field: String,
    template: f64,
    car: f64,
}

/// The overall width decides; without it the mean of the measured landmarks.
pub fn ratio(
    style: &BodyStyle,
    measured: &Measured,
    pairs: &[Pair],
    errors: &mut Vec<FitError>,
) -> f64 {
    let overall = measured.width_mm.map(|width| Half {
        field: "measured.width_mm".to_owned(),
        template: style.dimensions.width_mm / 2.0,
        car: width / 2.0,
    });
    let decided = overall.as_ref().map(|half| half.car / half.template);
    let halves: Vec<Half> = overall.into_iter().chain(of_pairs(pairs, errors)).collect();
    for (i, a) in halves.iter().enumerate() {
        errors.extend(halves[i + 1..].iter().filter_map(|b| conflict(a, b)));
    }
    let Some(first) = halves.first() else {
        return 1.0;
    };
    let ratios = halves.iter().map(|half| half.car / half.template);
    let ratio = decided.unwrap_or_else(|| ratios.sum::<f64>() / halves.len() as f64);
    if !SLOPE.contains(&ratio) {
        errors.push(FitError::Slope {
            a: "the middle of the car".to_owned(),
            b: first.field.clone(),
            slope: ratio,
            fields: halves.iter().map(|half| half.field.clone()).collect(),
        });
    }
    ratio
}

fn of_pairs(pairs: &[Pair], errors: &mut Vec<FitError>) -> Vec<Half> {
    let mut halves = Vec::new();
    for pair in pairs {
        let Some(car) = pair.y else { continue };
        let field = pair.fields[0].clone();
        if pair.template.y > 0.0 {
            let template = pair.template.y;
            halves.push(Half {
                field,
                template,
                car,
            });
        } else if car > CONFLICT_MM {
            errors.push(FitError::WidthAtMiddle { field });
        }
    }
    halves
}

/// Whether `a` puts the place of `b` elsewhere than `b` says.
fn conflict(a: &Half, b: &Half) -> Option<FitError> {
    let mm = (a.car / a.template * b.template - b.car).abs();
    (mm > CONFLICT_MM).then(|| FitError::Width {
        a: a.field.clone(),
        b: b.field.clone(),
        mm,
    })
}
