//! The answer to an ask as a document: the same bytes for the same card and ask
//! from the command line and from the API. Stations and lengths in mm.

use super::asked::AskFile;
use super::step_place::StepPlace;
use crate::contract::figure;
use crate::contract::words::word_schema;
use crate::contract::zones::GapView;
use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::Bag;
use crate::domain::opening::template::{Act, ContactKind, ToolKind};
use crate::domain::opening::{
    CutStatus, DeploymentKeepOut, Flag, NotOffered, PlacedContact, Placement, Plan, PlannedOpening,
    PlannedStep, Restraints, StepTool, Target, ToolFit,
};
use serde::Serialize;
use utoipa::ToSchema;

/// Every opening that suits, cut by cut, best first; never a word that a place or
/// a way is safe.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlanFile {
    /// With the defaults of what was left out.
    pub ask: AskFile,
    pub openings: Vec<OpeningView>,
    pub not_offered: Vec<NotOfferedView>,
    /// Room to keep from bags not known to have fired; no cut zones.
    pub keep_outs: Vec<BagView>,
    pub restraints: RestraintsView,
}

/// An opening worked out for this car.
#[derive(Debug, Serialize, ToSchema)]
pub struct OpeningView {
    pub id: String,
    pub name: String,
    /// Null for an opening that has no side.
    #[schema(schema_with = word_schema::<Option<Side>>)]
    pub side: Option<Side>,
    /// The worst of its cuts and contacts; null where nothing is cut or pressed.
    #[schema(schema_with = word_schema::<Option<CutStatus>>)]
    pub status: Option<CutStatus>,
    pub cuts: usize,
    pub looks: usize,
    pub unknowns: usize,
    pub blocked: usize,
    pub likely_occupied: usize,
    pub reasons: Vec<String>,
    /// The way out in the least steps, whatever the care asked for.
    pub immediate: bool,
    /// Whether it suits the care and contact asked for.
    pub suits: bool,
    pub steps: Vec<StepView>,
    /// Rules that a member's own order breaks.
    pub flags: Vec<FlagView>,
}

/// One step. A cut on a span has its place; a panel line has its ends.
#[derive(Debug, Serialize, ToSchema)]
pub struct StepView {
    pub n: usize,
    pub id: String,
    #[schema(schema_with = word_schema::<Act>)]
    pub act: Act,
    #[serde(flatten)]
    #[schema(value_type = StepPlace)]
    pub place: Option<PlacementView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub panel: Option<PanelView>,
    /// A door, pane, seat or other part.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub part: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub contacts: Vec<ContactView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub tool: Option<ToolView>,
    /// The medic says go before it.
    pub gate: bool,
    pub crew: String,
    pub inside: String,
    /// When to call stop.
    pub stop: Option<String>,
    pub because: Vec<String>,
    pub exit_now: String,
}

/// Where a cut or a contact goes.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlacementView {
    pub span: String,
    #[schema(schema_with = word_schema::<CutStatus>)]
    pub status: CutStatus,
    /// Null when blocked.
    pub station_mm: Option<f64>,
    pub from_head_mm: Option<f64>,
    pub default_mm: f64,
    pub range_mm: [f64; 2],
    pub gap: Option<GapView>,
    /// The nearest gaps each way of the default, also outside the range.
    pub nearest_below: Option<GapView>,
    pub nearest_above: Option<GapView>,
    /// Ids of what is in its way.
    pub by: Vec<String>,
    /// Nothing but folded bag fabric is in its way.
    pub fabric_only: bool,
    /// Ids of the findings, or `look on this car`, that show it bare.
    pub seen: Vec<String>,
}

/// A line on a panel.
#[derive(Debug, Serialize, ToSchema)]
pub struct PanelView {
    pub name: String,
    pub ends_mm: [[f64; 3]; 2],
    pub depth_mm: f64,
    /// At best `look-first`.
    #[schema(schema_with = word_schema::<CutStatus>)]
    pub status: CutStatus,
    pub by: Vec<String>,
    pub fabric_only: bool,
}

