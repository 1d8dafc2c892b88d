//! An opening as data: what it suits, what the body must have, and its steps.
//!
//! The catalogue's openings and a department's own have this one form. Ids and
//! words may hold `{side}` (the side the opening is made on), `{far}` (the other
//! side) and `{door}` (the door of the patient's row, without its side), filled
//! in when an opening is made for a car. A place on a span that lies across the car
//! is written for the left side: made on the right, its ends change places.
//! Stations and lengths in mm.

use super::ask::{Care, Contact, Resting, Trapped};
use crate::domain::body::{BPillar, Hinge};
use crate::domain::vehicle::words;
use serde::{Deserialize, Serialize};

words! {
    /// What a step does.
    Act {
        Stabilise = "stabilise", Shore = "shore", Isolate = "isolate",
        ManageGlass = "manage-glass", Expose = "expose", Cut = "cut", Spread = "spread",
        Ram = "ram", Crush = "crush", SeverBelt = "sever-belt", Support = "support",
        Displace = "displace", Lift = "lift", Cover = "cover",
    }
}

impl Act {
    /// Whether it holds the car as it stands. Its cribs and struts stand before
    /// every opening alike, and where one cannot stand the crew finds another firm
    /// place: so they are tested and shown, and count against no opening. Counted,
    /// a car of unknown drive would have no opening that is not blocked.
    pub const fn holds_the_car(self) -> bool {
        matches!(self, Self::Stabilise | Self::Shore)
    }
}

words! {
    /// From where an opening is worked.
    WorkedFrom {
        /* from the side it opens; made once a side */
        Side = "side",
        /* from both sides at once */
        BothSides = "both-sides",
        Front = "front",
        Rear = "rear",
        /* by the person inside; nobody need reach anything */
        Inside = "inside",
    }
}

words! {
    /// What presses or lifts at a contact place.
    ContactKind {
        SpreaderTip = "spreader-tip", RamFoot = "ram-foot", Crib = "crib", Strut = "strut",
        LiftPoint = "lift-point",
    }
}

words! {
    /// What a tool is, as the trade says.
    ToolKind {
        Cutter = "cutter", Spreader = "spreader", Combination = "combination", Ram = "ram",
        Saw = "saw", Hand = "hand",
    }
}

words! {
    /// What may have to hold before a step; steps name it in `before`.
    Fact {
        Stable = "stable",
        /* both sides, of a car on its roof */
        Shored = "shored",
        PowerUsed = "power-used",
        Isolated = "isolated",
        /* patient and caregiver, behind cover and hard protection */
        Protected = "protected",
        GlassManaged = "glass-managed",
        TrimOff = "trim-off",
        BeltsSevered = "belts-severed",
        PatientHeld = "patient-held",
        RoofHeld = "roof-held",
        ReliefCut = "relief-cut",
        SolidBase = "solid-base",
        /* what is pressed on is no high-voltage pack and no floor nobody knows; kept
           by the room on each span, for every cut and contact place */
        FloorConfirmed = "floor-confirmed",
    }
}

/// A way in or out for the patient, as data.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    pub id: String,
    pub name: String,
    /// What it does, in one or two sentences of our own.
    pub summary: String,
    pub worked_from: WorkedFrom,
    pub suits: Suits,
    /// What the body must have, each with why it is not offered otherwise.
    #[serde(default)]
    pub needs: Vec<Need>,
    pub steps: Vec<StepForm>,
    /// Where the form comes from, or "common practice, no source".
    pub source: String,
}

/// When an opening is worth offering.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Suits {
    pub care: Vec<Care>,
    pub trapped: Vec<Trapped>,
    pub resting: Vec<Resting>,
    /// What holding the patient it takes away.
    #[serde(default)]
    pub frees: Vec<Contact>,
    /// Rows of seats it serves; empty serves every row.
    #[serde(default)]
    pub rows: Vec<u32>,
    /// Whether a flat hand must pass between patient and door.
    #[serde(default)]
    pub flat_hand: bool,
    /// Whether a patient can be brought out through it; otherwise it only makes room.
    #[serde(default = "yes")]
    pub way_out: bool,
}

