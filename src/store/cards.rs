//! Cards: made, read, listed, and their details changed.

use super::Store;
use super::annotations::{insert_brought, read_annotations};
use super::archives::{CardOrigin, insert_origin};
use super::change::Change;
use super::contract::*;
use super::database::Connection;
use super::error::StoreError;
use super::findings::{Numbering, insert_finding, read_findings};
use super::policies::read_policy_body;
use super::reviews::read_review;
use super::rows::{
    AllDetails, At, DetailsRow, MeasuredJson, PowerOffJson, VehicleRow, json_text, millis,
};
use crate::domain::card::Card;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use time::OffsetDateTime;

impl Store {
    /// A new card at revision 1, with no findings.
    pub async fn create_card(
        &self,
        actor: &Actor,
        details: &CardDetails,
        now: OffsetDateTime,
    ) -> Result<StoredCard, StoreError> {
        let all = AllDetails {
            details: details.clone(),
            reviews: Vec::new(),
        };
        let mut change = Change::new_card(self, actor, now).await?;
        insert_details(&mut change, &all).await?;
        change.finish("card made", "card-created", json!({})).await
    }

    /// A new card with everything a card file holds but its policy: a stored
    /// card is always under its own department's. Findings keep their ids and
    /// their status; whoever imports decides those beforehand. Photos of notes
    /// stay behind: a name in a file alone opens nothing.
    pub async fn import_card(
        &self,
        actor: &Actor,
        card: Card,
        now: OffsetDateTime,
    ) -> Result<StoredCard, StoreError> {
        self.import_card_with(actor, card, &BTreeSet::new(), now)
            .await
    }

    /// The same, with those photos of its notes whose bytes were `brought` along
    /// and are kept already, under names drawn here.
    pub async fn import_card_with(
        &self,
        actor: &Actor,
        card: Card,
        brought: &BTreeSet<String>,
        now: OffsetDateTime,
    ) -> Result<StoredCard, StoreError> {
        self.import_card_from(actor, card, brought, None, now).await
    }

    /// The same, with the card of another book that it was made from.
    pub(super) async fn import_card_from(
        &self,
        actor: &Actor,
        card: Card,
        brought: &BTreeSet<String>,
        origin: Option<&CardOrigin>,
        now: OffsetDateTime,
    ) -> Result<StoredCard, StoreError> {
        let mut change = Change::new_card(self, actor, now).await?;
        let all = AllDetails {
            details: CardDetails::from(&card),
            reviews: card.reviews,
        };
        insert_details(&mut change, &all).await?;
        insert_origin(&mut change, origin).await?;
        let mut numbering = Numbering::of(&[]);
        for (position, finding) in card.findings.into_iter().enumerate() {
            let finding = numbering.fill_in(finding);
            insert_finding(&mut change, position, &finding).await?;
        }
        insert_brought(&mut change, &card.annotations, brought).await?;
        let summary = match change.added {
            0 => "card imported".to_owned(),
            1 => "card imported with 1 finding".to_owned(),
            n => format!("card imported with {n} findings"),
        };
        let detail = json!({"findings": change.added});
        change.finish(&summary, "card-imported", detail).await
    }

