//! Blade gaps: where the middle of a blade may be placed so that all a blade
//! touches, lean and tip counted, stays within one run of stretches. Stations in mm.

use super::result::{Class, Gap, Stretch};
use super::round::{Rounded, mm};
use crate::domain::body::Span;
use crate::domain::geometry::{Interval, union};
use crate::domain::policy::Policy;

/// A gap shorter than this after rounding is none (hundredths of a millimetre).
const SHORTEST: i64 = 100;
/// Widths this close tie for the middle (mm).
const TIE_MM: f64 = 0.02;

/// Half of what a blade touches along a span: b + (h + t)·tan(lean).
#[derive(Debug, Clone, Copy)]
pub struct BladeWidth {
    half_width_mm: f64,
    tip_reach_mm: f64,
    lean_slope: f64,
}

impl BladeWidth {
    /// The policy's blade.
    pub fn of(policy: &Policy) -> Self {
        Self {
            half_width_mm: policy.blade_half_width_mm,
            tip_reach_mm: policy.tip_reach_mm,
            lean_slope: policy.lean_deg.to_radians().tan(),
        }
    }

    /// The policy's lean and tip with a tool's blade, when that is wider.
    pub fn of_tool(policy: &Policy, half_width_mm: Option<f64>) -> Self {
        let own = Self::of(policy);
        let half_width_mm = own.half_width_mm.max(half_width_mm.unwrap_or_default());
        Self {
            half_width_mm,
            ..own
        }
    }

    /// Something that presses on the metal and does not go through it.
    pub const fn pressing(half_width_mm: f64) -> Self {
        Self {
            half_width_mm,
            tip_reach_mm: 0.0,
            lean_slope: 0.0,
        }
    }

    /// b′ where the half-depth is `half_depth`, mm.
    pub fn touches_mm(&self, half_depth: f64) -> f64 {
        self.half_width_mm + (half_depth + self.tip_reach_mm) * self.lean_slope
    }
}

/// Every gap of a span, best class first, then from the foot.
pub fn gaps(stretches: &[Stretch], span: &Span, blade: &BladeWidth) -> Vec<Gap> {
    let mut found = Vec::new();
    for class in [Class::Bare, Class::Unproven, Class::Expected] {
        for run in runs(stretches, class) {
            found.extend(gaps_in(run, span, blade, class));
        }
    }
    found
}

/// The middle of the widest gap of the best class there is; of equals the one
/// nearer the foot. `None` without any gap.
pub fn middle(gaps: &[Gap]) -> Option<f64> {
    let best = gaps.first()?.class;
    let of_best = || gaps.iter().filter(|g| g.class == best);
    let widest = of_best().map(|g| g.to_mm - g.from_mm).fold(0.0, f64::max);
    let chosen = of_best().find(|g| g.to_mm - g.from_mm >= widest - TIE_MM)?;
    Some((chosen.from_mm + chosen.to_mm) / 2.0)
}

/// Maximal runs of stretches a gap of this class may lie in, with some of it.
fn runs(stretches: &[Stretch], class: Class) -> impl Iterator<Item = Interval> {
    let allowed = move |c: Class| openness(c).is_some_and(|o| Some(o) <= openness(class));
    stretches
        .chunk_by(move |a, b| allowed(a.class) == allowed(b.class))
        .filter(move |run| allowed(run[0].class) && run.iter().any(|s| s.class == class))
        .map(|run| Interval::new(run[0].from_mm, run[run.len() - 1].to_mm))
}

/// How little is known to stand in a blade's way: a run of one class may hold
/// all before it. `None`: never.
fn openness(class: Class) -> Option<u8> {
    match class {
        Class::NoCut => None,
        Class::Bare => Some(0),
        Class::Unproven => Some(1),
        Class::Expected => Some(2),
    }
}

/// Both conditions are linear on each piece of the span, where h is linear.
fn gaps_in(
    run: Interval,
    span: &Span,
    blade: &BladeWidth,
    class: Class,
) -> impl Iterator<Item = Gap> {
    let stations = span.line.stations();
    let last = stations.len() - 2;
    let fitting = (0..=last).filter_map(|piece| {
        let (a, b) = (stations[piece], stations[piece + 1]);
        let width = |vertex: usize| blade.touches_mm(span.half_depth_mm[vertex]);
        let slope = (width(piece + 1) - width(piece)) / (b - a);
        let at_foot = width(piece) - slope * a;
        // The rounded length may pass the last vertex by half a hundredth.
        let reach = Interval::new(a, if piece == last { b.max(run.to) } else { b });
        let from_start = at_least(1.0 - slope, run.from + at_foot)?;
        let to_end = at_most(1.0 + slope, run.to - at_foot)?;
        reach.intersection(from_start)?.intersection(to_end)
    });
    union(fitting.collect())
        .into_iter()
        .filter_map(|i| Rounded::inward(i, i64::MAX))
        .filter(|r| r.to - r.from >= SHORTEST)
        .map(move |r| Gap {
            from_mm: mm(r.from),
            to_mm: mm(r.to),
            class,
        })
}

/// All s with k·s ≥ limit.
fn at_least(k: f64, limit: f64) -> Option<Interval> {
    match k {
        k if k > 0.0 => Some(Interval::new(limit / k, f64::INFINITY)),
        k if k < 0.0 => Some(Interval::new(f64::NEG_INFINITY, limit / k)),
        _ => (limit <= 0.0).then_some(Interval::new(f64::NEG_INFINITY, f64::INFINITY)),
    }
}

/// All s with k·s ≤ limit.
fn at_most(k: f64, limit: f64) -> Option<Interval> {
    at_least(-k, -limit)
}
