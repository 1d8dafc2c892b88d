//! Body styles: twelve templates as data, and fitting one to a car.
//!
//! A template gives every vehicle of a style its spans, landmarks, doors,
//! panes, seats and outlines before anyone has measured that vehicle.

mod drawn;
mod expect;
mod fit;
#[cfg(test)]
mod outline_tests;
mod template;
#[cfg(test)]
mod template_tests;

pub use fit::{FitError, FitErrors, FittedBody, fit};
pub use template::style;

use super::frame::{Point, Side};
use super::geometry::Polyline;
use super::name::Name;
use super::vehicle::words;
use kurbo::BezPath;
use std::collections::BTreeMap;
use std::sync::Arc;

words! {
    /// The twelve body styles.
    StyleId {
        Sedan = "sedan", Coupe = "coupe", Hatch3 = "hatch-3", Hatch5 = "hatch-5",
        Estate = "estate", Suv = "suv", Minivan = "minivan", Convertible = "convertible",
        PickupRegular = "pickup-regular", PickupExtended = "pickup-extended",
        PickupCrew = "pickup-crew", CargoVan = "cargo-van",
    }
}

/// SAE J1100 dimensions in mm. L103 = L104 + L101 + L105.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimensions {
    /// L101
    pub wheelbase_mm: f64,
    /// L103
    pub length_mm: f64,
    /// L104
    pub front_overhang_mm: f64,
    /// L105
    pub rear_overhang_mm: f64,
    /// W103
    pub width_mm: f64,
    /// H100
    pub height_mm: f64,
}

/// A named point of the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Landmark {
    /// For example `b-pillar-foot.left`.
    pub id: String,
    pub name: String,
    pub point: Point,
}

words! {
    /// Where a span belongs in the side frame and its companions.
    SpanGroup {
        /* stands between rocker and roof rail, in its order */
        Pillar = "pillar",
        RoofRail = "roof-rail",
        Rocker = "rocker",
        /* lies across the car, or is drawn lying: headers, roof bow, dash beam … */
        Cross = "cross",
        /* along the car but not part of the frame: tunnel, upper fender rails, seat frames, door beams */
        Along = "along",
    }
}

/// A named length of body structure with a centreline.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// For example `b-pillar.left`.
    pub id: Name,
    pub name: Name,
    /// The foot in words, so that a hand can find it from outside.
    pub foot: Name,
    pub head: Name,
    pub side: Side,
    pub group: SpanGroup,
    /// Foot first.
    pub line: Polyline,
    /// Half of the section that a cut severs, mm, one figure a vertex.
    pub half_depth_mm: Arc<[f64]>,
}

words! {
    /// How a door opens. At the car's rear: a tailgate at its top edge, a wing
    /// of a van's rear doors at its outer edge.
    Hinge {
        Front = "front-hinged", Rear = "rear-hinged", Sliding = "sliding",
        Top = "top-hinged", Side = "side-hinged",
    }
}

words! {
    /// What stands between the front and the rear door.
    BPillar { Fixed = "fixed", InDoor = "in-door", None = "none" }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Door {
    /// For example `front-left`.
    pub id: String,
    pub name: String,
    pub side: Side,
    pub hinge: Hinge,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Pane {
    /// For example `windscreen`, `front-left`.
    pub id: String,
    pub name: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// For example `front-left`.
    pub id: String,
    pub name: String,
    pub row: u32,
    pub side: Side,
    /// The H-point (hip) in the frame.
    pub h_point: Point,
    /// Fore-and-aft travel of the seat, mm.
    pub travel_mm: f64,
}

words! {
    /// What a drawn line of the car is.
    ShapeRole {
        /* the silhouette: filled with paper, heavy line */
        Body = "body",
        Glass = "glass",
        /* shut lines of doors, hood, tailgate */
        DoorGap = "door-gap",
        Wheel = "wheel",
        Seat = "seat",
        SteeringWheel = "steering-wheel",
        /* lamps, handles, bumpers' edges, creases */
        Detail = "detail",
    }
}

/// One line or area of an outline; coordinates in mm of the view's two axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    pub role: ShapeRole,
    /// Pane, door or seat it belongs to, where there is one.
    pub id: Option<String>,
    pub path: BezPath,
}

/// What a view draws. Side: (x, z), the left side seen from outside, the right
/// side is its mirror. Top: (x, y). Front: (y, z).
#[derive(Debug, Clone, PartialEq)]
pub struct Outlines {
    pub side: Vec<Shape>,
    pub top: Vec<Shape>,
    pub front: Vec<Shape>,
}

/// What is likely at a place before anyone has looked.
#[derive(Debug, Clone, PartialEq)]
pub struct Expectation {
    /// For example `curtain-inflator-c.left`.
    pub id: Name,
    pub span: String,
    /// Shares of the span's length from its foot, 0 to 1.
    pub from_share: f64,
    pub to_share: f64,
    pub text: Name,
    /// First model year it is common, by region; `None` for every year.
    pub common_from: Option<BTreeMap<String, i32>>,
    /// Drives it applies to; `None` for every drive.
    pub drives: Option<Vec<super::vehicle::Drive>>,
    /// The published rule, or "common practice, no source".
    pub source: Name,
}

/// A template: a body style before anyone has measured the car.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyStyle {
    pub id: StyleId,
    pub name: String,
    /// One line to recognise it by.
    pub shape: String,
    pub dimensions: Dimensions,
    pub landmarks: Vec<Landmark>,
    pub spans: Vec<Span>,
    pub doors: Vec<Door>,
    pub b_pillar: BPillar,
    pub panes: Vec<Pane>,
    pub seats: Vec<Seat>,
    pub outlines: Outlines,
    pub expectations: Vec<Expectation>,
}

/// What was measured on the car; `None` is not measured.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measured {
    pub length_mm: Option<f64>,
    pub wheelbase_mm: Option<f64>,
    pub width_mm: Option<f64>,
    pub height_mm: Option<f64>,
    /// By landmark id: x, y, z, each measured or not.
    pub landmarks: BTreeMap<String, [Option<f64>; 3]>,
}

impl Span {
    /// Half-depth at a station, linear between vertices, mm.
    pub fn half_depth_at(&self, station: f64) -> f64 {
        let piece = self.line.piece_at(station);
        let (a, b) = (self.line.stations()[piece], self.line.stations()[piece + 1]);
        let u = ((station - a) / (b - a)).clamp(0.0, 1.0);
        self.half_depth_mm[piece] + u * (self.half_depth_mm[piece + 1] - self.half_depth_mm[piece])
    }

    /// The largest half-depth between two stations, mm.
    pub fn largest_half_depth(&self, from: f64, to: f64) -> f64 {
        let ends = self.half_depth_at(from).max(self.half_depth_at(to));
        self.line
            .stations()
            .iter()
            .zip(self.half_depth_mm.iter())
            .filter(|(s, _)| from < **s && **s < to)
            .fold(ends, |largest, (_, h)| largest.max(*h))
    }
}
