//! A plan: which openings are offered, step by step, where each cut goes and
//! what stands in its way. Stations and lengths in mm, rounded to 0.01.

use super::ask::Ask;
use super::template::{Act, ContactKind, ToolKind};
use crate::domain::card::PowerSource;
use crate::domain::frame::{Point, Side};
use crate::domain::kind::Bag;
use crate::domain::vehicle::words;
use crate::domain::zone::Gap;

words! {
    /// How a cut, a contact or a whole opening stands; best first.
    CutStatus {
        SeenBare = "seen-bare", LookFirst = "look-first",
        LikelyOccupied = "likely-occupied", Blocked = "blocked",
    }
}

words! {
    /// What the force estimate says of a tool at a cut.
    ToolFit {
        /* the upper figure is within the rated force; an estimate */
        EstimateFits = "estimate fits",
        Near = "near",
        /* the lower figure is above the rated force */
        MayStall = "may stall",
        Unknown = "unknown",
    }
}

/// Where a cut or a contact goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    pub span: String,
    pub status: CutStatus,
    /// `None` when blocked: there is no place for it within its range.
    pub station_mm: Option<f64>,
    pub from_head_mm: Option<f64>,
    pub default_mm: f64,
    pub range_mm: [f64; 2],
    /// The gap it stands in.
    pub gap: Option<Gap>,
    /// The nearest gaps of any class below and above the default, also outside
    /// the range.
    pub nearest_below: Option<Gap>,
    pub nearest_above: Option<Gap>,
    /// Ids of components, findings or expectations in its way.
    pub by: Vec<String>,
    /// Nothing but folded bag fabric is in its way.
    pub fabric_only: bool,
    /// What showed the metal bare where it touches: ids of findings, or a look.
    pub seen: Vec<String>,
}

/// A line on a panel, tested.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelLine {
    pub name: String,
    pub ends_mm: [Point; 2],
    pub depth_mm: f64,
    /// At best `LookFirst`.
    pub status: CutStatus,
    pub by: Vec<String>,
    pub fabric_only: bool,
}

/// What a step is done to.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    WholeCar,
    Place(Placement),
    Panel(PanelLine),
    Part(String),
}

/// A contact place, tested.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedContact {
    pub kind: ContactKind,
    pub name: String,
    pub place: Placement,
}

/// The tool for a step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepTool {
    pub kind: ToolKind,
    /// The asked tool's name; `None` when the ask names none of the kind.
    pub name: Option<String>,
    pub fit: ToolFit,
    /// Force to shear the steel known at the cut, lower and upper estimate, kN.
    pub force_band_kn: Option<[f64; 2]>,
}

/// One step of a planned opening.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStep {
    /// From 1, in the order it is to be done.
    pub n: usize,
    pub id: String,
    pub act: Act,
    pub target: Target,
    pub contacts: Vec<PlacedContact>,
    pub tool: Option<StepTool>,
    /// The medic says go before it.
    pub gate: bool,
    pub crew: String,
    pub inside: String,
    pub stop: Option<String>,
    /// Why it is there, and why it is as it is.
    pub because: Vec<String>,
    /// The fastest way out from here.
    pub exit_now: String,
}

/// A rule that a member's own order breaks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flag {
    pub rule: String,
    /// Number of the step that the rule wants first.
    pub first: usize,
    /// Number of the step that the rule wants after it.
    pub then: usize,
    pub because: String,
    /// An officer keeps the order, for this reason.
    pub kept: Option<String>,
}

/// An opening worked out for this car.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedOpening {
    pub id: String,
    pub name: String,
    /// `None` for an opening that has no side.
    pub side: Option<Side>,
    /// The worst of its cuts and contacts; `None` where nothing is cut or pressed.
    pub status: Option<CutStatus>,
    /// Steps that part a span or a panel.
    pub cuts: usize,
    /// Places to look at first.
    pub looks: usize,
    pub unknowns: usize,
    pub blocked: usize,
    pub likely_occupied: usize,
    /// How it suits what was asked, and every unknown, spelled out.
    pub reasons: Vec<String>,
    /// The way out in the least steps, whatever the care asked for.
    pub immediate: bool,
    /// Whether it suits the care and contact asked for.
    pub suits: bool,
    pub steps: Vec<PlannedStep>,
    pub flags: Vec<Flag>,
}

impl PlannedOpening {
    /// Said where a status would stand of an opening that has none.
    pub const NOTHING_TOUCHED: &str = "nothing cut or pressed";
}

/// An opening that is not offered, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotOffered {
    pub id: String,
    pub name: String,
    pub side: Option<Side>,
    pub because: String,
}

/// Room to keep from a bag that is not known to have fired. No cut zone.
#[derive(Debug, Clone, PartialEq)]
pub struct DeploymentKeepOut {
    pub bag: Bag,
    /// Its place in words: "steering wheel", "roof rail, left".
    pub at: String,
    pub side: Side,
    /// `None`: unknown.
    pub distance_mm: Option<f64>,
    /// Seats inside it.
    pub seats: Vec<String>,
    /// Whether the caregiver's place is inside it, and how.
    pub caregiver: Option<String>,
    /// Where it comes out: a point or a line, for drawing, mm.
    pub from_mm: Vec<Point>,
    /// The component or expectation it comes from.
    pub because: String,
    pub source: String,
}

/// One line of the isolation list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IsolationLine {
    pub what: PowerSource,
    pub say: String,
}

/// What may still be live.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restraints {
    /// From the card; never a class default.
    pub hold_time_s: Option<u32>,
    /// Since the last isolation done.
    pub elapsed_s: Option<i64>,
    /// Never that it is dead.
    pub say: String,
    pub isolation: Vec<IsolationLine>,
}

/// The answer to an ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// With defaults filled in.
    pub ask: Ask,
    /// Best first; see the module `plan` for the order.
    pub openings: Vec<PlannedOpening>,
    pub not_offered: Vec<NotOffered>,
    pub keep_outs: Vec<DeploymentKeepOut>,
    pub restraints: Restraints,
}
