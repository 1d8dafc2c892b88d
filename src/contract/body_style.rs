//! A body style as the API describes it: what a card of that style starts from.

use super::figure;
use super::words::word_schema;
use crate::domain::body::{BPillar, BodyStyle, Expectation, Hinge, Span, SpanGroup, StyleId};
use crate::domain::frame::Side;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// A body style in a list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BodyStyleEntry {
    #[schema(schema_with = word_schema::<StyleId>)]
    pub id: StyleId,
    pub name: String,
    /// One line to recognise it by.
    pub shape: String,
}

/// A template, before anyone has measured the car; mm in the vehicle's frame
/// (x to the rear, y to the right, z up, origin under the front axle).
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BodyStyleView {
    #[schema(schema_with = word_schema::<StyleId>)]
    pub id: StyleId,
    pub name: String,
    pub shape: String,
    pub dimensions: DimensionsView,
    #[schema(schema_with = word_schema::<BPillar>)]
    pub b_pillar: BPillar,
    pub spans: Vec<TemplateSpanView>,
    pub doors: Vec<DoorView>,
    pub panes: Vec<NamedView>,
    pub seats: Vec<SeatView>,
    pub landmarks: Vec<LandmarkView>,
    pub expectations: Vec<TemplateExpectationView>,
}

/// SAE J1100 dimensions: L101, L103, L104, L105, W103, H100.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DimensionsView {
    pub wheelbase_mm: f64,
    pub length_mm: f64,
    pub front_overhang_mm: f64,
    pub rear_overhang_mm: f64,
    pub width_mm: f64,
    pub height_mm: f64,
}

/// A span of a template, foot first.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TemplateSpanView {
    pub id: String,
    pub name: String,
    pub foot: String,
    pub head: String,
    #[schema(schema_with = word_schema::<Side>)]
    pub side: Side,
    #[schema(schema_with = word_schema::<SpanGroup>)]
    pub group: SpanGroup,
    pub length_mm: f64,
    pub centreline_mm: Vec<[f64; 3]>,
    pub half_depth_mm: Vec<f64>,
}

#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DoorView {
    pub id: String,
    pub name: String,
    #[schema(schema_with = word_schema::<Side>)]
    pub side: Side,
    #[schema(schema_with = word_schema::<Hinge>)]
    pub hinge: Hinge,
}

#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NamedView {
    pub id: String,
    pub name: String,
}

#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SeatView {
    pub id: String,
    pub name: String,
    pub row: u32,
    #[schema(schema_with = word_schema::<Side>)]
    pub side: Side,
    /// The hip.
    pub h_point_mm: [f64; 3],
    /// Fore-and-aft travel.
    pub travel_mm: f64,
}

#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LandmarkView {
    pub id: String,
    pub name: String,
    pub point_mm: [f64; 3],
}

/// What is likely at a place before anyone has looked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TemplateExpectationView {
    pub id: String,
    pub span: String,
    /// Shares of the span's length from its foot, 0 to 1.
    pub from_share: f64,
    pub to_share: f64,
    pub text: String,
    /// First model year it is common, by region; null for every year.
    pub common_from: Option<BTreeMap<String, i32>>,
    /// Drives it applies to; null for every drive.
    #[schema(value_type = Option<Vec<String>>)]
    pub drives: Option<Vec<crate::domain::vehicle::Drive>>,
    pub source: String,
}

impl From<&BodyStyle> for BodyStyleEntry {
    fn from(style: &BodyStyle) -> Self {
        Self {
            id: style.id,
            name: style.name.clone(),
            shape: style.shape.clone(),
        }
    }
}

impl From<&BodyStyle> for BodyStyleView {
    fn from(style: &BodyStyle) -> Self {
        let d = style.dimensions;
        let named = |id: &String, name: &String| NamedView {
            id: id.clone(),
            name: name.clone(),
        };
        Self {
            id: style.id,
            name: style.name.clone(),
            shape: style.shape.clone(),
            dimensions: DimensionsView {
                wheelbase_mm: d.wheelbase_mm,
                length_mm: d.length_mm,
                front_overhang_mm: d.front_overhang_mm,
                rear_overhang_mm: d.rear_overhang_mm,
                width_mm: d.width_mm,
                height_mm: d.height_mm,
            },
            b_pillar: style.b_pillar,
            spans: style.spans.iter().map(TemplateSpanView::from).collect(),
            doors: style
                .doors
                .iter()
                .map(|door| DoorView {
                    id: door.id.clone(),
                    name: door.name.clone(),
                    side: door.side,
                    hinge: door.hinge,
                })
                .collect(),
            panes: style
                .panes
                .iter()
                .map(|pane| named(&pane.id, &pane.name))
                .collect(),
            seats: style
                .seats
                .iter()
                .map(|seat| SeatView {
                    id: seat.id.clone(),
                    name: seat.name.clone(),
                    row: seat.row,
                    side: seat.side,
                    h_point_mm: figure::end(seat.h_point),
                    travel_mm: seat.travel_mm,
                })
                .collect(),
            landmarks: style
                .landmarks
                .iter()
                .map(|mark| LandmarkView {
                    id: mark.id.clone(),
                    name: mark.name.clone(),
                    point_mm: figure::end(mark.point),
                })
                .collect(),
            expectations: style
                .expectations
                .iter()
                .map(TemplateExpectationView::from)
                .collect(),
        }
    }
}

impl From<&Span> for TemplateSpanView {
    fn from(span: &Span) -> Self {
        Self {
            id: span.id.to_string(),
            name: span.name.to_string(),
            foot: span.foot.to_string(),
            head: span.head.to_string(),
            side: span.side,
            group: span.group,
            length_mm: figure::length(span.line.length()),
            centreline_mm: span
                .line
                .vertices()
                .iter()
                .copied()
                .map(figure::vertex)
                .collect(),
            half_depth_mm: span.half_depth_mm.to_vec(),
        }
    }
}

impl From<&Expectation> for TemplateExpectationView {
    fn from(e: &Expectation) -> Self {
        Self {
            id: e.id.to_string(),
            span: e.span.clone(),
            from_share: e.from_share,
            to_share: e.to_share,
            text: e.text.to_string(),
            common_from: e.common_from.clone(),
            drives: e.drives.clone(),
            source: e.source.to_string(),
        }
    }
}
