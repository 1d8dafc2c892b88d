//! The audit: who did what when to which card. Only ever appended to, by the same
//! change that it tells of.

mod actions;

pub use actions::{ACTIONS, action_in_words};

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
        debug_assert!(
            action_in_words(&self.action).is_some(),
            "name the action {} in store::audit::ACTIONS",
            self.action
        );
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

/// Which lines of an audit are asked for; what is left out lets all through.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AuditFilter {
    pub card: Option<CardId>,
    /// Who did it.
    pub member: Option<MemberId>,
    pub action: Option<String>,
    /// Not before this moment.
    pub from: Option<OffsetDateTime>,
    /// Before this moment.
    pub before: Option<OffsetDateTime>,
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
        self.audit_of(department, &AuditFilter::default(), after, limit)
            .await
    }

    /// The lines of a department's own audit that a filter lets through, newest
    /// first; `after` is the id of the last line already read, and after one that
    /// is not this department's there is nothing.
    pub async fn audit_of(
        &self,
        department: &DepartmentId,
        filter: &AuditFilter,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<AuditEntry>, StoreError> {
        let rows: Vec<AuditRow> = sqlx::query_as(
            "SELECT id, at, member_id, member_name, card_id, action, detail FROM audit
             WHERE department_id = $1
               AND (CAST($2 AS TEXT) IS NULL OR (at, id) <
                    (SELECT l.at, l.id FROM audit l WHERE l.department_id = $1 AND l.id = $2))
               AND (CAST($4 AS TEXT) IS NULL OR card_id = $4)
               AND (CAST($5 AS TEXT) IS NULL OR member_id = $5)
               AND (CAST($6 AS TEXT) IS NULL OR action = $6)
               AND (CAST($7 AS BIGINT) IS NULL OR at >= $7)
               AND (CAST($8 AS BIGINT) IS NULL OR at < $8)
             ORDER BY at DESC, id DESC LIMIT $3",
        )
        .bind(department.as_str())
        .bind(after)
        .bind(i64::from(limit))
        .bind(filter.card.as_ref().map(CardId::as_str))
        .bind(filter.member.as_ref().map(MemberId::as_str))
        .bind(filter.action.as_deref())
        .bind(filter.from.map(millis))
        .bind(filter.before.map(millis))
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(AuditRow::check).collect()
    }

    /// Everybody a department's audit may name, by name: people, also those who
    /// left, partners' members who acted here, and keys.
    pub async fn audited(
        &self,
        department: &DepartmentId,
    ) -> Result<Vec<(MemberId, String)>, StoreError> {
        let rows: Vec<(String, String)> = sqlx::query_as(
            "SELECT id, name FROM members WHERE department_id = $1 ORDER BY name, id",
        )
        .bind(department.as_str())
        .fetch_all(self.database.readers())
        .await?;
        let named = |(id, name): (String, String)| (MemberId::new(id), name);
        Ok(rows.into_iter().map(named).collect())
    }
}
