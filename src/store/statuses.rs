//! Where findings stand: a log beside each, of status and of an officer's
//! resolution. A line is added, never changed; the newest one counts.

use super::Store;
use super::asked_changes::settle;
use super::change::Change;
use super::contract::*;
use super::deciding::Deciding;
use super::error::{StoreError, or_taken};
use super::findings::find;
use super::rows::{At, millis};
use crate::domain::decision::{Decision, Verdict, is_bare, shrinks, superseded_by, with_statuses};
use crate::domain::finding::{Finding, Resolved, Status};
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Accepts, declines or withdraws findings of the actor's own card, all of
    /// them or none. An offer may be accepted, declined or withdrawn; an accepted
    /// finding may be withdrawn; the rest is final. Accepting a correction
    /// supersedes the finding it corrects.
    ///
    /// # Errors
    /// [`StoreError::Waits`] where somebody else has to decide; what the changes
    /// do to the zones together is counted for each of them. Else what keeps the
    /// change from being made.
    pub async fn change_status(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Option<Revision>,
        changes: &[StatusChange],
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, expected, now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        if changes.is_empty() {
            return Ok(Some(before));
        }
        let findings = &before.card.findings;
        let to: Vec<(&str, Status)> = changes
            .iter()
            .map(|asked| (asked.finding.as_str(), asked.status))
            .collect();
        let shrinks = shrinks(&before.card, &with_statuses(&before.card, &to));
        let deciding = Deciding::read(&mut change.tx, actor, card).await?;
        let mut single_handed = false;
        for asked in changes {
            let finding = find(findings, &asked.finding)?;
            let decision = check_change(finding, asked)?;
            let alone = deciding.check(decision, finding, shrinks)? == Verdict::SingleHanded;
            single_handed |= alone;
            let line = (asked.status, reason(asked), alone);
            insert_status(&mut change, &asked.finding, line).await?;
            let about = (card, asked.finding.as_str());
            settle(&mut change.tx, actor, about, (true, None), now).await?;
        }
        for corrected in superseded_by(findings, &to) {
            let line = (Status::Superseded, None, single_handed);
            insert_status(&mut change, &corrected, line).await?;
        }
        let detail = changes
            .iter()
            .map(|c| json!({"finding": c.finding, "status": c.status.word(), "reason": c.reason}))
            .collect::<Vec<_>>();
        let (summary, action) = in_words(changes);
        change
            .finish(&summary, &action, json!({"changes": detail}))
            .await
            .map(Some)
    }

    /// An officer's word that a bare finding stands although a component overlaps
    /// it; `None` takes it back.
    ///
    /// # Errors
    /// [`StoreError::Waits`] where somebody else has to decide, or what keeps it
    /// from being done.
    pub async fn set_resolved(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Option<Revision>,
        finding: &str,
        resolved: Option<&Resolved>,
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, expected, now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        let about = find(&before.card.findings, finding)?;
        if !is_bare(about) {
            return Err(StoreError::NotBare {
                finding: finding.to_owned(),
            });
        }
        let decision = match resolved {
            Some(_) => Decision::Resolve,
            None => Decision::TakeBack,
        };
        // Bare metal never takes from a no-cut.
        Deciding::read(&mut change.tx, actor, card)
            .await?
            .check(decision, about, false)?;
        insert_resolution(&mut change, finding, resolved).await?;
        let (summary, action) = match resolved {
            Some(_) => (format!("finding {finding} resolved"), "finding-resolved"),
            None => (
                format!("resolution of finding {finding} taken back"),
                "resolution-taken-back",
            ),
        };
        let detail = json!({"finding": finding, "by": resolved.map(|r| r.by.as_str())});
        change.finish(&summary, action, detail).await.map(Some)
    }

    /// Where each finding of a card stood, line by line; `None` where there is no
    /// such card to read.
    pub async fn status_log(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<Vec<StatusEntry>>, StoreError> {
        if self.card_revision(department, card).await?.is_none() {
            return Ok(None);
        }
        let rows: Vec<StatusRow> = sqlx::query_as(
            "SELECT s.finding_id, s.revision, s.status, s.reason, s.at, s.member_id, s.member_name,
                    s.single_handed
             FROM finding_status s
             JOIN findings f ON f.card_id = s.card_id AND f.id = s.finding_id
             WHERE (s.department_id = $1 OR s.card_id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND s.card_id = $2
             ORDER BY s.revision, f.revision, f.position",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_all(self.database.readers())
        .await?;
        let entries: Result<_, _> = rows.into_iter().map(StatusRow::check).collect();
        entries.map(Some)
    }
}

fn reason(asked: &StatusChange) -> Option<&str> {
    let reason = asked.reason.as_deref().map(str::trim);
    reason.filter(|reason| !reason.is_empty())
}

/// What is decided by a change that is possible.
fn check_change(finding: &Finding, asked: &StatusChange) -> Result<Decision, StoreError> {
    let decision = Decision::to(asked.status).filter(|decision| match finding.status {
        Status::Offered => true,
        Status::Accepted => *decision == Decision::Withdraw,
        Status::Declined | Status::Superseded | Status::Withdrawn => false,
    });
    let Some(decision) = decision else {
        return Err(StoreError::StatusFixed {
            finding: finding.id.clone(),
            from: finding.status,
            to: asked.status,
        });
    };
    if decision != Decision::Accept && reason(asked).is_none() {
        return Err(StoreError::ReasonMissing {
            finding: finding.id.clone(),
            to: asked.status,
        });
    }
    Ok(decision)
}

/// The revision's line and the audit's action.
fn in_words(changes: &[StatusChange]) -> (String, String) {
    let first = changes[0].status;
    match changes {
        [one] => (
            format!("finding {} {}", one.finding, one.status),
            format!("finding-{}", one.status),
        ),
        many if many.iter().all(|change| change.status == first) => (
            format!("{} findings {first}", many.len()),
            format!("findings-{first}"),
        ),
        many => (
            format!("status of {} findings changed", many.len()),
            "findings-changed".to_owned(),
        ),
    }
}

/// A line of where a finding stands: its status, the reason, and whether it was
/// decided single-handed.
pub(super) async fn insert_status(
    change: &mut Change<'_>,
    finding: &str,
    (status, reason, single_handed): (Status, Option<&str>, bool),
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO finding_status (department_id, card_id, finding_id, revision, status, reason,
             at, member_id, member_name, single_handed)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(finding)
    .bind(change.revision)
    .bind(status.word())
    .bind(reason)
    .bind(millis(change.now))
    .bind(change.actor.member.as_str())
    .bind(change.actor.member_name.as_str())
    .bind(i64::from(single_handed))
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(finding))?;
    Ok(())
}

pub(super) async fn insert_resolution(
    change: &mut Change<'_>,
    finding: &str,
    resolved: Option<&Resolved>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO finding_resolutions (department_id, card_id, finding_id, revision,
             resolved_by, resolved_on, at, member_id)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(finding)
    .bind(change.revision)
    .bind(resolved.map(|resolved| resolved.by.as_str()))
    .bind(resolved.map(|resolved| resolved.on.to_string()))
    .bind(millis(change.now))
    .bind(change.actor.member.as_str())
    .execute(&mut *change.tx)
    .await?;
    Ok(())
}

#[derive(Debug, sqlx::FromRow)]
struct StatusRow {
    finding_id: String,
    revision: i64,
    status: String,
    reason: Option<String>,
    at: i64,
    member_id: String,
    member_name: String,
    single_handed: i64,
}

impl StatusRow {
    fn check(self) -> Result<StatusEntry, StoreError> {
        let at = At {
            table: "finding_status",
            id: &self.finding_id,
        };
        Ok(StatusEntry {
            status: at.word("status", &self.status, Status::from_word)?,
            at: at.time("at", self.at)?,
            single_handed: self.single_handed != 0,
            revision: self.revision,
            reason: self.reason,
            member: MemberId::new(self.member_id),
            member_name: self.member_name,
            finding: self.finding_id,
        })
    }
}