const fn yes() -> bool {
    true
}

/// Something the body must have.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Need {
    pub what: NeedOf,
    /// Why the opening is not offered without it.
    pub because: String,
}

/// One requirement of the body.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NeedOf {
    /// A span of the body style.
    Span(String),
    /// A span the body style must not have.
    NoSpan(String),
    /// A door, by id, hung in one of these ways.
    Door { id: String, hinges: Vec<Hinge> },
    /// A door the body style must not have.
    NoDoor(String),
    /// What stands between front and rear door.
    BPillar(Vec<BPillar>),
    /// A pane.
    Pane(String),
    /// A row of seats behind the front.
    SeatRow(u32),
    /// The steering wheel on the side the opening is made on, as far as it is known.
    SteeringWheel,
}

/// One step as data.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct StepForm {
    /// Unique within its opening, for example `part-b-foot`.
    pub id: String,
    pub act: Act,
    /// What it is done to: a place on a span, a line on a panel, or a part.
    #[serde(default)]
    pub on: On,
    /// What the body must have for the step to be there at all; a body without it
    /// is opened without the step.
    #[serde(default)]
    pub only: Vec<NeedOf>,
    /// Contact places of what presses or lifts.
    #[serde(default)]
    pub contacts: Vec<ContactForm>,
    pub tool: Option<ToolKind>,
    /// What must hold or be done first: a [`Fact`], or the id of another step.
    #[serde(default)]
    pub before: Vec<String>,
    /// Spans that move, or are let go, by this step.
    #[serde(default)]
    pub moves: Vec<String>,
    /// Panes that stand beside the metal worked on.
    #[serde(default)]
    pub beside: Vec<String>,
    /// Whether the medic says go before it.
    #[serde(default)]
    pub gate: bool,
    /// What it opens, in words: "the front-left door".
    pub opens: Option<String>,
    /// What the tool crew does.
    pub crew: String,
    /// What the caregiver inside watches for, in at most 12 words.
    pub inside: String,
    /// When to call stop.
    pub stop: Option<String>,
}

/// What a step is done to. `Nothing` for acts on the whole car.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum On {
    #[default]
    Nothing,
    Span(SpanForm),
    Panel(PanelForm),
    /// A door, pane, seat or other part by id: "front-left", "hood".
    Part(String),
}

/// A place on a span: where it is done by default, and where it may be.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct SpanForm {
    pub id: String,
    pub at: At,
    /// Smallest distance along the span from the step before it on the same span.
    #[serde(default = "least_apart_mm")]
    pub apart_mm: f64,
}

/// Least distance of two cuts on one span, mm (common practice, no source).
pub const fn least_apart_mm() -> f64 {
    150.0
}

/// Where on a span, counted from the end named; `range` holds both ends.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum At {
    /// mm from the foot.
    FromFoot { at: f64, range: [f64; 2] },
    /// mm from the head, the range too.
    FromHead { at: f64, range: [f64; 2] },
    /// Shares of the span's length from its foot.
    Share { at: f64, range: [f64; 2] },
}

/// A straight line on a panel, tested like a body.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct PanelForm {
    /// The panel in words.
    pub name: String,
    pub from: PanelPoint,
    pub to: PanelPoint,
    /// How deep the tool reaches behind the panel, mm.
    pub depth_mm: f64,
}

/// A point of the body, so that a line follows the fitted car.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct PanelPoint {
    pub span: String,
    /// Share of the span's length from its foot.
    pub share: f64,
    /// Offset in the frame, mm: rearward, outward from the car's middle plane, up.
    #[serde(default)]
    pub offset_mm: [f64; 3],
}

/// Where something presses or lifts.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct ContactForm {
    pub kind: ContactKind,
    /// In words: "base of the B-pillar, on the rocker".
    pub name: String,
    pub span: SpanForm,
    /// Half of what it touches along the span, mm.
    pub half_width_mm: f64,
}