/// Where something presses or lifts.
#[derive(Debug, Serialize, ToSchema)]
pub struct ContactView {
    #[schema(schema_with = word_schema::<ContactKind>)]
    pub kind: ContactKind,
    pub name: String,
    #[serde(flatten)]
    pub place: PlacementView,
}

/// The tool of a step and what the force estimate says of it.
#[derive(Debug, Serialize, ToSchema)]
pub struct ToolView {
    #[schema(schema_with = word_schema::<ToolKind>)]
    pub kind: ToolKind,
    /// Null when the ask names none of the kind.
    pub name: Option<String>,
    #[schema(schema_with = word_schema::<ToolFit>)]
    pub fit: ToolFit,
    /// Lower and upper estimate of the force to shear the known steel, kN.
    pub force_band_kn: Option<[f64; 2]>,
}

/// A rule that a member's own order breaks; `first` and `then` are step numbers.
#[derive(Debug, Serialize, ToSchema)]
pub struct FlagView {
    pub rule: String,
    pub first: usize,
    pub then: usize,
    pub because: String,
    /// The reason for which an officer keeps the order.
    pub kept: Option<String>,
}

/// An opening that is not offered, and why.
#[derive(Debug, Serialize, ToSchema)]
pub struct NotOfferedView {
    pub id: String,
    pub name: String,
    #[schema(schema_with = word_schema::<Option<Side>>)]
    pub side: Option<Side>,
    pub because: String,
}

/// Room to keep from a bag not known to have fired.
#[derive(Debug, Serialize, ToSchema)]
pub struct BagView {
    #[schema(schema_with = word_schema::<Bag>)]
    pub bag: Bag,
    pub at: String,
    #[schema(schema_with = word_schema::<Side>)]
    pub side: Side,
    /// Null: unknown.
    pub distance_mm: Option<f64>,
    /// Seats inside it.
    pub seats: Vec<String>,
    /// Whether the caregiver's place is inside it.
    pub caregiver: Option<String>,
    pub because: String,
    pub source: String,
}

/// What may still be live.
#[derive(Debug, Serialize, ToSchema)]
pub struct RestraintsView {
    /// From the card; never a class default.
    pub hold_time_s: Option<u32>,
    /// Since the last isolation done.
    pub elapsed_s: Option<i64>,
    pub say: String,
    pub isolation: Vec<IsolationView>,
}

/// One line of the isolation list.
#[derive(Debug, Serialize, ToSchema)]
pub struct IsolationView {
    #[schema(schema_with = word_schema::<PowerSource>)]
    pub what: PowerSource,
    pub say: String,
}

impl PlanFile {
    /// The document on one line, ending with a line break.
    pub fn to_json(&self) -> String {
        let mut text = serde_json::to_string(self).expect("a plan is plain data");
        text.push('\n');
        text
    }
}

impl From<&Plan> for PlanFile {
    fn from(plan: &Plan) -> Self {
        Self {
            ask: AskFile::from(&plan.ask),
            openings: plan.openings.iter().map(OpeningView::from).collect(),
            not_offered: plan.not_offered.iter().map(NotOfferedView::from).collect(),
            keep_outs: plan.keep_outs.iter().map(BagView::from).collect(),
            restraints: RestraintsView::from(&plan.restraints),
        }
    }
}

impl From<&PlannedOpening> for OpeningView {
    fn from(o: &PlannedOpening) -> Self {
        Self {
            id: o.id.clone(),
            name: o.name.clone(),
            side: o.side,
            status: o.status,
            cuts: o.cuts,
            looks: o.looks,
            unknowns: o.unknowns,
            blocked: o.blocked,
            likely_occupied: o.likely_occupied,
            reasons: o.reasons.clone(),
            immediate: o.immediate,
            suits: o.suits,
            steps: o.steps.iter().map(StepView::from).collect(),
            flags: o.flags.iter().map(FlagView::from).collect(),
        }
    }
}

