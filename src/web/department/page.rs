//! The page of a department's tools, rules and own openings, and its changes.

use super::read;
use crate::domain::opening::order;
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::tool::Tool;
use crate::store::{PlanSettings, Revision, StoreError};
use crate::web::error::AppError;
use crate::web::form::Choice;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeSet;
use time::OffsetDateTime;

#[derive(Template, WebTemplate)]
#[template(path = "department/department.html")]
struct DepartmentPage {
    version: Revision,
    tools: Vec<ToolRow>,
    rules: Vec<RuleRow>,
    openings: Vec<(String, String)>,
    kinds: Vec<Choice>,
    typed: Typed,
    /// Somebody else changed the settings meanwhile.
    conflict: bool,
}

/// One tool as the list shows it.
struct ToolRow {
    name: String,
    kind: &'static str,
    /// `500 kN`, `blade 35 mm either side` …; unknown figures are said so.
    figures: Vec<String>,
    /// The plate in words, a line a part.
    plate: Vec<String>,
    /// What does not agree; shown, never refused.
    contradictions: Vec<String>,
    caution: Option<&'static str>,
}

/// One order rule.
struct RuleRow {
    id: &'static str,
    because: &'static str,
    source: &'static str,
    switchable: bool,
    off: bool,
}

impl DepartmentPage {
    fn new(version: Revision, set: &PlanSettings, typed: Typed) -> Self {
        let kinds = ToolKind::ALL.iter();
        let openings = set.openings.iter();
        Self {
            version,
            tools: set.tools.iter().map(tool_row).collect(),
            rules: order::all().iter().map(|r| rule_row(r, set)).collect(),
            openings: openings
                .map(|o| (o.name.clone(), o.summary.clone()))
                .collect(),
            kinds: kinds.map(|k| Choice::new(k.word(), k.name())).collect(),
            typed,
            conflict: false,
        }
    }
}

fn tool_row(tool: &Tool) -> ToolRow {
    let figure = |what: &str, value: Option<f64>, unit: &str| match value {
        Some(value) => format!("{what} {value} {unit}"),
        None => format!("{what} unknown"),
    };
    let mut figures = Vec::new();
    if tool.kind.has_force() {
        figures.push(figure("rated force", tool.force_kn, "kN"));
    }
    if tool.kind.shears() || tool.kind == ToolKind::Saw {
        figures.push(figure("blade half-width", tool.blade_half_width_mm, "mm"));
    }
    figures.extend(tool.opening_mm.map(|mm| format!("opening {mm} mm")));
    figures.extend(tool.mass_kg.map(|kg| format!("mass {kg} kg")));
    ToolRow {
        name: tool.name.clone(),
        kind: tool.kind.name(),
        figures,
        plate: tool.designation.as_ref().map_or_else(Vec::new, |plate| {
            std::iter::once(format!("{} ({})", plate, plate.standard()))
                .chain(plate.words())
                .collect()
        }),
        contradictions: tool.contradictions(),
        caution: tool.kind.caution(),
    }
}

fn rule_row(rule: &'static order::Rule, set: &PlanSettings) -> RuleRow {
    RuleRow {
        id: &rule.id,
        because: &rule.because,
        source: &rule.source,
        switchable: rule.switchable,
        off: set.rules_off.contains(&rule.id),
    }
}

/// `GET /department`
pub async fn show_department(state: AppState) -> Result<Response, AppError> {
    let (version, set) = state.store.plan_settings(&state.actor.department).await?;
    Ok(DepartmentPage::new(version, &set, Typed::default()).into_response())
}

/// `POST /department`: adds a tool, takes one off, or sets the rules.
pub async fn change_department(state: AppState, mut typed: Typed) -> Result<Response, AppError> {
    let (version, set) = state.store.plan_settings(&state.actor.department).await?;
    let Some(wanted) = changed(&mut typed, &set) else {
        let status = typed.status();
        return Ok((status, DepartmentPage::new(version, &set, typed)).into_response());
    };
    let expected: Revision = typed.value("version").parse().unwrap_or(-1);
    let now = OffsetDateTime::now_utc();
    let saved = state
        .store
        .set_plan_settings(&state.actor, Some(expected), &wanted, now)
        .await;
    match saved {
        Ok(_) => Ok(Redirect::to("/department").into_response()),
        Err(StoreError::Conflict { .. }) => {
            let page = DepartmentPage {
                conflict: true,
                ..DepartmentPage::new(version, &set, typed)
            };
            Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
        }
        Err(other) => Err(other.into()),
    }
}

/// The settings as the form wants them; `None` with every fault said.
fn changed(typed: &mut Typed, set: &PlanSettings) -> Option<PlanSettings> {
    let mut wanted = set.clone();
    match typed.value("do").to_owned().as_str() {
        "rules" => {
            let on = |id: &str| typed.chosen(&format!("rule-{id}"), "on");
            let switchable = order::all().iter().filter(|r| r.switchable);
            let off = switchable.filter(|r| !on(&r.id)).map(|r| r.id.clone());
            wanted.rules_off = off.collect::<BTreeSet<String>>();
        }
        "take-off" => {
            let name = typed.value("tool").to_owned();
            wanted.tools.retain(|tool| tool.name != name);
        }
        _ => wanted.tools.push(read::tool(typed, &set.tools)?),
    }
    Some(wanted)
}
