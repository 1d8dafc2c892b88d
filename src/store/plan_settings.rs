//! What a department has set for its plans: its own openings, its tools, the
//! order rules it has switched off. Each change is a new version; zones and the
//! revisions of cards do not depend on them.

use super::Store;
use super::audit::Line;
use super::contract::*;
use super::database::Connection;
use super::error::StoreError;
use super::rows::{At, json_text, millis};
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::tool::Tool;
use serde::{Deserialize, Serialize};
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// A department's settings for its plans, with their version: 0 and nothing
    /// set where it has set none.
    pub async fn plan_settings(
        &self,
        department: &DepartmentId,
    ) -> Result<(Revision, PlanSettings), StoreError> {
        read(&mut *self.database.read().await?, department).await
    }

    /// Sets what the actor's department has for its plans, where it still stands
    /// at `expected`, and gives the version in force. The same settings again
    /// change nothing.
    pub async fn set_plan_settings(
        &self,
        actor: &Actor,
        expected: Option<Revision>,
        settings: &PlanSettings,
        now: OffsetDateTime,
    ) -> Result<Revision, StoreError> {
        let mut tx = self.database.write().await?;
        let (current, before) = read(&mut tx, &actor.department).await?;
        if let Some(expected) = expected.filter(|expected| *expected != current) {
            return Err(StoreError::Conflict { expected, current });
        }
        if before == *settings {
            return Ok(current);
        }
        let version = current + 1;
        insert(&mut tx, actor, version, settings, now).await?;
        let ids = |s: &PlanSettings| s.openings.iter().map(|o| o.id.clone()).collect::<Vec<_>>();
        let detail = json!({
            "version": version,
            "openings": {"before": ids(&before), "after": ids(settings)},
            "tools": settings.tools.len(),
            "rules_off": {"before": before.rules_off, "after": settings.rules_off},
        });
        Line::new("plan-settings-set", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(version)
    }
}

async fn insert(
    connection: &mut Connection,
    actor: &Actor,
    version: Revision,
    settings: &PlanSettings,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let tools: Vec<ToolJson> = settings.tools.iter().map(ToolJson::from).collect();
    sqlx::query(
        "INSERT INTO plan_settings
             (department_id, version, member_id, set_at, openings, tools, rules_off)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(actor.department.as_str())
    .bind(version)
    .bind(actor.member.as_str())
    .bind(millis(now))
    .bind(json_text(&settings.openings))
    .bind(json_text(&tools))
    .bind(json_text(&settings.rules_off))
    .execute(connection)
    .await?;
    Ok(())
}

async fn read(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<(Revision, PlanSettings), StoreError> {
    let row: Option<(i64, String, String, String)> = sqlx::query_as(
        "SELECT version, openings, tools, rules_off FROM plan_settings
         WHERE department_id = $1 ORDER BY version DESC LIMIT 1",
    )
    .bind(department.as_str())
    .fetch_optional(connection)
    .await?;
    let Some((version, openings, tools, rules_off)) = row else {
        return Ok((0, PlanSettings::default()));
    };
    let at = At {
        table: "plan_settings",
        id: department.as_str(),
    };
    let tools: Vec<ToolJson> = at.json("tools", &tools)?;
    let tools: Result<_, _> = tools.into_iter().map(|tool| tool.check(at)).collect();
    let settings = PlanSettings {
        openings: at.json("openings", &openings)?,
        tools: tools?,
        rules_off: at.json("rules_off", &rules_off)?,
    };
    Ok((version, settings))
}

/// [`Tool`] as JSON; the designation as its plate gives it.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ToolJson {
    name: String,
    kind: ToolKind,
    force_kn: Option<f64>,
    blade_half_width_mm: Option<f64>,
    opening_mm: Option<f64>,
    mass_kg: Option<f64>,
    designation: Option<String>,
}

impl From<&Tool> for ToolJson {
    fn from(tool: &Tool) -> Self {
        Self {
            name: tool.name.clone(),
            kind: tool.kind,
            force_kn: tool.force_kn,
            blade_half_width_mm: tool.blade_half_width_mm,
            opening_mm: tool.opening_mm,
            mass_kg: tool.mass_kg,
            designation: tool.designation.as_ref().map(ToString::to_string),
        }
    }
}

impl ToolJson {
    fn check(self, at: At<'_>) -> Result<Tool, StoreError> {
        let designation = self.designation.as_deref().map(str::parse).transpose();
        let tool = Tool {
            name: self.name,
            kind: self.kind,
            force_kn: self.force_kn,
            blade_half_width_mm: self.blade_half_width_mm,
            opening_mm: self.opening_mm,
            mass_kg: self.mass_kg,
            designation: designation.map_err(|_| at.corrupt("tools"))?,
        };
        if tool.faults().is_empty() {
            Ok(tool)
        } else {
            Err(at.corrupt("tools"))
        }
    }
}
