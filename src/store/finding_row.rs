//! A finding as it lies in its table: columns for what every finding has, JSON
//! for what only some have.

use super::error::StoreError;
use super::rows::{At, json_text};
use crate::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Resolved, Source, Status,
    Steel,
};
use crate::domain::frame::Point;
use crate::domain::kind::{Bag, Kind};
use crate::domain::vehicle::{Drive, Roof, Variant, WheelSide};
use serde::{Deserialize, Serialize};

/// Columns of `findings`, with the newest line of each of its two logs.
#[derive(Debug, sqlx::FromRow)]
pub(super) struct FindingRow {
    id: String,
    report: String,
    component: Option<String>,
    kind: Option<String>,
    depth: Option<String>,
    span: Option<String>,
    from_mm: Option<f64>,
    to_mm: Option<f64>,
    points: Option<String>,
    source: String,
    observed_on: String,
    car: Option<String>,
    supersedes: Option<String>,
    rest: String,
    status: String,
    reason: Option<String>,
    resolved_by: Option<String>,
    resolved_on: Option<String>,
}

impl FindingRow {
    pub(super) fn check(self) -> Result<Finding, StoreError> {
        let at = At {
            table: "findings",
            id: &self.id,
        };
        let rest: Rest = at.json("rest", &self.rest)?;
        Ok(Finding {
            report: self.report(&rest, at)?,
            source: at.word("source", &self.source, Source::from_word)?,
            within_mm: rest.within_mm,
            observed_on: at.date("observed_on", &self.observed_on)?,
            by: rest.by,
            car: self.car.clone(),
            observed: rest.observed.into(),
            status: at.word("status", &self.status, Status::from_word)?,
            note: rest.note,
            supersedes: self.supersedes.clone(),
            reason: self.reason.clone(),
            id: self.id,
        })
    }

    fn report(&self, rest: &Rest, at: At<'_>) -> Result<Report, StoreError> {
        let place = self.place(at)?;
        match (self.report.as_str(), place) {
            ("component", place) => {
                let kind = self.kind.as_deref().unwrap_or_default();
                let component = self.component.clone();
                Ok(Report::Component(ComponentReport {
                    component: component.ok_or_else(|| at.corrupt("component"))?,
                    kind: at.word("kind", kind, Kind::from_word)?,
                    place,
                    radius_mm: rest.radius_mm,
                    bag: rest.bag,
                    belt_seat: rest.belt_seat.clone(),
                    steel: rest.steel.clone().into(),
                    gas: rest.gas.clone().into(),
                }))
            }
            (
                "bare",
                Place::OnSpan {
                    span,
                    from_mm,
                    to_mm,
                },
            ) => {
                let depth = self.depth.as_deref().unwrap_or_default();
                Ok(Report::Bare(BareReport {
                    span,
                    from_mm,
                    to_mm,
                    depth: at.word("depth", depth, Depth::from_word)?,
                    resolved: self.resolved(at)?,
                }))
            }
            _ => Err(at.corrupt("report")),
        }
    }

    fn place(&self, at: At<'_>) -> Result<Place, StoreError> {
        match (&self.span, self.from_mm, self.to_mm, &self.points) {
            (Some(span), Some(from_mm), Some(to_mm), None) if from_mm <= to_mm => {
                Ok(Place::OnSpan {
                    span: span.clone(),
                    from_mm,
                    to_mm,
                })
            }
            (None, None, None, Some(points)) => {
                Ok(Place::Points(at.json::<[Point; 2]>("points", points)?))
            }
            _ => Err(at.corrupt("from_mm")),
        }
    }

    fn resolved(&self, at: At<'_>) -> Result<Option<Resolved>, StoreError> {
        match (&self.resolved_by, &self.resolved_on) {
            (None, None) => Ok(None),
            (Some(by), Some(on)) => Ok(Some(Resolved {
                by: by.clone(),
                on: at.date("resolved_on", on)?,
            })),
            _ => Err(at.corrupt("resolved_on")),
        }
    }
}

/// What is written of a finding; its status and resolution go to their logs.
#[derive(Debug)]
pub(super) struct NewFindingRow<'a> {
    pub report: &'static str,
    pub component: Option<&'a str>,
    pub kind: Option<&'static str>,
    pub depth: Option<&'static str>,
    pub span: Option<&'a str>,
    pub from_mm: Option<f64>,
    pub to_mm: Option<f64>,
    pub points: Option<String>,
    pub rest: String,
}

impl<'a> From<&'a Finding> for NewFindingRow<'a> {
    fn from(finding: &'a Finding) -> Self {
        let mut row = Self {
            report: "bare",
            component: None,
            kind: None,
            depth: None,
            span: None,
            from_mm: None,
            to_mm: None,
            points: None,
            rest: json_text(&Rest::from(finding)),
        };
        match &finding.report {
            Report::Component(report) => {
                row.report = "component";
                row.component = Some(&report.component);
                row.kind = Some(report.kind.word());
                match &report.place {
                    Place::OnSpan {
                        span,
                        from_mm,
                        to_mm,
                    } => row.stations(span, *from_mm, *to_mm),
                    Place::Points(points) => row.points = Some(json_text(points)),
                }
            }
            Report::Bare(report) => {
                row.depth = Some(report.depth.word());
                row.stations(&report.span, report.from_mm, report.to_mm);
            }
        }
        row
    }
}

impl<'a> NewFindingRow<'a> {
    fn stations(&mut self, span: &'a str, from_mm: f64, to_mm: f64) {
        self.span = Some(span);
        self.from_mm = Some(from_mm);
        self.to_mm = Some(to_mm);
    }
}

/// What only some findings have, as JSON.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Rest {
    within_mm: Option<f64>,
    by: Option<String>,
    observed: ObservedJson,
    note: Option<String>,
    radius_mm: Option<f64>,
    bag: Option<Bag>,
    belt_seat: Option<String>,
    steel: SteelJson,
    gas: GasJson,
}

impl From<&Finding> for Rest {
    fn from(finding: &Finding) -> Self {
        let mut rest = Self {
            within_mm: finding.within_mm,
            by: finding.by.clone(),
            observed: (&finding.observed).into(),
            note: finding.note.clone(),
            ..Self::default()
        };
        if let Report::Component(report) = &finding.report {
            rest.radius_mm = report.radius_mm;
            rest.bag = report.bag;
            rest.belt_seat = report.belt_seat.clone();
            rest.steel = (&report.steel).into();
            rest.gas = (&report.gas).into();
        }
        rest
    }
}

/// A domain type of plain fields as JSON: the same fields under the same names.
macro_rules! as_json {
    ($json:ident of $domain:ident { $($field:ident: $type:ty),+ $(,)? }) => {
        #[derive(Debug, Clone, Default, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        struct $json { $($field: Option<$type>),+ }

        impl From<&$domain> for $json {
            fn from(value: &$domain) -> Self {
                Self { $($field: value.$field.clone()),+ }
            }
        }

        impl From<$json> for $domain {
            fn from(json: $json) -> Self {
                Self { $($field: json.$field),+ }
            }
        }
    };
}

as_json!(ObservedJson of Variant { year: i32, drive: Drive, wheel: WheelSide, roof: Roof, region: String });
as_json!(SteelJson of Steel { uts_mpa: f64, thickness_mm: f64, layers: u32, perimeter_mm: f64 });
as_json!(GasJson of Gas { pressure_mpa: f64, volume_cm3: f64, gas: String });
