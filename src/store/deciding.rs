//! What a decision about a card's findings rests on: who decides, who else there
//! is, and who recorded what.

use super::Store;
use super::contract::*;
use super::database::Connection;
use super::error::StoreError;
use crate::domain::decision::{Case, Decider, Decision, Verdict, is_bare, verdict};
use crate::domain::finding::Finding;
use crate::domain::role::Roles;
use std::collections::BTreeMap;

/// What a decision of one member about one card's findings rests on.
#[derive(Debug)]
pub struct Deciding {
    recorded: BTreeMap<String, Recorded>,
    roles: Roles,
    person: bool,
    alone: bool,
}

/// Who recorded a finding, seen from who decides.
#[derive(Debug, Clone, Copy, Default)]
struct Recorded {
    /// By themselves, or by a program with a key of theirs.
    own: bool,
    /// By a partner's member.
    from_outside: bool,
}

#[derive(Debug, sqlx::FromRow)]
struct RecordedRow {
    id: String,
    own: i64,
    from_outside: i64,
}

impl Store {
    /// What the actor's decisions about a card of their own department rest on.
    pub async fn deciding(&self, actor: &Actor, card: &CardId) -> Result<Deciding, StoreError> {
        Deciding::read(&mut *self.database.read().await?, actor, card).await
    }
}

impl Deciding {
    /// To be called within the transaction of the decision.
    pub(super) async fn read(
        connection: &mut Connection,
        actor: &Actor,
        card: &CardId,
    ) -> Result<Self, StoreError> {
        let (is_program, others): (i64, i64) = sqlx::query_as(
            "SELECT (SELECT COUNT(*) FROM api_keys k WHERE k.member_id = $2),
                    (SELECT COUNT(*) FROM members m
                     WHERE m.department_id = $1 AND m.id <> $2 AND m.left_at IS NULL
                       AND EXISTS (SELECT 1 FROM member_roles r WHERE r.member_id = m.id
                                      AND r.role IN ('member', 'officer'))
                       AND NOT EXISTS (SELECT 1 FROM api_keys k WHERE k.member_id = m.id))",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_one(&mut *connection)
        .await?;
        Ok(Self {
            recorded: recorded(connection, actor, card).await?,
            roles: actor.roles.clone(),
            person: is_program == 0,
            alone: others == 0,
        })
    }

    /// Who decides.
    pub fn decider(&self) -> Decider<'_> {
        Decider {
            roles: &self.roles,
            person: self.person,
            alone: self.alone,
        }
    }

    /// What comes of a decision about a finding; `shrinks`: whether it takes any
    /// `no-cut` away.
    pub fn verdict(&self, decision: Decision, finding: &Finding, shrinks: bool) -> Verdict {
        let recorded = self.recorded.get(&finding.id).copied().unwrap_or_default();
        let case = Case {
            bare: is_bare(finding),
            from_outside: recorded.from_outside,
            own: recorded.own,
            shrinks,
        };
        verdict(decision, case, self.decider())
    }

    /// The same, where it has to be allowed.
    pub(super) fn check(
        &self,
        decision: Decision,
        finding: &Finding,
        shrinks: bool,
    ) -> Result<Verdict, StoreError> {
        match self.verdict(decision, finding, shrinks) {
            verdict @ (Verdict::Allowed | Verdict::SingleHanded) => Ok(verdict),
            Verdict::Waits(waits_for) => Err(StoreError::Waits {
                finding: finding.id.clone(),
                waits_for,
            }),
        }
    }
}

async fn recorded(
    connection: &mut Connection,
    actor: &Actor,
    card: &CardId,
) -> Result<BTreeMap<String, Recorded>, StoreError> {
    let rows: Vec<RecordedRow> = sqlx::query_as(
        "SELECT f.id,
                CASE WHEN f.member_id = $3 OR EXISTS
                    (SELECT 1 FROM api_keys k WHERE k.member_id = f.member_id AND k.made_by = $3)
                THEN 1 ELSE 0 END AS own,
                CASE WHEN EXISTS (SELECT 1 FROM guests g WHERE g.member_id = f.member_id)
                THEN 1 ELSE 0 END AS from_outside
         FROM findings f WHERE f.department_id = $1 AND f.card_id = $2",
    )
    .bind(actor.department.as_str())
    .bind(card.as_str())
    .bind(actor.member.as_str())
    .fetch_all(connection)
    .await?;
    let rows = rows.into_iter().map(|row| {
        let recorded = Recorded {
            own: row.own != 0,
            from_outside: row.from_outside != 0,
        };
        (row.id, recorded)
    });
    Ok(rows.collect())
}
