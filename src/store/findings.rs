//! Findings: added, corrected, read. None is ever edited; where one stands is in
//! `statuses`.

use super::Store;
use super::change::Change;
use super::contract::*;
use super::database::Connection;
use super::deciding::Deciding;
use super::error::{StoreError, or_taken};
use super::finding_row::{FindingRow, NewFindingRow};
use super::rows::millis;
use super::statuses::{insert_resolution, insert_status};
use crate::contract::card_file::MOST_FINDINGS;
use crate::domain::card::Card;
use crate::domain::decision::{corrects_at_once, is_bare, shrinks, with_statuses};
use crate::domain::finding::{Finding, Report, Status};
use crate::domain::numbers::FreeNumbers;
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use serde_json::json;

impl Store {
    /// Adds findings to the actor's own card, all of them or none. Without an
    /// `expected` revision two members may add at once and both succeed.
    ///
    /// A blank `id` is given the card's next free number (`f1`, `f2` …), and so
    /// is a blank `component` (`c1`, `c2` …): "a component of its own".
    pub async fn add_findings(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Option<Revision>,
        findings: &[Finding],
        now: time::OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, expected, now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        if findings.is_empty() {
            return Ok(Some(before));
        }
        let ids = insert_all(&mut change, &before.card, findings).await?;
        let summary = format!("{} added", counted(ids.len()));
        change
            .finish(&summary, "findings-added", json!({"findings": ids}))
            .await
            .map(Some)
    }

    /// Adds a finding in the place of an older one. The older is superseded at
    /// once where the new one is accepted; where it is only offered, when it is
    /// accepted: an offer never shrinks a zone. What would take a `no-cut` away is
    /// offered, until an officer accepts it who did not write it.
    pub async fn correct_finding(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Option<Revision>,
        old: &str,
        new: Finding,
        now: time::OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, expected, now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        let older = correctable(&before.card.findings, old, &new)?;
        let mut new = Numbering::of(&before.card.findings).fill_in(new);
        new.supersedes = Some(old.to_owned());
        check_room(&before.card, std::slice::from_ref(&new))?;
        let mut single_handed = false;
        if new.status == Status::Accepted {
            let shrinks = shrinks(&before.card, &corrected(&before.card, old, &new));
            let deciding = Deciding::read(&mut change.tx, actor, card).await?;
            if !corrects_at_once(shrinks, deciding.decider()) {
                new.status = Status::Offered;
            }
            single_handed = shrinks && new.status == Status::Accepted;
        }
        insert_finding(&mut change, 0, &new).await?;
        // An unconfirmed bare finding has no effect that could be lost.
        let no_effect = is_bare(older) && older.status == Status::Offered;
        if new.status == Status::Accepted || no_effect {
            let line = (Status::Superseded, None, single_handed);
            insert_status(&mut change, old, line).await?;
        }
        let summary = format!("finding {old} corrected by {}", new.id);
        let detail = json!({"finding": old, "by": new.id, "status": new.status.word()});
        change
            .finish(&summary, "finding-corrected", detail)
            .await
            .map(Some)
    }
}

/// "1 finding", "5 findings".
pub(super) fn counted(findings: usize) -> String {
    match findings {
        1 => "1 finding".to_owned(),
        n => format!("{n} findings"),
    }
}

/// Writes findings with the card's next free numbers where they have none; their
/// ids.
pub(super) async fn insert_all(
    change: &mut Change<'_>,
    card: &Card,
    findings: &[Finding],
) -> Result<Vec<String>, StoreError> {
    let mut numbering = Numbering::of(&card.findings);
    let numbered = findings.iter().cloned().map(|f| numbering.fill_in(f));
    let numbered: Vec<Finding> = numbered.collect();
    check_room(card, &numbered)?;
    let mut ids = Vec::new();
    for (position, finding) in numbered.into_iter().enumerate() {
        insert_finding(change, position, &finding).await?;
        ids.push(finding.id);
    }
    Ok(ids)
}

/// Whether the card can hold the findings: their number, and their places on its
/// body. One that is off the body would leave the whole card without zones.
fn check_room(card: &Card, findings: &[Finding]) -> Result<(), StoreError> {
    if card.findings.len() + findings.len() > MOST_FINDINGS {
        return Err(StoreError::TooMany {
            what: "findings on one card",
            most: MOST_FINDINGS,
        });
    }
    let mut after = card.clone();
    after.findings.extend_from_slice(findings);
    let own = Variant::default();
    match zones(&after, &own) {
        // A card that had no zones before is not made worse.
        Err(error) if zones(card, &own).is_ok() => Err(StoreError::Misplaced(error)),
        _ => Ok(()),
    }
}

