//! What a member has entered and not yet saved. No finding: written over and
//! removed freely, and no part of any card.

use super::Store;
use super::contract::*;
use super::error::StoreError;
use super::rows::{At, millis};
use serde_json::Value;
use time::OffsetDateTime;

impl Store {
    /// A member's draft of one kind of work on a card.
    pub async fn draft(
        &self,
        actor: &Actor,
        card: &CardId,
        work: &str,
    ) -> Result<Option<Draft>, StoreError> {
        let row: Option<(i64, String, i64)> = sqlx::query_as(
            "SELECT version, body, updated_at FROM drafts
             WHERE department_id = $1 AND member_id = $2 AND card_id = $3 AND work = $4",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(card.as_str())
        .bind(work)
        .fetch_optional(self.database.readers())
        .await?;
        let Some((version, body, updated_at)) = row else {
            return Ok(None);
        };
        let at = At {
            table: "drafts",
            id: card.as_str(),
        };
        Ok(Some(Draft {
            version,
            body: at.json("body", &body)?,
            updated_at: at.time("updated_at", updated_at)?,
        }))
    }

    /// Keeps a draft that is still at `expected`, 0 for a new one, and gives its
    /// new version. `None` where the department owns no such card.
    pub async fn keep_draft(
        &self,
        actor: &Actor,
        card: &CardId,
        work: &str,
        expected: Revision,
        body: &Value,
        now: OffsetDateTime,
    ) -> Result<Option<Revision>, StoreError> {
        let mut tx = self.database.write().await?;
        let owned: Option<(i64,)> = sqlx::query_as(
            "SELECT COALESCE(d.version, 0) FROM cards c
             LEFT JOIN drafts d ON d.department_id = c.department_id AND d.card_id = c.id
                               AND d.member_id = $2 AND d.work = $4
             WHERE c.department_id = $1 AND c.id = $3",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(card.as_str())
        .bind(work)
        .fetch_optional(&mut *tx)
        .await?;
        let Some((current,)) = owned else {
            return Ok(None);
        };
        if current != expected {
            return Err(StoreError::Conflict { expected, current });
        }
        sqlx::query(
            "INSERT INTO drafts (department_id, member_id, card_id, work, version, body, updated_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7)
             ON CONFLICT (department_id, member_id, card_id, work)
             DO UPDATE SET version = $5, body = $6, updated_at = $7",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(card.as_str())
        .bind(work)
        .bind(expected + 1)
        .bind(body.to_string())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        Ok(Some(expected + 1))
    }

    /// Removes a draft that is still at `expected`; where it moved on, it stays.
    pub async fn drop_draft(
        &self,
        actor: &Actor,
        card: &CardId,
        work: &str,
        expected: Revision,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query(
            "DELETE FROM drafts WHERE department_id = $1 AND member_id = $2 AND card_id = $3
                                  AND work = $4 AND version = $5",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(card.as_str())
        .bind(work)
        .bind(expected)
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        Ok(())
    }
}
