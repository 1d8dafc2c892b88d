//! The audit: who did what when to which card. Only ever appended to.

use super::Store;
use super::contract::*;
use super::database::{Connection, Database};
use super::error::StoreError;
use super::rows::{At, millis};
use serde_json::Value;
use time::OffsetDateTime;

/// A line to be written.
#[derive(Debug)]
pub(super) struct Line {
    action: String,
    detail: Value,
}

impl Line {
    pub(super) fn new(action: impl Into<String>, detail: Value) -> Self {
        Self {
            action: action.into(),
            detail,
        }
    }

    /// Writes it within the change it tells of.
    pub(super) async fn write(
        self,
        database: &Database,
        connection: &mut Connection,
        actor: &Actor,
        card: Option<&CardId>,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO audit (department_id, id, at, member_id, member_name, card_id, action, detail)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(actor.department.as_str())
        .bind(database.new_id(now))
        .bind(millis(now))
        .bind(actor.member.as_str())
        .bind(actor.member_name.as_str())
        .bind(card.map(CardId::as_str))
        .bind(self.action)
        .bind(self.detail.to_string())
        .execute(connection)
        .await?;
        Ok(())
    }
}

#[derive(Debug, sqlx::FromRow)]
struct AuditRow {
    id: String,
    at: i64,
    member_id: String,
    member_name: String,
    card_id: Option<String>,
    action: String,
    detail: String,
}

impl AuditRow {
    fn check(self) -> Result<AuditEntry, StoreError> {
        let at = At {
            table: "audit",
            id: &self.id,
        };
        Ok(AuditEntry {
            at: at.time("at", self.at)?,
            detail: at.json("detail", &self.detail)?,
            member: MemberId::new(self.member_id),
            member_name: self.member_name,
            card: self.card_id.map(CardId::new),
            action: self.action,
            id: self.id,
        })
    }
}

impl Store {
    /// A department's own audit, newest first; `after` is the id of the last
    /// line already read.
    pub async fn audit(
        &self,
        department: &DepartmentId,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<AuditEntry>, StoreError> {
        let rows: Vec<AuditRow> = sqlx::query_as(
            "SELECT id, at, member_id, member_name, card_id, action, detail FROM audit
             WHERE department_id = $1 AND (CAST($2 AS TEXT) IS NULL OR id < $2)
             ORDER BY id DESC LIMIT $3",
        )
        .bind(department.as_str())
        .bind(after)
        .bind(i64::from(limit))
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(AuditRow::check).collect()
    }
}