/// The older finding, where a new one may correct it.
pub(super) fn correctable<'a>(
    findings: &'a [Finding],
    old: &str,
    new: &Finding,
) -> Result<&'a Finding, StoreError> {
    let older = find(findings, old)?;
    if !older.acts() {
        return Err(StoreError::StatusFixed {
            finding: old.to_owned(),
            from: older.status,
            to: Status::Superseded,
        });
    }
    if is_bare(older) != is_bare(new) {
        return Err(StoreError::UnlikeCorrection {
            finding: old.to_owned(),
        });
    }
    Ok(older)
}

/// The card with a finding in the place of an older one.
fn corrected(card: &Card, old: &str, new: &Finding) -> Card {
    let mut card = with_statuses(card, &[(old, Status::Superseded)]);
    card.findings.push(new.clone());
    card
}

/// The finding of that id.
pub(super) fn find<'a>(findings: &'a [Finding], id: &str) -> Result<&'a Finding, StoreError> {
    findings
        .iter()
        .find(|finding| finding.id == id)
        .ok_or_else(|| StoreError::NoSuchFinding { id: id.to_owned() })
}

/// Gives out a card's free numbers.
#[derive(Debug)]
pub(super) struct Numbering {
    finding: FreeNumbers,
    component: FreeNumbers,
}

impl Numbering {
    pub(super) fn of(findings: &[Finding]) -> Self {
        let mut numbering = Self {
            finding: FreeNumbers::of('f'),
            component: FreeNumbers::of('c'),
        };
        findings.iter().for_each(|finding| numbering.note(finding));
        numbering
    }

    /// The finding with its blank ids filled in.
    pub(super) fn fill_in(&mut self, mut finding: Finding) -> Finding {
        if finding.id.is_empty() {
            finding.id = self.finding.next_id();
        }
        if let Report::Component(report) = &mut finding.report
            && report.component.is_empty()
        {
            report.component = self.component.next_id();
        }
        self.note(&finding);
        finding
    }

    fn note(&mut self, finding: &Finding) {
        self.finding.take(&finding.id);
        if let Report::Component(report) = &finding.report {
            self.component.take(&report.component);
        }
    }
}

/// Every finding that was on the card at a revision, in the order they came,
/// each as it stood then.
pub(super) async fn read_findings(
    connection: &mut Connection,
    owner: &DepartmentId,
    card: &CardId,
    revision: Revision,
) -> Result<Vec<Finding>, StoreError> {
    let rows: Vec<FindingRow> = sqlx::query_as(
        "SELECT f.id, f.report, f.component, f.kind, f.depth, f.span, f.from_mm, f.to_mm, f.points,
                f.source, f.observed_on, f.car, f.supersedes, f.rest, s.status, s.reason,
                o.resolved_by, o.resolved_on
         FROM findings f
         JOIN finding_status s ON s.card_id = f.card_id AND s.finding_id = f.id
          AND s.revision = (SELECT MAX(l.revision) FROM finding_status l
                            WHERE l.card_id = f.card_id AND l.finding_id = f.id AND l.revision <= $3)
         LEFT JOIN finding_resolutions o ON o.card_id = f.card_id AND o.finding_id = f.id
          AND o.revision = (SELECT MAX(l.revision) FROM finding_resolutions l
                            WHERE l.card_id = f.card_id AND l.finding_id = f.id AND l.revision <= $3)
         WHERE f.department_id = $1 AND f.card_id = $2 AND f.revision <= $3
         ORDER BY f.revision, f.position",
    )
    .bind(owner.as_str())
    .bind(card.as_str())
    .bind(revision)
    .fetch_all(connection)
    .await?;
    rows.into_iter().map(FindingRow::check).collect()
}

/// Writes a finding, and how it stands, under the change's revision.
pub(super) async fn insert_finding(
    change: &mut Change<'_>,
    position: usize,
    finding: &Finding,
) -> Result<(), StoreError> {
    let row = NewFindingRow::from(finding);
    let position = i64::try_from(position).expect("no list in memory is longer than 64 bits");
    sqlx::query(
        "INSERT INTO findings (department_id, card_id, id, revision, position, member_id,
             recorded_at, report, component, kind, depth, span, from_mm, to_mm, points, source,
             observed_on, car, supersedes, rest)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18,
             $19, $20)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(finding.id.as_str())
    .bind(change.revision)
    .bind(position)
    .bind(change.actor.member.as_str())
    .bind(millis(change.now))
    .bind(row.report)
    .bind(row.component)
    .bind(row.kind)
    .bind(row.depth)
    .bind(row.span)
    .bind(row.from_mm)
    .bind(row.to_mm)
    .bind(row.points)
    .bind(finding.source.word())
    .bind(finding.observed_on.to_string())
    .bind(finding.car.as_deref())
    .bind(finding.supersedes.as_deref())
    .bind(row.rest)
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(&finding.id))?;
    change.added += 1;
    let line = (finding.status, finding.reason.as_deref(), false);
    insert_status(change, &finding.id, line).await?;
    match &finding.report {
        Report::Bare(report) if report.resolved.is_some() => {
            insert_resolution(change, &finding.id, report.resolved.as_ref()).await
        }
        _ => Ok(()),
    }
}
