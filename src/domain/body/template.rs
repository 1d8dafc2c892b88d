//! Reading the twelve templates. A data file holds the centre and the left
//! side; the right side is its exact mirror, made here. Coordinates are mm in
//! the frame, so y is negative on the left.

use super::{
    BPillar, BodyStyle, Dimensions, Door, Expectation, Hinge, Landmark, Outlines, Pane, Seat,
    Shape, ShapeRole, Span, SpanGroup, StyleId,
};
use crate::domain::frame::{Point, Side};
use crate::domain::geometry::Polyline;
use crate::domain::vehicle::Drive;
use kurbo::BezPath;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The template of a body style.
pub fn style(id: StyleId) -> &'static BodyStyle {
    static STYLES: LazyLock<Vec<BodyStyle>> =
        LazyLock::new(|| StyleId::ALL.iter().map(|id| read(*id)).collect());
    &STYLES[id as usize]
}

fn source(id: StyleId) -> &'static str {
    match id {
        StyleId::Sedan => include_str!("styles/sedan.json"),
        StyleId::Coupe => include_str!("styles/coupe.json"),
        StyleId::Hatch3 => include_str!("styles/hatch-3.json"),
        StyleId::Hatch5 => include_str!("styles/hatch-5.json"),
        StyleId::Estate => include_str!("styles/estate.json"),
        StyleId::Suv => include_str!("styles/suv.json"),
        StyleId::Minivan => include_str!("styles/minivan.json"),
        StyleId::Convertible => include_str!("styles/convertible.json"),
        StyleId::PickupRegular => include_str!("styles/pickup-regular.json"),
        StyleId::PickupExtended => include_str!("styles/pickup-extended.json"),
        StyleId::PickupCrew => include_str!("styles/pickup-crew.json"),
        StyleId::CargoVan => include_str!("styles/cargo-van.json"),
    }
}

fn read(id: StyleId) -> BodyStyle {
    let file: File = serde_json::from_str(source(id))
        .unwrap_or_else(|e| unreachable!("the template {id} is part of the program: {e}"));
    file.into_style(id)
}

