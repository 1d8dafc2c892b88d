//! One change of one card, as one transaction: what is written between
//! [`Change::begin`] and [`Change::finish`] becomes one revision with one line
//! in the audit, or nothing at all.

use super::Store;
use super::audit::Line;
use super::cards::{insert_card, read_card};
use super::contract::*;
use super::database::Transaction;
use super::error::StoreError;
use super::policies::policy_version;
use super::rows::{At, millis};
use serde_json::Value;
use std::borrow::Cow;
use time::OffsetDateTime;

/// A change under way. Dropped unfinished, it leaves nothing behind.
pub(super) struct Change<'a> {
    store: &'a Store,
    pub tx: Transaction,
    pub actor: Cow<'a, Actor>,
    pub card: CardId,
    pub now: OffsetDateTime,
    /// The revision this change makes.
    pub revision: Revision,
    /// The revision whose details hold; set to `revision` by whoever writes new ones.
    pub details_revision: Revision,
    /// Findings added so far.
    pub added: i64,
    /// The first revision of a card is inserted, the others move it on.
    is_new: bool,
}

impl<'a> Change<'a> {
    /// Begins a card.
    pub(super) async fn new_card(
        store: &'a Store,
        actor: &'a Actor,
        now: OffsetDateTime,
    ) -> Result<Self, StoreError> {
        let mut tx = store.database.write().await?;
        let card = CardId::new(store.database.new_id(now));
        insert_card(&mut tx, &actor.department, &card, now).await?;
        Ok(Self {
            store,
            tx,
            actor: Cow::Borrowed(actor),
            card,
            now,
            revision: 1,
            details_revision: 1,
            added: 0,
            is_new: true,
        })
    }

    /// Begins a change of the actor's own card; `None` where there is none.
    /// `expected` is the revision it was read at, where that matters.
    pub(super) async fn begin(
        store: &'a Store,
        actor: &'a Actor,
        card: &CardId,
        expected: Option<Revision>,
        now: OffsetDateTime,
    ) -> Result<Option<Self>, StoreError> {
        let tx = store.database.write().await?;
        Self::begin_in(store, tx, Cow::Borrowed(actor), card, expected, now).await
    }

    /// The same, in a transaction that has begun, for whom it found to act.
    pub(super) async fn begin_in(
        store: &'a Store,
        mut tx: Transaction,
        actor: Cow<'a, Actor>,
        card: &CardId,
        expected: Option<Revision>,
        now: OffsetDateTime,
    ) -> Result<Option<Self>, StoreError> {
        let row: Option<(i64, i64)> = sqlx::query_as(
            "SELECT revision, details_revision FROM cards WHERE department_id = $1 AND id = $2",
        )
        .bind(actor.department.as_str())
        .bind(card.as_str())
        .fetch_optional(&mut *tx)
        .await?;
        let Some((current, details_revision)) = row else {
            return Ok(None);
        };
        match expected {
            Some(expected) if expected != current => {
                Err(StoreError::Conflict { expected, current })
            }
            _ => Ok(Some(Self {
                store,
                tx,
                actor,
                card: card.clone(),
                now,
                revision: current + 1,
                details_revision,
                added: 0,
                is_new: false,
            })),
        }
    }

    /// The card as it was before this change.
    pub(super) async fn card(&mut self) -> Result<StoredCard, StoreError> {
        let (department, before) = (&self.actor.department, self.revision - 1);
        read_card(&mut self.tx, department, &self.card, Some(before), self.now)
            .await?
            .ok_or_else(|| self.corrupt())
    }

    /// Makes the revision, writes the audit, commits, and gives the card back.
    pub(super) async fn finish(
        mut self,
        summary: &str,
        action: &str,
        detail: Value,
    ) -> Result<StoredCard, StoreError> {
        self.move_on().await?;
        self.insert_revision(summary).await?;
        Line::new(action, with_revision(detail, self.revision))
            .write(
                &self.store.database,
                &mut self.tx,
                &self.actor,
                Some(&self.card),
                self.now,
            )
            .await?;
        let department = &self.actor.department;
        let Some(card) = read_card(&mut self.tx, department, &self.card, None, self.now).await?
        else {
            return Err(self.corrupt());
        };
        self.tx.commit().await?;
        Ok(card)
    }

    async fn move_on(&mut self) -> Result<(), StoreError> {
        let before = if self.is_new { 1 } else { self.revision - 1 };
        let done = sqlx::query(
            "UPDATE cards SET revision = $4, details_revision = $5,
                 finding_count = finding_count + $6, updated_at = $7
             WHERE department_id = $1 AND id = $2 AND revision = $3",
        )
        .bind(self.actor.department.as_str())
        .bind(self.card.as_str())
        .bind(before)
        .bind(self.revision)
        .bind(self.details_revision)
        .bind(self.added)
        .bind(millis(self.now))
        .execute(&mut *self.tx)
        .await?;
        match done.rows_affected() {
            1 => Ok(()),
            _ => Err(self.corrupt()),
        }
    }

    async fn insert_revision(&mut self, summary: &str) -> Result<(), StoreError> {
        let policy = policy_version(&mut self.tx, &self.actor.department).await?;
        sqlx::query(
            "INSERT INTO card_revisions (department_id, card_id, revision, details_revision,
                 policy_version, at, member_id, member_name, summary)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        )
        .bind(self.actor.department.as_str())
        .bind(self.card.as_str())
        .bind(self.revision)
        .bind(self.details_revision)
        .bind(policy)
        .bind(millis(self.now))
        .bind(self.actor.member.as_str())
        .bind(self.actor.member_name.as_str())
        .bind(summary)
        .execute(&mut *self.tx)
        .await?;
        Ok(())
    }

    /// The card's row contradicts what stands beside it.
    fn corrupt(&self) -> StoreError {
        let at = At {
            table: "cards",
            id: self.card.as_str(),
        };
        at.corrupt("revision")
    }
}

fn with_revision(mut detail: Value, revision: Revision) -> Value {
    detail["revision"] = revision.into();
    detail
}
