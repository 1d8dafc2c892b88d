//! The room on one span for this ask: its stretches with the looks of the crew
//! laid over them, and the gaps of a blade or a contact of a given width.
//! Stations in mm.
//!
//! A look at bare metal counts at the mark, without widening, and never opens a
//! `no-cut`. A look that found something keeps a blade off by that kind's
//! clearance.

use super::ask::{Look, LookFound};
use crate::domain::body::Span;
use crate::domain::policy::Policy;
use crate::domain::zone::gap::{BladeWidth, gaps};
use crate::domain::zone::round::{Hundredths, mm, nearest};
use crate::domain::zone::{Class, Gap, SpanZones, Stretch};

/// Named in `because` of what a look on this car showed.
pub const LOOK: &str = "look on this car";

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
        self.stretches = std::mem::take(&mut self.stretches)
            .into_iter()
            .flat_map(|s| laid_over(s, from, to, class))
            .collect();
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

/// A stretch cut at the ends of a look, its inner part of the look's class.
fn laid_over(stretch: Stretch, from: Hundredths, to: Hundredths, class: Class) -> Vec<Stretch> {
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
        because: vec![LOOK.to_owned()],
        ..part(inner_from, inner_to)
    };
    [part(start, inner_from), inner, part(inner_to, end)]
        .into_iter()
        .filter(|s| s.from_mm < s.to_mm)
        .collect()
}
