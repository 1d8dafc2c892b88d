//! The card file as it is written, field by field in the order of the format.

use super::annotation::AnnotationFile;
use crate::contract::day::iso_day;
use crate::contract::words::word_schema;
use crate::domain::body::StyleId;
use crate::domain::card::{Glass, PowerSource};
use crate::domain::finding::{Depth, Source, Status};
use crate::domain::frame::Point;
use crate::domain::kind::{Bag, Kind};
use crate::domain::policy::{BPillarFirst, CushionPolicy};
use crate::domain::vehicle::{Drive, Roof, WheelSide};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use time::Date;
use utoipa::ToSchema;

/// One department's record of one vehicle.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CardFile {
    #[schema(example = "pillarbook-card/1")]
    pub format: &'static str,
    pub vehicle: VehicleFile,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<MeasuredFile>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub policy: Option<PolicyFile>,
    #[schema(max_items = 2000)]
    pub findings: Vec<FindingFile>,
    /// How to tell the vehicle from its look-alikes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub identify: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub power_off: Vec<PowerOffFile>,
    /// By pane of the body style.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    #[schema(required = false, value_type = BTreeMap<String, String>)]
    pub glass: BTreeMap<String, Glass>,
    #[schema(required = false, max_items = 500)]
    pub annotations: Vec<AnnotationFile>,
    #[schema(required = false)]
    pub reviews: Vec<Value>,
}

/// Everything on a card that is not a finding or policy.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CardDetailsFile {
    pub vehicle: VehicleFile,
    #[schema(required = false)]
    pub measured: MeasuredFile,
    /// How to tell the vehicle from its look-alikes.
    #[schema(required = false)]
    pub identify: Option<String>,
    #[schema(required = false)]
    pub power_off: Vec<PowerOffFile>,
    /// By pane of the body style.
    #[schema(required = false, value_type = BTreeMap<String, String>)]
    pub glass: BTreeMap<String, Glass>,
}

/// The vehicle; what is null is unknown.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct VehicleFile {
    #[schema(required = false)]
    pub make: Option<String>,
    #[schema(required = false)]
    pub model: Option<String>,
    /// First and last model year, 1900 to 2100.
    #[schema(required = false)]
    pub years: Option<[i32; 2]>,
    #[schema(schema_with = word_schema::<StyleId>)]
    pub body_style: StyleId,
    #[schema(required = false, schema_with = word_schema::<Option<Drive>>)]
    pub drive: Option<Drive>,
    #[schema(required = false, schema_with = word_schema::<Option<WheelSide>>)]
    pub wheel: Option<WheelSide>,
    #[schema(required = false, schema_with = word_schema::<Option<Roof>>)]
    pub roof: Option<Roof>,
    #[schema(required = false)]
    pub region: Option<String>,
    /// Seconds the restraint system may stay live, by the vehicle's documents.
    #[schema(required = false)]
    pub hold_time_s: Option<u32>,
}

/// What was measured on the car, in mm; what is null was not.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MeasuredFile {
    #[schema(required = false)]
    pub length_mm: Option<f64>,
    #[schema(required = false)]
    pub wheelbase_mm: Option<f64>,
    #[schema(required = false)]
    pub width_mm: Option<f64>,
    #[schema(required = false)]
    pub height_mm: Option<f64>,
    /// By landmark of the body style: x, y, z.
    #[schema(required = false)]
    pub landmarks: BTreeMap<String, [Option<f64>; 3]>,
}

/// Policy; what a file leaves out has its default.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PolicyFile {
    /// 0.95, 0.99 or 0.999.
    #[schema(required = false)]
    pub coverage: f64,
    #[schema(required = false, minimum = 0, maximum = 200)]
    pub blade_half_width_mm: f64,
    #[schema(required = false, minimum = 0, maximum = 300)]
    pub tip_reach_mm: f64,
    #[schema(required = false, minimum = 0, exclusive_maximum = 45)]
    pub lean_deg: f64,
    #[schema(required = false, minimum = 0, maximum = 200)]
    pub car_to_car_mm: f64,
    /// By kind of no-cut component.
    #[schema(required = false, value_type = BTreeMap<String, f64>)]
    pub clearance_mm: BTreeMap<Kind, f64>,
    #[schema(required = false, schema_with = word_schema::<CushionPolicy>)]
    pub cushion: CushionPolicy,
    #[schema(required = false, schema_with = word_schema::<BPillarFirst>)]
    pub b_pillar_first: BPillarFirst,
}

/// How one source of power is made dead.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PowerOffFile {
    #[schema(schema_with = word_schema::<PowerSource>)]
    pub what: PowerSource,
    #[serde(rename = "where")]
    pub where_: String,
    pub how: String,
}

/// A place: a span with two stations in mm from its foot, or two points in mm.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(untagged)]
pub enum PlaceFile {
    OnSpan {
        span: String,
        from_mm: f64,
        to_mm: f64,
    },
    Points {
        #[schema(value_type = [[f64; 3]; 2])]
        points: [Point; 2],
    },
}

/// The variant of the car that was looked at.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct VariantFile {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<Drive>>)]
    pub drive: Option<Drive>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<WheelSide>>)]
    pub wheel: Option<WheelSide>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<Roof>>)]
    pub roof: Option<Roof>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub region: Option<String>,
}

/// An officer's word that a bare finding stands beside a component.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ResolvedFile {
    pub by: String,
    #[serde(with = "iso_day")]
    #[schema(value_type = String, format = Date)]
    pub on: Date,
}

/// One dated statement by one member about one car. `component` and `kind` for
/// a component, `depth` for a bare finding; `car` where a car was looked at.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FindingFile {
    pub id: String,
    /// `component` or `bare`.
    pub report: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub component: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<Kind>>)]
    pub kind: Option<Kind>,
    pub place: PlaceFile,
    /// Half the thickness across.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 1000)]
    pub radius_mm: Option<f64>,
    #[schema(schema_with = word_schema::<Source>)]
    pub source: Source,
    /// The finding's own bound in place of the source's.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 5, maximum = 1000)]
    pub within_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<Depth>>)]
    pub depth: Option<Depth>,
    #[serde(with = "iso_day")]
    #[schema(value_type = String, format = Date)]
    pub observed_on: Date,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The department's own label of the car looked at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub car: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub observed: Option<VariantFile>,
    /// A missing one reads `accepted` for a component, `offered` for a bare finding.
    #[schema(required = false, schema_with = word_schema::<Status>)]
    pub status: Status,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = word_schema::<Option<Bag>>)]
    pub bag: Option<Bag>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub belt_seat: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uts_mpa: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layers: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub perimeter_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure_mpa: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_cm3: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resolved: Option<ResolvedFile>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supersedes: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}
