//! Withdrawals and declines that somebody asked for who may not do them, and what
//! waits on the department's cards for a second person or an officer.

use super::Store;
use super::audit::Line;
use super::change::Change;
use super::contract::*;
use super::error::{StoreError, or_taken};
use super::findings::find;
use super::rows::{At, millis};
use crate::domain::decision::WaitsFor;
use crate::domain::finding::Status;
use crate::domain::role::Deed;
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Asks for a finding of the actor's own card to be declined or withdrawn. It
    /// changes nothing until an officer does it. `None` where there is no such card.
    ///
    /// # Errors
    /// [`StoreError::Duplicate`] where it is asked for already, or the finding no
    /// longer acts, or the store failed.
    pub async fn ask_change(
        &self,
        actor: &Actor,
        card: &CardId,
        asked: &StatusChange,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, None, now).await? else {
            return Ok(None);
        };
        let stored = change.card().await?;
        let finding = find(&stored.card.findings, &asked.finding)?;
        if !finding.acts() {
            return Err(StoreError::StatusFixed {
                finding: finding.id.clone(),
                from: finding.status,
                to: asked.status,
            });
        }
        let reason = asked.reason.as_deref().map(str::trim).unwrap_or_default();
        if reason.is_empty() {
            return Err(StoreError::ReasonMissing {
                finding: finding.id.clone(),
                to: asked.status,
            });
        }
        sqlx::query(
            "INSERT INTO asked_changes (department_id, id, card_id, finding_id, status, reason,
                 member_id, asked_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(actor.department.as_str())
        .bind(self.database.new_id(now))
        .bind(card.as_str())
        .bind(&asked.finding)
        .bind(asked.status.word())
        .bind(reason)
        .bind(actor.member.as_str())
        .bind(millis(now))
        .execute(&mut *change.tx)
        .await
        .map_err(or_taken(&asked.finding))?;
        let detail = json!({
            "finding": asked.finding, "status": asked.status.word(), "reason": reason,
        });
        Line::new("change-asked", detail)
            .write(&self.database, &mut change.tx, actor, Some(card), now)
            .await?;
        // No revision: the card stands as it stood.
        change.tx.commit().await?;
        Ok(Some(()))
    }

    /// Refuses what was asked for about a finding, as an officer does. `None` where
    /// nothing is.
    ///
    /// # Errors
    /// [`StoreError::Waits`] for an officer, or the store failed.
    pub async fn refuse_asked(
        &self,
        actor: &Actor,
        card: &CardId,
        finding: &str,
        answer: &str,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        if !actor.roles.may(Deed::Decide) {
            return Err(StoreError::Waits {
                finding: finding.to_owned(),
                waits_for: WaitsFor::Officer,
            });
        }
        let mut tx = self.database.write().await?;
        let done = settle(&mut tx, actor, (card, finding), (false, Some(answer)), now).await?;
        if done == 0 {
            return Ok(None);
        }
        let detail = json!({"finding": finding, "reason": answer});
        Line::new("asked-change-refused", detail)
            .write(&self.database, &mut tx, actor, Some(card), now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// What is asked for about a card's findings and not answered yet.
    pub async fn asked_changes(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Vec<AskedChange>, StoreError> {
        let rows: Vec<AskedRow> = sqlx::query_as(
            "SELECT a.id, a.finding_id, a.status, a.reason, a.member_id, m.name AS member_name,
                    a.asked_at
             FROM asked_changes a JOIN members m ON m.id = a.member_id
             WHERE a.department_id = $1 AND a.card_id = $2 AND a.settled_at IS NULL
             ORDER BY a.asked_at, a.id",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(AskedRow::check).collect()
    }

    /// How many findings and asked changes wait on the department's own cards.
    pub async fn waiting_count(&self, department: &DepartmentId) -> Result<usize, StoreError> {
        let (count,): (i64,) = sqlx::query_as(
            "SELECT (SELECT COUNT(*) FROM finding_status s
                      WHERE s.department_id = $1 AND s.status = 'offered'
                        AND s.revision = (SELECT MAX(l.revision) FROM finding_status l
                                           WHERE l.card_id = s.card_id
                                             AND l.finding_id = s.finding_id))
                  + (SELECT COUNT(*) FROM asked_changes a
                      WHERE a.department_id = $1 AND a.settled_at IS NULL)",
        )
        .bind(department.as_str())
        .fetch_one(self.database.readers())
        .await?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// The department's own cards on which a finding is offered or a change asked
    /// for, the one waiting longest first.
    pub async fn waiting(&self, department: &DepartmentId) -> Result<Vec<Waiting>, StoreError> {
        let rows: Vec<(String, i64)> = sqlx::query_as(
            "SELECT w.card_id, MIN(w.since) AS since FROM (
                 SELECT s.card_id, s.at AS since FROM finding_status s
                  WHERE s.department_id = $1 AND s.status = 'offered'
                    AND s.revision = (SELECT MAX(l.revision) FROM finding_status l
                                       WHERE l.card_id = s.card_id AND l.finding_id = s.finding_id)
                 UNION ALL
                 SELECT a.card_id, a.asked_at FROM asked_changes a
                  WHERE a.department_id = $1 AND a.settled_at IS NULL) w
             GROUP BY w.card_id ORDER BY since, w.card_id",
        )
        .bind(department.as_str())
        .fetch_all(self.database.readers())
        .await?;
        let mut waiting = Vec::with_capacity(rows.len());
        for (id, since) in rows {
            let at = At {
                table: "finding_status",
                id: &id,
            };
            let since = at.time("at", since)?;
            let card = CardId::new(id.clone());
            let Some(stored) = self.card(department, &card).await? else {
                continue;
            };
            let asked = self.asked_changes(department, &card).await?;
            waiting.push(Waiting {
                card: stored,
                asked,
                since,
            });
        }
        Ok(waiting)
    }
}

/// Answers what is asked for about a finding, if anything is; how many it was.
pub(super) async fn settle(
    tx: &mut super::database::Connection,
    actor: &Actor,
    (card, finding): (&CardId, &str),
    (done, answer): (bool, Option<&str>),
    now: OffsetDateTime,
) -> Result<u64, StoreError> {
    let settled = sqlx::query(
        "UPDATE asked_changes SET settled_at = $4, settled_by = $5, done = $6, answer = $7
         WHERE department_id = $1 AND card_id = $2 AND finding_id = $3 AND settled_at IS NULL",
    )
    .bind(actor.department.as_str())
    .bind(card.as_str())
    .bind(finding)
    .bind(millis(now))
    .bind(actor.member.as_str())
    .bind(i64::from(done))
    .bind(answer)
    .execute(tx)
    .await?;
    Ok(settled.rows_affected())
}

#[derive(Debug, sqlx::FromRow)]
struct AskedRow {
    id: String,
    finding_id: String,
    status: String,
    reason: String,
    member_id: String,
    member_name: String,
    asked_at: i64,
}

impl AskedRow {
    fn check(self) -> Result<AskedChange, StoreError> {
        let at = At {
            table: "asked_changes",
            id: &self.id,
        };
        Ok(AskedChange {
            status: at.word("status", &self.status, Status::from_word)?,
            at: at.time("asked_at", self.asked_at)?,
            finding: self.finding_id,
            reason: self.reason,
            member: MemberId::new(self.member_id),
            member_name: self.member_name,
        })
    }
}
