//! Cards looked over by an officer, after how long that is due again, and what is
//! known of a card's reviews wherever it is read.

use super::Store;
use super::audit::Line;
use super::change::Change;
use super::contract::*;
use super::database::Connection;
use super::deciding::Deciding;
use super::error::StoreError;
use super::rows::{At, millis};
use crate::domain::card::Card;
use crate::domain::decision::{Verdict, review_verdict};
use crate::domain::review::{DEFAULT_DAYS, Review, Reviewed, disputes};
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use serde_json::json;
use time::{Duration, OffsetDateTime};

#[derive(Debug, sqlx::FromRow)]
struct ReviewRow {
    revision: i64,
    at: i64,
    member_name: String,
    single_handed: i64,
}

impl Store {
    /// Notes that an officer has looked the card over as it stands. It makes a
    /// revision, so that every page shows it. `None` where there is no such card.
    ///
    /// # Errors
    /// [`StoreError::ReviewWaits`] for an officer who wrote none of what came since
    /// the last review, [`StoreError::Conflict`], or the store failed.
    pub async fn review_card(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Revision,
        note: Option<&str>,
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, Some(expected), now).await? else {
            return Ok(None);
        };
        let verdict = verdict_in(&mut change.tx, actor, card).await?;
        if let Verdict::Waits(waits_for) = verdict {
            return Err(StoreError::ReviewWaits { waits_for });
        }
        let single_handed = verdict == Verdict::SingleHanded;
        sqlx::query(
            "INSERT INTO card_reviews (department_id, card_id, revision, single_handed, note,
                 member_id, member_name, at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(actor.department.as_str())
        .bind(card.as_str())
        .bind(change.revision)
        .bind(i64::from(single_handed))
        .bind(note)
        .bind(actor.member.as_str())
        .bind(actor.member_name.as_str())
        .bind(millis(now))
        .execute(&mut *change.tx)
        .await?;
        let summary = match single_handed {
            true => format!("reviewed single-handed, as of revision {expected}"),
            false => format!("reviewed, as of revision {expected}"),
        };
        let detail = json!({"single_handed": single_handed, "note": note});
        change
            .finish(&summary, "card-reviewed", detail)
            .await
            .map(Some)
    }

    /// Whether the actor may review a card of their department as it stands.
    pub async fn review_verdict(
        &self,
        actor: &Actor,
        card: &CardId,
    ) -> Result<Verdict, StoreError> {
        verdict_in(&mut *self.database.read().await?, actor, card).await
    }

    /// After how many days a department's reviews are due again.
    pub async fn review_days(&self, department: &DepartmentId) -> Result<u32, StoreError> {
        read_days(&mut *self.database.read().await?, department).await
    }

