//! What a crew asks: where the patient sits, how they must be handled, how the
//! car lies, what is known. What is left out gets its default and is echoed.
//! Nobody's name, age or condition is asked.

use super::template::ToolKind;
use crate::domain::card::PowerSource;
use crate::domain::kind::{Bag, Kind};
use crate::domain::vehicle::{Variant, words};
use std::collections::BTreeMap;
use time::OffsetDateTime;

words! {
    /// How the patient must be handled.
    Care {
        OwnWayOut = "own-way-out",
        /* least movement, space for in-line handling */
        Gentle = "gentle",
        /* minutes count */
        Now = "now",
    }
}

words! {
    /// What keeps the patient in.
    Trapped { Not = "not", BySpace = "by-space", Pinned = "pinned" }
}

words! {
    /// What touches or holds the patient.
    Contact {
        Side = "side", Door = "door", Dash = "dash", Column = "column", Pedals = "pedals",
        SeatBack = "seat-back", Roof = "roof", Belt = "belt", Object = "object",
    }
}

words! {
    /// What the car lies on.
    Resting { Wheels = "wheels", Left = "left", Right = "right", Roof = "roof" }
}

words! {
    /// From where a crew can work.
    Reach { Left = "left", Right = "right", Front = "front", Rear = "rear" }
}

words! {
    /// An answer that may be missing.
    Answer { Yes = "yes", No = "no", Unknown = "unknown" }
}

words! {
    /// Whether a bag has fired. `Once` clears no cut zone.
    Fired { No = "no", Once = "once", Unknown = "unknown" }
}

words! {
    /// Whether a source of power is made dead.
    Isolated { Yes = "yes", No = "no", Unknown = "unknown", NotFitted = "not-fitted" }
}

/// One line of the isolation list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Isolation {
    pub state: Isolated,
    /// When it was done; only with `Yes`.
    pub at: Option<OffsetDateTime>,
}

/// A tool as the ask names it. What is `None` is unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedTool {
    pub name: String,
    pub kind: ToolKind,
    pub force_kn: Option<f64>,
    pub blade_half_width_mm: Option<f64>,
}

/// What trim taken off on this car, now, showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookFound {
    Bare,
    /// Something that a blade must keep off.
    Part(Kind),
}

/// Trim taken off at a place on the car in front of the crew, now. Stations at
/// the mark on the metal, mm, not widened.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
    pub found: LookFound,
}

/// A member's own order of one opening's steps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnOrder {
    pub opening: String,
    /// `None` for an opening that has no side.
    pub side: Option<crate::domain::frame::Side>,
    /// Every step's id, once.
    pub steps: Vec<String>,
    /// Broken rules an officer keeps, with the reason given.
    pub kept: BTreeMap<String, String>,
}

/// Everything asked, with defaults filled in.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Seats of the patient or patients, by id; at least one.
    pub seats: Vec<String>,
    pub care: Care,
    pub trapped: Trapped,
    pub contact: Vec<Contact>,
    /// Whether a flat hand passes between patient and door.
    pub hand_passes: Answer,
    pub resting: Resting,
    pub reach: Vec<Reach>,
    /// Bags not named are `Unknown`.
    pub fired: BTreeMap<Bag, Fired>,
    /// Sources not named are `Unknown`.
    pub isolation: BTreeMap<PowerSource, Isolation>,
    pub variant: Variant,
    pub tools: Vec<AskedTool>,
    pub looks: Vec<Look>,
    pub order: Option<OwnOrder>,
    /// `None`: no time runs.
    pub now: Option<OffsetDateTime>,
}

impl Ask {
    /// An ask for one seat; everything else as when nobody answered.
    pub fn of(seat: impl Into<String>, care: Care) -> Self {
        Self {
            seats: vec![seat.into()],
            care,
            trapped: Trapped::BySpace,
            contact: Vec::new(),
            hand_passes: Answer::Unknown,
            resting: Resting::Wheels,
            reach: Resting::Wheels.reach().to_vec(),
            fired: BTreeMap::new(),
            isolation: BTreeMap::new(),
            variant: Variant::default(),
            tools: Vec::new(),
            looks: Vec::new(),
            order: None,
            now: None,
        }
    }
}

impl Resting {
    /// From where a car lying so can be worked at all: the side it lies on is out.
    pub const fn reach(self) -> &'static [Reach] {
        match self {
            Self::Wheels | Self::Roof => Reach::ALL,
            Self::Left => &[Reach::Right, Reach::Front, Reach::Rear],
            Self::Right => &[Reach::Left, Reach::Front, Reach::Rear],
        }
    }
}
