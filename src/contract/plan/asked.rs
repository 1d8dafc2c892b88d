//! An ask as a document: what was answered, and the defaults of what was not.

use crate::contract::figure;
use crate::contract::words::word_schema;
use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::Bag;
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::{
    Answer, Ask, Care, Contact, Fired, Isolated, Look, LookFound, Reach, Resting, Trapped,
};
use crate::domain::vehicle::{Drive, Roof, Variant, WheelSide};
use serde::Serialize;
use std::collections::BTreeMap;
use time::OffsetDateTime;
use utoipa::ToSchema;

/// What a crew asks.
#[derive(Debug, Serialize, ToSchema)]
pub struct AskFile {
    /// Seats of the patients, by id of the body style.
    #[schema(min_items = 1)]
    pub seats: Vec<String>,
    #[schema(schema_with = word_schema::<Care>)]
    pub care: Care,
    /// Left out: by-space.
    #[schema(required = false, schema_with = word_schema::<Trapped>)]
    pub trapped: Trapped,
    #[schema(required = false, value_type = Vec<String>)]
    pub contact: Vec<Contact>,
    /// Whether a flat hand passes between patient and door.
    #[schema(required = false, schema_with = word_schema::<Answer>)]
    pub hand_passes: Answer,
    /// Left out: wheels.
    #[schema(required = false, schema_with = word_schema::<Resting>)]
    pub resting: Resting,
    /// Left out: every side but one that lies on the ground.
    #[schema(required = false, value_type = Vec<String>)]
    pub reach: Vec<Reach>,
    /// By bag; one left out is unknown.
    #[schema(required = false, value_type = BTreeMap<String, String>)]
    pub fired: BTreeMap<Bag, Fired>,
    /// By source of power; one left out is unknown.
    #[schema(required = false, value_type = BTreeMap<String, IsolationFile>)]
    pub isolation: BTreeMap<PowerSource, IsolationFile>,
    #[schema(required = false)]
    pub variant: AskedVariantFile,
    #[schema(required = false)]
    pub tools: Vec<AskedToolFile>,
    /// Trim taken off on this car, now.
    #[schema(required = false)]
    pub looks: Vec<LookFile>,
    /// A member's own order of one opening's steps.
    #[schema(required = false)]
    pub order: Option<OrderFile>,
    /// Left out: no time runs.
    #[serde(with = "time::serde::rfc3339::option")]
    #[schema(required = false, value_type = Option<String>, format = DateTime)]
    pub now: Option<OffsetDateTime>,
}

/// Whether a source of power is made dead.
#[derive(Debug, Serialize, ToSchema)]
pub struct IsolationFile {
    #[schema(schema_with = word_schema::<Isolated>)]
    pub state: Isolated,
    #[serde(with = "time::serde::rfc3339::option")]
    #[schema(required = false, value_type = Option<String>, format = DateTime)]
    pub at: Option<OffsetDateTime>,
}

/// The car in front of the crew. Unlike that of a finding it says what is not
/// known, as null; null falls back to the card's vehicle.
#[derive(Debug, Serialize, ToSchema)]
pub struct AskedVariantFile {
    #[schema(required = false)]
    pub year: Option<i32>,
    #[schema(required = false, schema_with = word_schema::<Option<Drive>>)]
    pub drive: Option<Drive>,
    #[schema(required = false, schema_with = word_schema::<Option<WheelSide>>)]
    pub wheel: Option<WheelSide>,
    #[schema(required = false, schema_with = word_schema::<Option<Roof>>)]
    pub roof: Option<Roof>,
    #[schema(required = false)]
    pub region: Option<String>,
}

/// A tool of the crew.
#[derive(Debug, Serialize, ToSchema)]
pub struct AskedToolFile {
    pub name: String,
    /// Left out: cutter.
    #[schema(required = false, schema_with = word_schema::<ToolKind>)]
    pub kind: ToolKind,
    /// Rated force, kN.
    #[schema(required = false)]
    pub force_kn: Option<f64>,
    #[schema(required = false)]
    pub blade_half_width_mm: Option<f64>,
}

/// What a look showed between two marks on the metal.
#[derive(Debug, Serialize, ToSchema)]
pub struct LookFile {
    pub span: String,
    /// mm from the span's foot.
    pub from_mm: f64,
    pub to_mm: f64,
    /// `bare`, or the kind of what is there.
    #[schema(example = "bare")]
    pub found: &'static str,
}

/// A member's own order.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderFile {
    pub opening: String,
    /// left, right, or null for an opening that has no side.
    #[schema(required = false, schema_with = word_schema::<Option<Side>>)]
    pub side: Option<Side>,
    /// Each step's id, once.
    pub steps: Vec<String>,
    /// Broken rules an officer keeps, each with the reason.
    #[schema(required = false)]
    pub kept: BTreeMap<String, String>,
}

impl From<&Ask> for AskFile {
    fn from(ask: &Ask) -> Self {
        let isolation = ask.isolation.iter().map(|(what, isolation)| {
            let file = IsolationFile {
                state: isolation.state,
                at: isolation.at,
            };
            (*what, file)
        });
        Self {
            seats: ask.seats.clone(),
            care: ask.care,
            trapped: ask.trapped,
            contact: ask.contact.clone(),
            hand_passes: ask.hand_passes,
            resting: ask.resting,
            reach: ask.reach.clone(),
            fired: ask.fired.clone(),
            isolation: isolation.collect(),
            variant: AskedVariantFile::from(&ask.variant),
            tools: ask.tools.iter().map(AskedToolFile::from).collect(),
            looks: ask.looks.iter().map(LookFile::from).collect(),
            order: ask.order.as_ref().map(|order| OrderFile {
                opening: order.opening.clone(),
                side: order.side,
                steps: order.steps.clone(),
                kept: order.kept.clone(),
            }),
            now: ask.now,
        }
    }
}

impl From<&Variant> for AskedVariantFile {
    fn from(variant: &Variant) -> Self {
        Self {
            year: variant.year,
            drive: variant.drive,
            wheel: variant.wheel,
            roof: variant.roof,
            region: variant.region.clone(),
        }
    }
}

impl From<&crate::domain::opening::AskedTool> for AskedToolFile {
    fn from(tool: &crate::domain::opening::AskedTool) -> Self {
        Self {
            name: tool.name.clone(),
            kind: tool.kind,
            force_kn: tool.force_kn,
            blade_half_width_mm: tool.blade_half_width_mm,
        }
    }
}

impl From<&Look> for LookFile {
    fn from(look: &Look) -> Self {
        Self {
            span: look.span.clone(),
            from_mm: figure::length(look.from_mm),
            to_mm: figure::length(look.to_mm),
            found: match look.found {
                LookFound::Bare => "bare",
                LookFound::Part(kind) => kind.word(),
            },
        }
    }
}