    /// A card the department owns or may read, as it is now.
    pub async fn card(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<StoredCard>, StoreError> {
        let mut tx = self.database.read().await?;
        read_card(&mut tx, department, card, None, self.now()).await
    }

    /// The card as it was at a revision, under the policy of that time.
    pub async fn card_at(
        &self,
        department: &DepartmentId,
        card: &CardId,
        revision: Revision,
    ) -> Result<Option<StoredCard>, StoreError> {
        let mut tx = self.database.read().await?;
        read_card(&mut tx, department, card, Some(revision), self.now()).await
    }

    /// The revision a card is at now: one row is read, nothing else.
    pub async fn card_revision(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<Revision>, StoreError> {
        let row: Option<(i64,)> = sqlx::query_as(
            "SELECT c.revision FROM cards c
             WHERE (c.department_id = $1 OR c.id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND c.id = $2",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        Ok(row.map(|(revision,)| revision))
    }

    /// Cards the department owns or may read, by id, so in the order they were
    /// made: a page begins after the last id of the one before, and no change in
    /// between repeats a card or leaves one out.
    pub async fn list_cards(
        &self,
        department: &DepartmentId,
        after: Option<&CardId>,
        limit: u32,
    ) -> Result<Vec<CardSummary>, StoreError> {
        let rows: Vec<SummaryRow> = sqlx::query_as(
            "SELECT c.department_id, d.name AS department_name, c.id, c.revision, c.updated_at,
                    c.finding_count, t.make, t.model, t.first_year, t.last_year, t.body_style,
                    t.drive, t.wheel, t.roof, t.region, t.hold_time_s
             FROM cards c
             JOIN departments d ON d.id = c.department_id
             JOIN card_details t ON t.department_id = c.department_id AND t.card_id = c.id
                                AND t.revision = c.details_revision
             WHERE (c.department_id = $1 OR c.id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND (CAST($2 AS TEXT) IS NULL OR c.id > $2)
             ORDER BY c.id LIMIT $3",
        )
        .bind(department.as_str())
        .bind(after.map(CardId::as_str))
        .bind(i64::from(limit))
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(SummaryRow::check).collect()
    }

    /// Every card the department owns or may read, newest change first.
    pub async fn all_summaries(
        &self,
        department: &DepartmentId,
    ) -> Result<Vec<CardSummary>, StoreError> {
        let rows: Vec<SummaryRow> = sqlx::query_as(
            "SELECT c.department_id, d.name AS department_name, c.id, c.revision, c.updated_at,
                    c.finding_count, t.make, t.model, t.first_year, t.last_year, t.body_style,
                    t.drive, t.wheel, t.roof, t.region, t.hold_time_s
             FROM cards c
             JOIN departments d ON d.id = c.department_id
             JOIN card_details t ON t.department_id = c.department_id AND t.card_id = c.id
                                AND t.revision = c.details_revision
             WHERE (c.department_id = $1 OR c.id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
             ORDER BY c.updated_at DESC, c.id DESC",
        )
        .bind(department.as_str())
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(SummaryRow::check).collect()
    }

    /// Replaces the details of a card that is still at `expected`. The same
    /// details again change nothing and make no revision.
    pub async fn update_details(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Revision,
        details: &CardDetails,
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = Change::begin(self, actor, card, Some(expected), now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        if CardDetails::from(&before.card) == *details {
            return Ok(Some(before));
        }
        let all = AllDetails {
            details: details.clone(),
            reviews: before.card.reviews.clone(),
        };
        insert_details(&mut change, &all).await?;
        let parts = changed_parts(&CardDetails::from(&before.card), details);
        let summary = format!("{} changed", parts.join(", "));
        change
            .finish(&summary, "details-changed", json!({"parts": parts}))
            .await
            .map(Some)
    }
}

/// Which parts of the details differ, in words.
fn changed_parts(before: &CardDetails, after: &CardDetails) -> Vec<&'static str> {
    [
        ("vehicle", before.vehicle != after.vehicle),
        ("measurements", before.measured != after.measured),
        ("identification", before.identify != after.identify),
        ("power off", before.power_off != after.power_off),
        ("glass", before.glass != after.glass),
    ]
    .into_iter()
    .filter_map(|(part, differs)| differs.then_some(part))
    .collect()
}

#[derive(Debug, sqlx::FromRow)]
struct SummaryRow {
    department_id: String,
    department_name: String,
    id: String,
    revision: i64,
    updated_at: i64,
    finding_count: i64,
    #[sqlx(flatten)]
    vehicle: VehicleRow,
}

impl SummaryRow {
    fn check(self) -> Result<CardSummary, StoreError> {
        let at = At {
            table: "cards",
            id: &self.id,
        };
        let in_details = At {
            table: "card_details",
            id: &self.id,
        };
        Ok(CardSummary {
            updated_at: at.time("updated_at", self.updated_at)?,
            vehicle: self.vehicle.check(in_details)?,
            department: DepartmentId::new(self.department_id),
            department_name: self.department_name,
            revision: self.revision,
            finding_count: self.finding_count,
            id: CardId::new(self.id),
        })
    }
}

#[derive(Debug, sqlx::FromRow)]
struct CardRow {
    department_id: String,
    department_name: String,
    revision: i64,
    newest: i64,
    created_at: i64,
    updated_at: i64,
    policy_version: i64,
    policy: Option<String>,
    #[sqlx(flatten)]
    details: DetailsRow,
}

/// A card the reader owns or may read, at a revision or as it is `now`; an older
/// revision as it was then, its review too. To be called within a transaction, so
/// that all of it is of one moment.
pub(super) async fn read_card(
    connection: &mut Connection,
    reader: &DepartmentId,
    card: &CardId,
    revision: Option<Revision>,
    now: OffsetDateTime,
) -> Result<Option<StoredCard>, StoreError> {
    let row: Option<CardRow> = sqlx::query_as(
        "SELECT c.department_id, d.name AS department_name, v.revision, c.created_at,
                c.revision AS newest, v.at AS updated_at, v.policy_version, p.body AS policy,
                t.make, t.model, t.first_year, t.last_year, t.body_style, t.drive, t.wheel, t.roof,
                t.region, t.hold_time_s, t.measured, t.identify, t.power_off, t.glass,
                t.reviews
         FROM cards c
         JOIN departments d ON d.id = c.department_id
         JOIN card_revisions v ON v.department_id = c.department_id AND v.card_id = c.id
                              AND v.revision = COALESCE(CAST($3 AS BIGINT), c.revision)
         JOIN card_details t ON t.department_id = c.department_id AND t.card_id = c.id
                            AND t.revision = v.details_revision
         LEFT JOIN policies p ON p.department_id = c.department_id AND p.version = v.policy_version
         WHERE (c.department_id = $1 OR c.id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
           AND c.id = $2",
    )
    .bind(reader.as_str())
    .bind(card.as_str())
    .bind(revision)
    .fetch_optional(&mut *connection)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let at = At {
        table: "cards",
        id: card.as_str(),
    };
    let owner = DepartmentId::new(row.department_id);
    let AllDetails { details, reviews } = row.details.check(card.as_str())?;
    let updated_at = at.time("updated_at", row.updated_at)?;
    let mut read = Card {
        policy: read_policy_body(&owner, row.policy_version, row.policy.as_deref())?,
        findings: read_findings(connection, &owner, card, row.revision).await?,
        vehicle: details.vehicle,
        measured: details.measured,
        identify: details.identify,
        power_off: details.power_off,
        glass: details.glass,
        annotations: read_annotations(connection, &owner, card, row.revision).await?,
        reviews,
        review_overdue: false,
    };
    let review = read_review(connection, &owner, card, row.revision, &read).await?;
    let as_of = match row.revision == row.newest {
        true => now,
        false => updated_at,
    };
    read.review_overdue = review.is_overdue(as_of);
    Ok(Some(StoredCard {
        id: card.clone(),
        revision: row.revision,
        created_at: at.time("created_at", row.created_at)?,
        updated_at,
        card: read,
        review,
        department: owner,
        department_name: row.department_name,
    }))
}

pub(super) async fn insert_details(
    change: &mut Change<'_>,
    all: &AllDetails,
) -> Result<(), StoreError> {
    let CardDetails {
        vehicle,
        measured,
        identify,
        power_off,
        glass,
    } = &all.details;
    let power_off: Vec<PowerOffJson> = power_off.iter().map(PowerOffJson::from).collect();
    change.details_revision = change.revision;
    sqlx::query(
        "INSERT INTO card_details (department_id, card_id, revision, make, model, first_year,
             last_year, body_style, drive, wheel, roof, region, hold_time_s, measured, identify,
             power_off, glass, annotations, reviews)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, '[]', $18)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(change.revision)
    .bind(vehicle.make.as_deref())
    .bind(vehicle.model.as_deref())
    .bind(vehicle.years.map(|years| i64::from(years.first)))
    .bind(vehicle.years.map(|years| i64::from(years.last)))
    .bind(vehicle.body_style.word())
    .bind(vehicle.drive.map(|drive| drive.word()))
    .bind(vehicle.wheel.map(|wheel| wheel.word()))
    .bind(vehicle.roof.map(|roof| roof.word()))
    .bind(vehicle.region.as_deref())
    .bind(vehicle.hold_time_s.map(i64::from))
    .bind(json_text(&MeasuredJson::from(measured)))
    .bind(identify.as_deref())
    .bind(json_text(&power_off))
    .bind(json_text(glass))
    .bind(Value::from(all.reviews.clone()).to_string())
    .execute(&mut *change.tx)
    .await?;
    Ok(())
}

/// The row that says where a card stands; made before anything points to it.
pub(super) async fn insert_card(
    connection: &mut Connection,
    department: &DepartmentId,
    card: &CardId,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO cards (department_id, id, revision, details_revision, finding_count,
             created_at, updated_at)
         VALUES ($1, $2, 1, 1, 0, $3, $3)",
    )
    .bind(department.as_str())
    .bind(card.as_str())
    .bind(millis(now))
    .execute(connection)
    .await?;
    Ok(())
}
