//! What the mathematics says about a card: components, stretches, gaps,
//! warnings. Stations and lengths in mm, rounded to 0.01.

use crate::domain::body::SpanGroup;
use crate::domain::finding::Place;
use crate::domain::frame::{Point, Side};
use crate::domain::geometry::Interval;
use crate::domain::kind::Kind;
use crate::domain::name::Name;
use crate::domain::policy::Policy;
use crate::domain::vehicle::{Vehicle, words};
use std::sync::Arc;

words! {
    /// The class of a stretch, highest rank first.
    Class { NoCut = "no-cut", Bare = "bare", Expected = "expected", Unproven = "unproven" }
}

words! {
    /// What a component does to a blade.
    ComponentClass { NoCut = "no-cut", Material = "material" }
}

/// A part of a span with one class. Stretches tile their span.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    pub from_mm: f64,
    pub to_mm: f64,
    pub class: Class,
    /// Sorted ids of material components.
    pub material: Vec<Name>,
    /// Sorted ids of what gives the class: components, findings, expectations.
    pub because: Vec<Name>,
}

/// Stations where the middle of a blade may be placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub from_mm: f64,
    pub to_mm: f64,
    /// `Bare`, `Unproven` or `Expected`.
    pub class: Class,
}

/// How far each layer of one component's no-cut reaches on one span: what is
/// there, what a blade must keep off, what is only uncertainty. Nested: part ⊆
/// clearance ⊆ widening. For drawing; stretches are what counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Bands {
    pub component: Name,
    pub offered: bool,
    /// `None`: the part does not lie along this span, only its keep-out reaches it.
    pub part: Option<Interval>,
    pub clearance: Option<Interval>,
    pub widening: Interval,
}

/// One span, tiled.
#[derive(Debug, Clone, PartialEq)]
pub struct SpanZones {
    pub id: Name,
    pub name: Name,
    pub foot: Name,
    pub head: Name,
    pub side: Side,
    pub group: SpanGroup,
    pub length_mm: f64,
    pub centreline_mm: Arc<[Point]>,
    /// Station of each vertex, mm.
    pub stations_mm: Arc<[f64]>,
    pub half_depth_mm: Arc<[f64]>,
    pub stretches: Vec<Stretch>,
    pub gaps: Vec<Gap>,
    pub middle_mm: Option<f64>,
    pub bands: Vec<Bands>,
}

/// One keep-out: the fused one, or one finding's own.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepOut {
    /// `None` for the fused one.
    pub finding: Option<String>,
    pub offered: bool,
    pub place: Place,
    pub ends_mm: [Point; 2],
    pub radius_mm: f64,
    pub sigma_mm: f64,
    /// R = r + clearance + k·σ, without `grown_mm`; r + k·σ for a material.
    pub keep_out_mm: f64,
    pub grown_mm: Option<f64>,
}

/// Two findings that cannot both be right.
#[derive(Debug, Clone, PartialEq)]
pub struct Disagreement {
    pub a: String,
    pub b: String,
    /// Their largest coordinate difference.
    pub mm: f64,
}

/// A thing in the vehicle, as estimated from every finding about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    pub id: Name,
    pub kind: Kind,
    /// Every kind reported, when they differ.
    pub kinds: Vec<Kind>,
    pub class: ComponentClass,
    pub clearance_mm: Option<f64>,
    pub place: Place,
    pub ends_mm: [Point; 2],
    pub radius_mm: f64,
    pub radius_assumed: bool,
    pub sigma_mm: f64,
    pub k: f64,
    pub keep_out_mm: f64,
    pub grown_mm: Option<f64>,
    pub findings: Vec<String>,
    pub groups: usize,
    pub single_source: bool,
    pub chi2: f64,
    pub dof: usize,
    pub birge: f64,
    pub disputed: bool,
    pub disagree: Vec<Disagreement>,
    pub offered: bool,
    pub keep_outs: Vec<KeepOut>,
}

/// An expectation in force for this card and variant.
#[derive(Debug, Clone, PartialEq)]
pub struct ExpectedHere {
    pub id: Name,
    pub text: Name,
    pub source: Name,
}

/// A bare finding that counts, after widening.
#[derive(Debug, Clone, PartialEq)]
pub struct BareHere {
    pub finding: String,
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
    pub by: Option<String>,
    pub on: time::Date,
}

words! {
    /// What a warning is about.
    WarningCode {
        StationClamped = "station-clamped", CountsForNothing = "counts-for-nothing",
        Contradiction = "contradiction", Disputed = "disputed", KindsDiffer = "kinds-differ",
        RadiusAssumed = "radius-assumed", SingleSource = "single-source",
        VariantDiffers = "variant-differs", ReviewOverdue = "review-overdue",
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    pub code: WarningCode,
    pub text: String,
    pub ids: Vec<String>,
    pub span: Option<String>,
}

/// Everything the mathematics says about a card.
#[derive(Debug, Clone, PartialEq)]
pub struct Zones {
    pub vehicle: Vehicle,
    pub policy: Policy,
    /// Sorted by id.
    pub components: Vec<Component>,
    /// In the body style's order.
    pub spans: Vec<SpanZones>,
    pub expectations: Vec<ExpectedHere>,
    pub bare: Vec<BareHere>,
    pub warnings: Vec<Warning>,
}
