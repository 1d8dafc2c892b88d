//! The zones document, `pillarbook-zones/1`: the same bytes for the same card
//! from the command line and from the API.

use super::card_file::{PolicyFile, VehicleFile};
use super::day::iso_day;
use super::figure;
use super::words::word_schema;
use crate::domain::finding::Place;
use crate::domain::kind::Kind;
use crate::domain::zone::{
    BareHere, Class, Component, ComponentClass, Disagreement, ExpectedHere, Gap, KeepOut,
    SpanZones, Stretch, Warning, WarningCode, Zones,
};
use serde::Serialize;
use time::Date;
use utoipa::ToSchema;

/// What stands in the field `format`.
pub const FORMAT: &str = "pillarbook-zones/1";

/// Where a blade may and may not go, and what nobody has looked at.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ZonesFile {
    #[schema(example = "pillarbook-zones/1")]
    pub format: &'static str,
    pub vehicle: VehicleFile,
    /// The policy in force, with the clearance of every no-cut kind.
    pub policy: PolicyFile,
    /// Day of the revision; null for a file.
    #[serde(with = "iso_day::option")]
    #[schema(value_type = Option<String>, format = Date)]
    pub as_of: Option<Date>,
    /// Revision of the stored card; null for a file.
    pub revision: Option<i64>,
    pub components: Vec<ComponentView>,
    pub spans: Vec<SpanView>,
    pub expectations: Vec<ExpectationView>,
    pub bare: Vec<BareView>,
    pub warnings: Vec<WarningView>,
}

/// A component as estimated from every finding about it; mm.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ComponentView {
    pub id: String,
    #[schema(schema_with = word_schema::<Kind>)]
    pub kind: Kind,
    /// Every kind reported, where they differ.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false, value_type = Vec<String>)]
    pub kinds: Vec<Kind>,
    #[schema(schema_with = word_schema::<ComponentClass>)]
    pub class: ComponentClass,
    /// Null for a material.
    pub clearance_mm: Option<f64>,
    #[serde(flatten)]
    pub place: PlaceView,
    pub radius_mm: f64,
    /// Whether no finding reports a thickness.
    pub radius_assumed: bool,
    pub sigma_mm: f64,
    pub k: f64,
    pub keep_out_mm: f64,
    /// What the keep-out grows by beyond `keep_out_mm`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grown_mm: Option<f64>,
    pub findings: Vec<String>,
    pub groups: usize,
    pub single_source: bool,
    pub chi2: f64,
    pub dof: usize,
    pub birge: f64,
    pub disputed: bool,
    pub disagree: Vec<DisagreementView>,
    pub offered: bool,
    pub keep_outs: Vec<KeepOutView>,
}

/// A place: on a span, or by its ends alone.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlaceView {
    /// Null when placed by points.
    pub span: Option<String>,
    pub from_mm: Option<f64>,
    pub to_mm: Option<f64>,
    pub ends_mm: [[f64; 3]; 2],
}

/// One keep-out: the fused one, or one finding's own.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct KeepOutView {
    /// Null for the fused one.
    pub finding: Option<String>,
    pub offered: bool,
    #[serde(flatten)]
    pub place: PlaceView,
    pub radius_mm: f64,
    pub sigma_mm: f64,
    pub keep_out_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grown_mm: Option<f64>,
}

/// Two findings that cannot both be right.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DisagreementView {
    pub a: String,
    pub b: String,
    /// Their largest coordinate difference.
    pub mm: f64,
}

/// One span, tiled by its stretches; stations in mm from its foot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SpanView {
    pub id: String,
    pub name: String,
    pub foot: String,
    pub head: String,
    pub length_mm: f64,
    pub centreline_mm: Vec<[f64; 3]>,
    /// One figure a vertex.
    pub half_depth_mm: Vec<f64>,
    pub stretches: Vec<StretchView>,
    pub gaps: Vec<GapView>,
    /// Middle of the widest gap of the best class there is.
    pub middle_mm: Option<f64>,
}

/// A part of a span with one class.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StretchView {
    pub from_mm: f64,
    pub to_mm: f64,
    #[schema(schema_with = word_schema::<Class>)]
    pub class: Class,
    pub material: Vec<String>,
    pub because: Vec<String>,
}

/// Stations where the middle of a blade may be placed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct GapView {
    pub from_mm: f64,
    pub to_mm: f64,
    #[schema(schema_with = word_schema::<Class>)]
    pub class: Class,
}

/// What is likely before anyone has looked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExpectationView {
    pub id: String,
    pub text: String,
    pub source: String,
}

/// A bare finding that counts, after widening.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BareView {
    pub finding: String,
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
    pub by: Option<String>,
    #[serde(with = "iso_day")]
    #[schema(value_type = String, format = Date)]
    pub on: Date,
}

/// What the reader has to know.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WarningView {
    #[schema(schema_with = word_schema::<WarningCode>)]
    pub code: WarningCode,
    pub text: String,
    pub ids: Vec<String>,
    pub span: Option<String>,
}

impl ZonesFile {
    /// Of a stored card: the day and number of its revision.
    #[must_use]
    pub fn of_revision(self, as_of: Date, revision: i64) -> Self {
        Self {
            as_of: Some(as_of),
            revision: Some(revision),
            ..self
        }
    }

    /// The document on one line, ending with a line break.
    pub fn to_json(&self) -> String {
        let mut text = serde_json::to_string(self).expect("zones are plain data");
        text.push('\n');
        text
    }
}