impl From<&PlannedStep> for StepView {
    fn from(step: &PlannedStep) -> Self {
        let (mut place, mut panel, mut part) = (None, None, None);
        match &step.target {
            Target::WholeCar => {}
            Target::Part(id) => part = Some(id.clone()),
            Target::Place(at) => place = Some(PlacementView::from(at)),
            Target::Panel(line) => {
                panel = Some(PanelView {
                    name: line.name.clone(),
                    ends_mm: line.ends_mm.map(figure::end),
                    depth_mm: figure::length(line.depth_mm),
                    status: line.status,
                    by: line.by.clone(),
                    fabric_only: line.fabric_only,
                });
            }
        }
        Self {
            n: step.n,
            id: step.id.clone(),
            act: step.act,
            place,
            panel,
            part,
            contacts: step.contacts.iter().map(ContactView::from).collect(),
            tool: step.tool.as_ref().map(ToolView::from),
            gate: step.gate,
            crew: step.crew.clone(),
            inside: step.inside.clone(),
            stop: step.stop.clone(),
            because: step.because.clone(),
            exit_now: step.exit_now.clone(),
        }
    }
}

impl From<&Placement> for PlacementView {
    fn from(p: &Placement) -> Self {
        Self {
            span: p.span.clone(),
            status: p.status,
            station_mm: p.station_mm.map(figure::length),
            from_head_mm: p.from_head_mm.map(figure::length),
            default_mm: figure::length(p.default_mm),
            range_mm: p.range_mm.map(figure::length),
            gap: p.gap.as_ref().map(GapView::from),
            nearest_below: p.nearest_below.as_ref().map(GapView::from),
            nearest_above: p.nearest_above.as_ref().map(GapView::from),
            by: p.by.clone(),
            fabric_only: p.fabric_only,
            seen: p.seen.clone(),
        }
    }
}

impl From<&PlacedContact> for ContactView {
    fn from(contact: &PlacedContact) -> Self {
        Self {
            kind: contact.kind,
            name: contact.name.clone(),
            place: PlacementView::from(&contact.place),
        }
    }
}

impl From<&StepTool> for ToolView {
    fn from(tool: &StepTool) -> Self {
        Self {
            kind: tool.kind,
            name: tool.name.clone(),
            fit: tool.fit,
            force_band_kn: tool.force_band_kn.map(|band| band.map(figure::length)),
        }
    }
}

impl From<&Flag> for FlagView {
    fn from(flag: &Flag) -> Self {
        Self {
            rule: flag.rule.clone(),
            first: flag.first,
            then: flag.then,
            because: flag.because.clone(),
            kept: flag.kept.clone(),
        }
    }
}

impl From<&NotOffered> for NotOfferedView {
    fn from(not: &NotOffered) -> Self {
        Self {
            id: not.id.clone(),
            name: not.name.clone(),
            side: not.side,
            because: not.because.clone(),
        }
    }
}

impl From<&DeploymentKeepOut> for BagView {
    fn from(room: &DeploymentKeepOut) -> Self {
        Self {
            bag: room.bag,
            at: room.at.clone(),
            side: room.side,
            distance_mm: room.distance_mm,
            seats: room.seats.clone(),
            caregiver: room.caregiver.clone(),
            because: room.because.clone(),
            source: room.source.clone(),
        }
    }
}

impl From<&Restraints> for RestraintsView {
    fn from(r: &Restraints) -> Self {
        Self {
            hold_time_s: r.hold_time_s,
            elapsed_s: r.elapsed_s,
            say: r.say.clone(),
            isolation: r
                .isolation
                .iter()
                .map(|line| IsolationView {
                    what: line.what,
                    say: line.say.clone(),
                })
                .collect(),
        }
    }
}
