//! Mutual-aid partners: asked by one department, accepted by the other, ended by
//! either. Both audits say so.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::{Connection, Transaction};
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::guests::guest_in;
use serde_json::json;
use time::OffsetDateTime;

#[derive(Debug, sqlx::FromRow)]
struct PartnerRow {
    other_id: String,
    other_name: String,
    asked_by_us: i64,
    asked_at: i64,
    accepted_at: Option<i64>,
    due_at: Option<i64>,
}

impl PartnerRow {
    fn check(self) -> Result<Partnership, StoreError> {
        let at = At {
            table: "partnerships",
            id: &self.other_id,
        };
        let standing = match (self.accepted_at, self.asked_by_us) {
            (Some(_), _) => PartnerStanding::Partners,
            (None, 0) => PartnerStanding::AskedByThem,
            (None, _) => PartnerStanding::AskedByUs,
        };
        Ok(Partnership {
            since: at.time("asked_at", self.accepted_at.unwrap_or(self.asked_at))?,
            leaves_at: at.time_or_none("due_at", self.due_at)?,
            standing,
            other: Department {
                id: DepartmentId::new(self.other_id),
                name: self.other_name,
            },
        })
    }
}

const PARTNERSHIPS: &str = "SELECT d.id AS other_id, d.name AS other_name,
        CASE WHEN p.asker_id = $1 THEN 1 ELSE 0 END AS asked_by_us, p.asked_at, p.accepted_at,
        g.due_at
     FROM partnerships p
     JOIN departments d ON d.id = CASE WHEN p.asker_id = $1 THEN p.asked_id ELSE p.asker_id END
     LEFT JOIN departments_going g ON g.department_id = d.id
     WHERE $1 IN (p.asker_id, p.asked_id)";

impl Store {
    /// A department's partnerships, asked for and accepted, by name.
    pub async fn partnerships(
        &self,
        department: &DepartmentId,
    ) -> Result<Vec<Partnership>, StoreError> {
        let statement = format!("{PARTNERSHIPS} ORDER BY d.name");
        let rows: Vec<PartnerRow> = sqlx::query_as(sqlx::AssertSqlSafe(statement))
            .bind(department.as_str())
            .fetch_all(self.database.readers())
            .await?;
        rows.into_iter().map(PartnerRow::check).collect()
    }

    /// Whether two departments are partners.
    pub async fn are_partners(
        &self,
        one: &DepartmentId,
        other: &DepartmentId,
    ) -> Result<bool, StoreError> {
        let standing = between(&mut *self.database.read().await?, one, other).await?;
        Ok(standing == Some(PartnerStanding::Partners))
    }

    /// The other departments on this server, by name: those one may ask.
    pub async fn other_departments(
        &self,
        department: &DepartmentId,
    ) -> Result<Vec<Department>, StoreError> {
        let rows: Vec<(String, String)> =
            sqlx::query_as("SELECT id, name FROM departments WHERE id <> $1 ORDER BY name")
                .bind(department.as_str())
                .fetch_all(self.database.readers())
                .await?;
        Ok(rows.into_iter().map(Department::from).collect())
    }

    /// Asks another department to be a partner. Where they have asked already,
    /// that is accepted; asking again changes nothing. `None` where there is no
    /// such department.
    pub async fn ask_partner(
        &self,
        actor: &Actor,
        other: &DepartmentId,
        now: OffsetDateTime,
    ) -> Result<Option<PartnerStanding>, StoreError> {
        let mut tx = self.database.write().await?;
        if *other == actor.department || name_of(&mut tx, other).await?.is_none() {
            return Ok(None);
        }
        match between(&mut tx, &actor.department, other).await? {
            Some(PartnerStanding::AskedByThem) => {
                accept(self, tx, actor, other, now).await?;
                Ok(Some(PartnerStanding::Partners))
            }
            Some(standing) => Ok(Some(standing)),
            None => {
                sqlx::query(
                    "INSERT INTO partnerships (asker_id, asked_id, asked_by, asked_at)
                     VALUES ($1, $2, $3, $4)",
                )
                .bind(actor.department.as_str())
                .bind(other.as_str())
                .bind(actor.member.as_str())
                .bind(millis(now))
                .execute(&mut *tx)
                .await?;
                both_audits(self, &mut tx, actor, other, "partner-asked", now).await?;
                tx.commit().await?;
                Ok(Some(PartnerStanding::AskedByUs))
            }
        }
    }