impl From<&Zones> for ZonesFile {
    fn from(zones: &Zones) -> Self {
        let mut policy = PolicyFile::from(&zones.policy);
        policy.clearance_mm = Kind::ALL
            .iter()
            .filter_map(|kind| Some((*kind, zones.policy.clearance_mm(*kind)?)))
            .collect();
        Self {
            format: FORMAT,
            vehicle: VehicleFile::from(&zones.vehicle),
            policy,
            as_of: None,
            revision: None,
            components: zones.components.iter().map(ComponentView::from).collect(),
            spans: zones.spans.iter().map(SpanView::from).collect(),
            expectations: zones
                .expectations
                .iter()
                .map(ExpectationView::from)
                .collect(),
            bare: zones.bare.iter().map(BareView::from).collect(),
            warnings: zones.warnings.iter().map(WarningView::from).collect(),
        }
    }
}

impl PlaceView {
    fn new(place: &Place, ends_mm: [crate::domain::frame::Point; 2]) -> Self {
        let (span, stations) = match place {
            Place::OnSpan {
                span,
                from_mm,
                to_mm,
            } => (Some(span.clone()), Some((*from_mm, *to_mm))),
            Place::Points(_) => (None, None),
        };
        Self {
            span,
            from_mm: stations.map(|(from, _)| figure::length(from)),
            to_mm: stations.map(|(_, to)| figure::length(to)),
            ends_mm: ends_mm.map(figure::end),
        }
    }
}

impl From<&Component> for ComponentView {
    fn from(c: &Component) -> Self {
        Self {
            id: c.id.to_string(),
            kind: c.kind,
            kinds: if c.kinds.len() > 1 {
                c.kinds.clone()
            } else {
                Vec::new()
            },
            class: c.class,
            clearance_mm: c.clearance_mm,
            place: PlaceView::new(&c.place, c.ends_mm),
            radius_mm: figure::length(c.radius_mm),
            radius_assumed: c.radius_assumed,
            sigma_mm: figure::fine(c.sigma_mm),
            k: figure::factor(c.k),
            keep_out_mm: figure::length(c.keep_out_mm),
            grown_mm: c.grown_mm.map(figure::length),
            findings: c.findings.clone(),
            groups: c.groups,
            single_source: c.single_source,
            chi2: figure::fine(c.chi2),
            dof: c.dof,
            birge: figure::fine(c.birge),
            disputed: c.disputed,
            disagree: c.disagree.iter().map(DisagreementView::from).collect(),
            offered: c.offered,
            keep_outs: c.keep_outs.iter().map(KeepOutView::from).collect(),
        }
    }
}

impl From<&KeepOut> for KeepOutView {
    fn from(k: &KeepOut) -> Self {
        Self {
            finding: k.finding.clone(),
            offered: k.offered,
            place: PlaceView::new(&k.place, k.ends_mm),
            radius_mm: figure::length(k.radius_mm),
            sigma_mm: figure::fine(k.sigma_mm),
            keep_out_mm: figure::length(k.keep_out_mm),
            grown_mm: k.grown_mm.map(figure::length),
        }
    }
}

impl From<&Disagreement> for DisagreementView {
    fn from(d: &Disagreement) -> Self {
        Self {
            a: d.a.clone(),
            b: d.b.clone(),
            mm: figure::length(d.mm),
        }
    }
}

impl From<&SpanZones> for SpanView {
    fn from(span: &SpanZones) -> Self {
        Self {
            id: span.id.to_string(),
            name: span.name.to_string(),
            foot: span.foot.to_string(),
            head: span.head.to_string(),
            length_mm: figure::length(span.length_mm),
            centreline_mm: span
                .centreline_mm
                .iter()
                .copied()
                .map(figure::vertex)
                .collect(),
            half_depth_mm: span
                .half_depth_mm
                .iter()
                .copied()
                .map(figure::length)
                .collect(),
            stretches: span.stretches.iter().map(StretchView::from).collect(),
            gaps: span.gaps.iter().map(GapView::from).collect(),
            middle_mm: span.middle_mm.map(figure::length),
        }
    }
}

impl From<&Stretch> for StretchView {
    fn from(s: &Stretch) -> Self {
        Self {
            from_mm: figure::length(s.from_mm),
            to_mm: figure::length(s.to_mm),
            class: s.class,
            material: s.material.iter().map(ToString::to_string).collect(),
            because: s.because.iter().map(ToString::to_string).collect(),
        }
    }
}

impl From<&Gap> for GapView {
    fn from(gap: &Gap) -> Self {
        Self {
            from_mm: figure::length(gap.from_mm),
            to_mm: figure::length(gap.to_mm),
            class: gap.class,
        }
    }
}

impl From<&ExpectedHere> for ExpectationView {
    fn from(e: &ExpectedHere) -> Self {
        Self {
            id: e.id.to_string(),
            text: e.text.to_string(),
            source: e.source.to_string(),
        }
    }
}

impl From<&BareHere> for BareView {
    fn from(b: &BareHere) -> Self {
        Self {
            finding: b.finding.clone(),
            span: b.span.clone(),
            from_mm: figure::length(b.from_mm),
            to_mm: figure::length(b.to_mm),
            by: b.by.clone(),
            on: b.on,
        }
    }
}

impl From<&Warning> for WarningView {
    fn from(w: &Warning) -> Self {
        Self {
            code: w.code,
            text: w.text.clone(),
            ids: w.ids.clone(),
            span: w.span.clone(),
        }
    }
}