/// A data file as written. Ids of what stands on the left carry no side.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    name: String,
    shape: String,
    dimensions: DimensionsRow,
    b_pillar: BPillar,
    landmarks: Vec<LandmarkRow>,
    spans: Vec<SpanRow>,
    doors: Vec<DoorRow>,
    panes: Vec<PaneRow>,
    seats: Vec<SeatRow>,
    expectations: Vec<ExpectationRow>,
    outlines: OutlinesRow,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DimensionsRow {
    wheelbase_mm: f64,
    length_mm: f64,
    front_overhang_mm: f64,
    rear_overhang_mm: f64,
    width_mm: f64,
    height_mm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LandmarkRow {
    id: String,
    name: String,
    at: Point,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SpanRow {
    id: String,
    name: String,
    group: SpanGroup,
    foot: String,
    head: String,
    /// Foot first; on the left, or from left to right across the middle.
    line: Vec<Point>,
    half_depth_mm: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DoorRow {
    id: String,
    name: String,
    side: Side,
    hinge: Hinge,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PaneRow {
    id: String,
    name: String,
    side: Side,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SeatRow {
    id: String,
    name: String,
    row: u32,
    side: Side,
    h_point: Point,
    travel_mm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ExpectationRow {
    id: String,
    span: String,
    from: f64,
    to: f64,
    text: String,
    common_from: Option<BTreeMap<String, i32>>,
    drives: Option<Vec<Drive>>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OutlinesRow {
    side: Vec<ShapeRow>,
    top: Vec<ShapeRow>,
    front: Vec<ShapeRow>,
}

/// A path as in SVG, absolute commands, in mm of the view's two axes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShapeRow {
    role: ShapeRole,
    id: Option<String>,
    path: String,
    /// In the top and front views: also draw it mirrored across the middle.
    #[serde(default)]
    mirrored: bool,
}

impl File {
    fn into_style(self, id: StyleId) -> BodyStyle {
        let d = self.dimensions;
        let both_sides: Vec<&str> = self
            .spans
            .iter()
            .filter(|s| side_of(&s.line) == Side::Left)
            .map(|s| s.id.as_str())
            .collect();
        let expectations = self
            .expectations
            .iter()
            .flat_map(|e| e.on_sides(&both_sides))
            .collect();
        BodyStyle {
            id,
            name: self.name,
            shape: self.shape,
            dimensions: Dimensions {
                wheelbase_mm: d.wheelbase_mm,
                length_mm: d.length_mm,
                front_overhang_mm: d.front_overhang_mm,
                rear_overhang_mm: d.rear_overhang_mm,
                width_mm: d.width_mm,
                height_mm: d.height_mm,
            },
            landmarks: self
                .landmarks
                .iter()
                .flat_map(LandmarkRow::on_sides)
                .collect(),
            spans: self.spans.iter().flat_map(SpanRow::on_sides).collect(),
            doors: self.doors.iter().flat_map(DoorRow::on_sides).collect(),
            b_pillar: self.b_pillar,
            panes: self.panes.iter().flat_map(PaneRow::on_sides).collect(),
            seats: self.seats.iter().flat_map(SeatRow::on_sides).collect(),
            outlines: self.outlines.drawn(),
            expectations,
        }
    }
}

/// A line along y = 0 or across it is central; any other is on its side.
fn side_of(line: &[Point]) -> Side {
    let one_sided = line.iter().all(|p| p.y < 0.0);
    if one_sided { Side::Left } else { Side::Centre }
}

fn both(side: Side) -> &'static [Side] {
    match side {
        Side::Centre => &[Side::Centre],
        Side::Left | Side::Right => &[Side::Left, Side::Right],
    }
}

/// `b-pillar` → `b-pillar.left`; the centre carries no side.
fn sided(id: &str, side: Side) -> String {
    match side {
        Side::Left => format!("{id}.left"),
        Side::Right => format!("{id}.right"),
        Side::Centre => id.to_owned(),
    }
}

/// `front` → `front-left`, as doors, panes and seats are called.
fn hyphened(id: &str, side: Side) -> String {
    sided(id, side).replace('.', "-")
}

fn named(name: &str, side: Side) -> String {
    match side {
        Side::Left => format!("{name}, left"),
        Side::Right => format!("{name}, right"),
        Side::Centre => name.to_owned(),
    }
}

fn placed(point: Point, side: Side) -> Point {
    if side == Side::Right {
        point.mirrored()
    } else {
        point
    }
}

impl LandmarkRow {
    fn on_sides(&self) -> impl Iterator<Item = Landmark> {
        both(side_of(&[self.at])).iter().map(|&side| Landmark {
            id: sided(&self.id, side),
            name: named(&self.name, side),
            point: placed(self.at, side),
        })
    }
}

impl SpanRow {
    fn on_sides(&self) -> impl Iterator<Item = Span> {
        both(side_of(&self.line)).iter().map(|&side| {
            let line: Vec<Point> = self.line.iter().map(|p| placed(*p, side)).collect();
            Span {
                id: sided(&self.id, side).into(),
                name: named(&self.name, side).into(),
                foot: self.foot.as_str().into(),
                head: self.head.as_str().into(),
                side,
                group: self.group,
                line: Polyline::new(line).expect("a template's centreline has length"),
                half_depth_mm: self.half_depth_mm.as_slice().into(),
            }
        })
    }
}

impl DoorRow {
    fn on_sides(&self) -> impl Iterator<Item = Door> {
        both(self.side).iter().map(|&side| Door {
            id: hyphened(&self.id, side),
            name: named(&self.name, side),
            side,
            hinge: self.hinge,
        })
    }
}

impl PaneRow {
    fn on_sides(&self) -> impl Iterator<Item = Pane> {
        both(self.side).iter().map(|&side| Pane {
            id: hyphened(&self.id, side),
            name: named(&self.name, side),
        })
    }
}

impl SeatRow {
    fn on_sides(&self) -> impl Iterator<Item = Seat> {
        both(self.side).iter().map(|&side| Seat {
            id: hyphened(&self.id, side),
            name: named(&self.name, side),
            row: self.row,
            side,
            h_point: placed(self.h_point, side),
            travel_mm: self.travel_mm,
        })
    }
}

impl ExpectationRow {
    fn on_sides(&self, both_sides: &[&str]) -> impl Iterator<Item = Expectation> {
        let side = if both_sides.contains(&self.span.as_str()) {
            Side::Left
        } else {
            Side::Centre
        };
        both(side).iter().map(|&side| Expectation {
            id: sided(&self.id, side).into(),
            span: sided(&self.span, side),
            from_share: self.from,
            to_share: self.to,
            text: self.text.as_str().into(),
            common_from: self.common_from.clone(),
            drives: self.drives.clone(),
            source: self.source.as_str().into(),
        })
    }
}

impl OutlinesRow {
    fn drawn(&self) -> Outlines {
        // Across the middle is the second axis of the top view, the first of the front view.
        let top = kurbo::Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 0.0]);
        let front = kurbo::Affine::new([-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
        let drawn = |rows: &[ShapeRow], mirror: Option<kurbo::Affine>| {
            rows.iter().flat_map(|r| r.drawn(mirror)).collect()
        };
        Outlines {
            side: drawn(&self.side, None),
            top: drawn(&self.top, Some(top)),
            front: drawn(&self.front, Some(front)),
        }
    }
}

impl ShapeRow {
    fn drawn(&self, mirror: Option<kurbo::Affine>) -> Vec<Shape> {
        let path = BezPath::from_svg(&self.path).expect("a template's outline is a path");
        let twin = mirror.filter(|_| self.mirrored).map(|m| Shape {
            role: self.role,
            id: self.id.as_ref().map(|id| id.replace("left", "right")),
            path: m * path.clone(),
        });
        let own = Shape {
            role: self.role,
            id: self.id.clone(),
            path,
        };
        std::iter::once(own).chain(twin).collect()
    }
}