    /// Sets it; the same again changes nothing.
    pub async fn set_review_days(
        &self,
        actor: &Actor,
        days: u32,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        let before = read_days(&mut tx, &actor.department).await?;
        if before == days {
            return Ok(());
        }
        sqlx::query(
            "INSERT INTO review_policies (department_id, version, days, member_id, set_at)
             SELECT $1, COALESCE(MAX(version), 0) + 1, $2, $3, $4
               FROM review_policies WHERE department_id = $1",
        )
        .bind(actor.department.as_str())
        .bind(i64::from(days))
        .bind(actor.member.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        Line::new("review-days-set", json!({"before": before, "after": days}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(())
    }

    /// Whether the review of a card the department owns or may read is overdue by
    /// its days: what changes on a page without a revision. A dispute comes with
    /// one.
    pub async fn is_review_late(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<bool, StoreError> {
        let row: Option<(i64, Option<i64>)> = sqlx::query_as(
            "SELECT r.at, (SELECT p.days FROM review_policies p
                            WHERE p.department_id = r.department_id
                            ORDER BY p.version DESC LIMIT 1)
             FROM card_reviews r
             WHERE (r.department_id = $1 OR r.card_id IN
                    (SELECT v.card_id FROM readable_cards v WHERE v.reader_id = $1))
               AND r.card_id = $2
             ORDER BY r.revision DESC LIMIT 1",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        let Some((at, days)) = row else {
            return Ok(false);
        };
        let row_at = At {
            table: "card_reviews",
            id: card.as_str(),
        };
        let days = days.unwrap_or_else(|| i64::from(DEFAULT_DAYS));
        Ok(self.now() >= row_at.time("at", at)? + Duration::days(days))
    }
}

/// The reviews of a card up to a revision, and whether it is overdue at a moment.
pub(super) async fn read_review(
    connection: &mut Connection,
    owner: &DepartmentId,
    id: &CardId,
    revision: Revision,
    card: &Card,
) -> Result<Review, StoreError> {
    let row: Option<ReviewRow> = sqlx::query_as(
        "SELECT revision, at, member_name, single_handed FROM card_reviews
         WHERE department_id = $1 AND card_id = $2 AND revision <= $3
         ORDER BY revision DESC LIMIT 1",
    )
    .bind(owner.as_str())
    .bind(id.as_str())
    .bind(revision)
    .fetch_optional(&mut *connection)
    .await?;
    let days = read_days(connection, owner).await?;
    let Some(row) = row else {
        return Ok(Review {
            days,
            ..Review::default()
        });
    };
    let at = At {
        table: "card_reviews",
        id: id.as_str(),
    };
    let newer: Vec<(String,)> = sqlx::query_as(
        "SELECT DISTINCT finding_id FROM finding_status
         WHERE department_id = $1 AND card_id = $2 AND revision > $3 AND revision <= $4
           AND status = 'accepted'",
    )
    .bind(owner.as_str())
    .bind(id.as_str())
    .bind(row.revision)
    .bind(revision)
    .fetch_all(&mut *connection)
    .await?;
    let newer: Vec<String> = newer.into_iter().map(|(id,)| id).collect();
    let last = Reviewed {
        revision: row.revision,
        at: at.time("at", row.at)?,
        by: row.member_name,
        single_handed: row.single_handed != 0,
    };
    Ok(Review {
        last: Some(last),
        days,
        disputed: !newer.is_empty() && is_disputed(card, &newer),
    })
}

/// A card whose zones cannot be worked out is nobody's to vouch for.
fn is_disputed(card: &Card, newer: &[String]) -> bool {
    zones(card, &Variant::default()).map_or(true, |zones| disputes(&zones, &card.findings, newer))
}

async fn read_days(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<u32, StoreError> {
    let row: Option<(i64,)> = sqlx::query_as(
        "SELECT days FROM review_policies WHERE department_id = $1 ORDER BY version DESC LIMIT 1",
    )
    .bind(department.as_str())
    .fetch_optional(connection)
    .await?;
    let at = At {
        table: "review_policies",
        id: department.as_str(),
    };
    match row {
        None => Ok(DEFAULT_DAYS),
        Some((days,)) => u32::try_from(days).map_err(|_| at.corrupt("days")),
    }
}

/// Whether the actor wrote any of what came since the last review: a finding, by
/// themselves or by a program of theirs, or details.
async fn verdict_in(
    connection: &mut Connection,
    actor: &Actor,
    card: &CardId,
) -> Result<Verdict, StoreError> {
    let (wrote,): (i64,) = sqlx::query_as(
        "SELECT EXISTS (
             SELECT 1 FROM findings f
              WHERE f.department_id = $1 AND f.card_id = $2
                AND f.revision > COALESCE((SELECT MAX(r.revision) FROM card_reviews r
                                            WHERE r.card_id = $2), 0)
                AND (f.member_id = $3 OR EXISTS
                     (SELECT 1 FROM api_keys k
                       WHERE k.member_id = f.member_id AND k.made_by = $3)))
             OR EXISTS (
             SELECT 1 FROM card_details d
               JOIN card_revisions v ON v.card_id = d.card_id AND v.revision = d.revision
              WHERE d.department_id = $1 AND d.card_id = $2
                AND d.revision > COALESCE((SELECT MAX(r.revision) FROM card_reviews r
                                            WHERE r.card_id = $2), 0)
                AND (v.member_id = $3 OR EXISTS
                     (SELECT 1 FROM api_keys k
                       WHERE k.member_id = v.member_id AND k.made_by = $3)))",
    )
    .bind(actor.department.as_str())
    .bind(card.as_str())
    .bind(actor.member.as_str())
    .fetch_one(&mut *connection)
    .await?;
    let deciding = Deciding::read(connection, actor, card).await?;
    Ok(review_verdict(wrote != 0, deciding.decider()))
}