    /// Accepts what another department asked. `None` where it did not ask, or no
    /// longer does.
    pub async fn accept_partner(
        &self,
        actor: &Actor,
        other: &DepartmentId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        match between(&mut tx, &actor.department, other).await? {
            Some(PartnerStanding::AskedByThem) => {
                accept(self, tx, actor, other, now).await?;
                Ok(Some(()))
            }
            Some(PartnerStanding::Partners) => Ok(Some(())),
            Some(PartnerStanding::AskedByUs) | None => Ok(None),
        }
    }

    /// Ends a partnership, declines one that was asked, or takes back one's own
    /// asking. What was offered stays offered. `None` where there is none.
    pub async fn end_partner(
        &self,
        actor: &Actor,
        other: &DepartmentId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let action = match between(&mut tx, &actor.department, other).await? {
            None => return Ok(None),
            Some(PartnerStanding::Partners) => "partner-ended",
            Some(PartnerStanding::AskedByThem) => "partner-declined",
            Some(PartnerStanding::AskedByUs) => "partner-taken-back",
        };
        both_audits(self, &mut tx, actor, other, action, now).await?;
        sqlx::query(
            "DELETE FROM partnerships
             WHERE (asker_id = $1 AND asked_id = $2) OR (asker_id = $2 AND asked_id = $1)",
        )
        .bind(actor.department.as_str())
        .bind(other.as_str())
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        Ok(Some(()))
    }
}

/// Accepts what the other asked, and with it ends the change.
async fn accept(
    store: &Store,
    mut tx: Transaction,
    actor: &Actor,
    other: &DepartmentId,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE partnerships SET accepted_by = $3, accepted_at = $4
         WHERE asker_id = $2 AND asked_id = $1 AND accepted_at IS NULL",
    )
    .bind(actor.department.as_str())
    .bind(other.as_str())
    .bind(actor.member.as_str())
    .bind(millis(now))
    .execute(&mut *tx)
    .await?;
    both_audits(store, &mut tx, actor, other, "partner-accepted", now).await?;
    Ok(tx.commit().await?)
}

/// Where two departments stand, seen from the first.
pub(super) async fn between(
    connection: &mut Connection,
    ours: &DepartmentId,
    other: &DepartmentId,
) -> Result<Option<PartnerStanding>, StoreError> {
    let statement = format!("{PARTNERSHIPS} AND d.id = $2");
    let row: Option<PartnerRow> = sqlx::query_as(sqlx::AssertSqlSafe(statement))
        .bind(ours.as_str())
        .bind(other.as_str())
        .fetch_optional(connection)
        .await?;
    let partnership = row.map(PartnerRow::check).transpose()?;
    Ok(partnership.map(|p| p.standing))
}

/// What a department is called; `None` where there is none.
pub(in crate::store) async fn name_of(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<Option<String>, StoreError> {
    let row: Option<(String,)> = sqlx::query_as("SELECT name FROM departments WHERE id = $1")
        .bind(department.as_str())
        .fetch_optional(connection)
        .await?;
    Ok(row.map(|(name,)| name))
}

/// A line in the audit of each of the two, naming the other.
async fn both_audits(
    store: &Store,
    tx: &mut Transaction,
    actor: &Actor,
    other: &DepartmentId,
    action: &str,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let guest = guest_in(store, tx, actor, other, now).await?;
    for (writer, named) in [(actor, other), (&guest, &actor.department)] {
        let name = name_of(tx, named).await?;
        let detail = json!({"department": named.as_str(), "name": name});
        Line::new(action, detail)
            .write(&store.database, tx, writer, None, now)
            .await?;
    }
    Ok(())
}
