//! A department's policy. Setting one makes a new version and a new revision of
//! every card of the department, since it moves their zones.

use super::Store;
use super::audit::Line;
use super::contract::*;
use super::database::Connection;
use super::error::StoreError;
use super::rows::{At, json_text, millis};
use crate::domain::kind::Kind;
use crate::domain::policy::{BPillarFirst, Coverage, CushionPolicy, Policy};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use time::OffsetDateTime;

impl Store {
    /// The policy in force; the defaults where the department has set none.
    pub async fn policy(&self, department: &DepartmentId) -> Result<Policy, StoreError> {
        read_policy(&mut *self.database.read().await?, department).await
    }

    /// Sets the policy of the actor's department. The same policy again changes
    /// nothing.
    pub async fn set_policy(
        &self,
        actor: &Actor,
        policy: &Policy,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        let before = read_policy(&mut tx, &actor.department).await?;
        if before == *policy {
            return Ok(());
        }
        let version = policy_version(&mut tx, &actor.department).await? + 1;
        let body = PolicyJson::from(policy);
        sqlx::query(
            "INSERT INTO policies (department_id, version, member_id, set_at, body)
             VALUES ($1, $2, $3, $4, $5)",
        )
        .bind(actor.department.as_str())
        .bind(version)
        .bind(actor.member.as_str())
        .bind(millis(now))
        .bind(json_text(&body))
        .execute(&mut *tx)
        .await?;
        move_cards_on(&mut tx, actor, version, now).await?;
        let detail =
            json!({"version": version, "before": PolicyJson::from(&before), "after": body});
        Line::new("policy-set", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(())
    }
}

/// Gives every card of the department a revision under the new policy.
async fn move_cards_on(
    connection: &mut Connection,
    actor: &Actor,
    version: i64,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let moved = sqlx::query(
        "UPDATE cards SET revision = revision + 1, updated_at = $2 WHERE department_id = $1",
    )
    .bind(actor.department.as_str())
    .bind(millis(now))
    .execute(&mut *connection)
    .await?;
    let written = sqlx::query(
        "INSERT INTO card_revisions (department_id, card_id, revision, details_revision,
             policy_version, at, member_id, member_name, summary)
         SELECT c.department_id, c.id, c.revision, c.details_revision, $2, $3, $4, $5, $6
         FROM cards c WHERE c.department_id = $1",
    )
    .bind(actor.department.as_str())
    .bind(version)
    .bind(millis(now))
    .bind(actor.member.as_str())
    .bind(actor.member_name.as_str())
    .bind("policy changed")
    .execute(connection)
    .await?;
    if moved.rows_affected() != written.rows_affected() {
        let at = At {
            table: "card_revisions",
            id: actor.department.as_str(),
        };
        return Err(at.corrupt("revision"));
    }
    Ok(())
}

/// The newest version of a department's policy; 0 where it has set none.
pub(super) async fn policy_version(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<i64, StoreError> {
    let (version,): (i64,) =
        sqlx::query_as("SELECT COALESCE(MAX(version), 0) FROM policies WHERE department_id = $1")
            .bind(department.as_str())
            .fetch_one(connection)
            .await?;
    Ok(version)
}

async fn read_policy(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<Policy, StoreError> {
    let row: Option<(i64, String)> = sqlx::query_as(
        "SELECT version, body FROM policies WHERE department_id = $1
         ORDER BY version DESC LIMIT 1",
    )
    .bind(department.as_str())
    .fetch_optional(connection)
    .await?;
    match row {
        Some((version, body)) => read_policy_body(department, version, Some(&body)),
        None => Ok(Policy::default()),
    }
}

/// A policy from its row; version 0 has none and means the defaults.
pub(super) fn read_policy_body(
    department: &DepartmentId,
    version: i64,
    body: Option<&str>,
) -> Result<Policy, StoreError> {
    let at = At {
        table: "policies",
        id: department.as_str(),
    };
    match (version, body) {
        (0, None) => Ok(Policy::default()),
        (_, Some(body)) => Ok(at.json::<PolicyJson>("body", body)?.into()),
        (_, None) => Err(at.corrupt("version")),
    }
}

/// [`Policy`] as JSON.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PolicyJson {
    coverage: Coverage,
    blade_half_width_mm: f64,
    tip_reach_mm: f64,
    lean_deg: f64,
    car_to_car_mm: f64,
    clearance_mm: BTreeMap<Kind, f64>,
    cushion: CushionPolicy,
    b_pillar_first: BPillarFirst,
}

impl From<&Policy> for PolicyJson {
    fn from(p: &Policy) -> Self {
        Self {
            coverage: p.coverage,
            blade_half_width_mm: p.blade_half_width_mm,
            tip_reach_mm: p.tip_reach_mm,
            lean_deg: p.lean_deg,
            car_to_car_mm: p.car_to_car_mm,
            clearance_mm: p.clearance_mm.clone(),
            cushion: p.cushion,
            b_pillar_first: p.b_pillar_first,
        }
    }
}

impl From<PolicyJson> for Policy {
    fn from(p: PolicyJson) -> Self {
        Self {
            coverage: p.coverage,
            blade_half_width_mm: p.blade_half_width_mm,
            tip_reach_mm: p.tip_reach_mm,
            lean_deg: p.lean_deg,
            car_to_car_mm: p.car_to_car_mm,
            clearance_mm: p.clearance_mm,
            cushion: p.cushion,
            b_pillar_first: p.b_pillar_first,
        }
    }
}
