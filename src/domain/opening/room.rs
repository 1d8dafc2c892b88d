//! The room on one span for this ask: its stretches with the looks of the crew
//! laid over them, and the gaps of a blade or a contact of a given width.
//! Stations in mm.
//!
//! A look at bare metal counts at the mark, without widening, and never opens a
//! `no-cut`. A look that found something keeps a blade off by that kind's
//! clearance. No blade, foot, crib, tip or lift point goes where a high-voltage
//! part is expected, or on a floor, until somebody has seen it bare.

use super::ask::{Look, LookFound};
use crate::domain::body::Span;
use crate::domain::policy::Policy;
use crate::domain::zone::gap::{BladeWidth, gaps};
use crate::domain::zone::round::{Hundredths, mm, nearest};
use crate::domain::zone::{Class, Gap, SpanZones, Stretch};

/// Named in `because` of what a look on this car showed.
pub const LOOK: &str = "look on this car";

/// Spans of the floor, without side: a high-voltage pack may lie under any of it.
const FLOOR: [&str; 2] = ["floor-crossmember", "tunnel"];

/// Whether a span is part of the floor.
pub fn is_floor(span: &str) -> bool {
    FLOOR.iter().any(|floor| span.starts_with(floor))
}

/// Where a high-voltage part is expected on a span, in stations.
#[derive(Debug, Clone, Copy)]
pub struct HighVoltage<'a> {
    pub expectation: &'a str,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// One span as it stands for this ask.
#[derive(Debug, Clone)]
pub struct Room<'a> {
    pub span: &'a Span,
    pub stretches: Vec<Stretch>,
}

impl<'a> Room<'a> {
    /// The span's zones with the looks at it.
    pub fn new(zones: &SpanZones, span: &'a Span, looks: &[Look], policy: &Policy) -> Self {
        let here = looks.iter().filter(|l| l.span == span.id);
        let mut room = Self {
            span,
            stretches: zones.stretches.clone(),
        };
        // Found parts last: what was seen there counts over a bare mark beside it.
        let (bare, parts): (Vec<_>, Vec<_>) = here.partition(|l| l.found == LookFound::Bare);
        for look in bare.into_iter().chain(parts) {
            room.lay(look, policy);
        }
        room
    }

    /// The room without what nobody has confirmed: a floor not seen bare, and where
    /// a high-voltage part is expected and the metal not seen bare. This is what
    /// the step fact `floor-confirmed` asks. Comes after the looks, which confirm it.
    pub fn closed_until_confirmed(mut self, expected: &[HighVoltage]) -> Self {
        for hv in expected {
            let (from, to) = (nearest(hv.from_mm), nearest(hv.to_mm));
            self.split(|s| match s.class {
                Class::Expected => laid_over(s, from, to, Class::NoCut, hv.expectation),
                _ => vec![s],
            });
        }
        if is_floor(&self.span.id) {
            for unseen in self.stretches.iter_mut().filter(|s| s.class != Class::Bare) {
                unseen.class = Class::NoCut;
            }
        }
        self
    }

    fn split(&mut self, each: impl FnMut(Stretch) -> Vec<Stretch>) {
        self.stretches = std::mem::take(&mut self.stretches)
            .into_iter()
            .flat_map(each)
            .collect();
    }

    fn lay(&mut self, look: &Look, policy: &Policy) {
        let (class, keep_off) = match look.found {
            LookFound::Bare => (Class::Bare, 0.0),
            LookFound::Part(kind) => match policy.clearance_mm(kind) {
                Some(clearance) => (Class::NoCut, clearance),
                // Steel says nothing about what lies behind it.
                None => return,
            },
        };
        let (from, to) = (
            nearest(look.from_mm - keep_off),
            nearest(look.to_mm + keep_off),
        );
        self.split(|s| laid_over(s, from, to, class, LOOK));
    }

    /// Where the middle of something of this width may be placed.
    pub fn gaps(&self, width: &BladeWidth) -> Vec<Gap> {
        gaps(&self.stretches, self.span, width)
    }

    /// Stretches that a blade at `station` touches, b′ each way.
    pub fn touched(&self, station: f64, width: &BladeWidth) -> impl Iterator<Item = &Stretch> {
        let half = width.touches_mm(self.span.half_depth_at(station));
        self.between(station - half, station + half)
    }

    /// Stretches that share more than a point with two stations' interval.
    pub fn between(&self, from: f64, to: f64) -> impl Iterator<Item = &Stretch> {
        self.stretches
            .iter()
            .filter(move |s| s.from_mm < to && from < s.to_mm)
    }
}

/// A stretch cut at two stations, its inner part of another class for this reason.
/// A `no-cut` stays whole.
fn laid_over(
    stretch: Stretch,
    from: Hundredths,
    to: Hundredths,
    class: Class,
    because: &str,
) -> Vec<Stretch> {
    let (start, end) = (nearest(stretch.from_mm), nearest(stretch.to_mm));
    let (inner_from, inner_to) = (from.max(start), to.min(end));
    if stretch.class == Class::NoCut || inner_from >= inner_to {
        return vec![stretch];
    }
    let part = |from: Hundredths, to: Hundredths| Stretch {
        from_mm: mm(from),
        to_mm: mm(to),
        ..stretch.clone()
    };
    let inner = Stretch {
        class,
        because: vec![because.into()],
        ..part(inner_from, inner_to)
    };
    [part(start, inner_from), inner, part(inner_to, end)]
        .into_iter()
        .filter(|s| s.from_mm < s.to_mm)
        .collect()
}
