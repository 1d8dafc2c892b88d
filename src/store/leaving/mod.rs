//! A department that is to be deleted: asked for by a keeper, done once its day
//! has come, called off by any keeper until then.

mod removal;

use super::Store;
use super::audit::Line;
use super::contract::*;
use super::database::Connection;
use super::error::StoreError;
use super::rows::{At, millis};
use serde_json::json;
use time::{Duration, OffsetDateTime};

/// How long a department that is to be deleted stays as it is: a keeper who was
/// away comes back to it, and partners can copy what they rely on. The database
/// takes no shorter time.
pub const COOLING_OFF: Duration = Duration::days(30);

/// A deletion that was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leaving {
    /// The keeper who asked.
    pub asked_by: String,
    pub asked_at: OffsetDateTime,
    pub due_at: OffsetDateTime,
}

/// What remains of a department that was deleted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gone {
    pub id: DepartmentId,
    pub name: String,
    pub asked_at: OffsetDateTime,
    pub removed_at: OffsetDateTime,
    pub members: i64,
    pub cards: i64,
    pub revisions: i64,
    pub findings: i64,
}

impl Store {
    /// Whether a department is to be deleted, and when.
    pub async fn leaving(&self, department: &DepartmentId) -> Result<Option<Leaving>, StoreError> {
        read(&mut *self.database.read().await?, department).await
    }

    /// Asks for the deletion of the actor's department; asked again, the first
    /// day stays.
    pub async fn ask_to_leave(
        &self,
        actor: &Actor,
        now: OffsetDateTime,
    ) -> Result<Leaving, StoreError> {
        let mut tx = self.database.write().await?;
        if let Some(asked) = read(&mut tx, &actor.department).await? {
            return Ok(asked);
        }
        let due_at = now + COOLING_OFF;
        sqlx::query(
            "INSERT INTO departments_going (department_id, asked_by, asked_at, due_at)
             VALUES ($1, $2, $3, $4)",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(millis(now))
        .bind(millis(due_at))
        .execute(&mut *tx)
        .await?;
        let detail = json!({"due": due_at.date().to_string()});
        Line::new("deletion-asked", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Leaving {
            asked_by: actor.member_name.clone(),
            asked_at: now,
            due_at,
        })
    }

    /// Calls the deletion of the actor's department off; `None` where none was
    /// asked for.
    pub async fn call_off_leaving(
        &self,
        actor: &Actor,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let done = sqlx::query("DELETE FROM departments_going WHERE department_id = $1")
            .bind(actor.department.as_str())
            .execute(&mut *tx)
            .await?;
        if done.rows_affected() == 0 {
            return Ok(None);
        }
        Line::new("deletion-called-off", json!({}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// The departments that were deleted here, the last one first.
    pub async fn gone(&self) -> Result<Vec<Gone>, StoreError> {
        let rows: Vec<GoneRow> = sqlx::query_as(
            "SELECT id, name, asked_at, removed_at, members, cards, revisions, findings
             FROM departments_gone ORDER BY removed_at DESC, id DESC",
        )
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(GoneRow::check).collect()
    }
}

async fn read(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<Option<Leaving>, StoreError> {
    let row: Option<(String, i64, i64)> = sqlx::query_as(
        "SELECT m.name, g.asked_at, g.due_at FROM departments_going g
         JOIN members m ON m.department_id = g.department_id AND m.id = g.asked_by
         WHERE g.department_id = $1",
    )
    .bind(department.as_str())
    .fetch_optional(connection)
    .await?;
    let at = At {
        table: "departments_going",
        id: department.as_str(),
    };
    row.map(|(asked_by, asked_at, due_at)| {
        Ok(Leaving {
            asked_by,
            asked_at: at.time("asked_at", asked_at)?,
            due_at: at.time("due_at", due_at)?,
        })
    })
    .transpose()
}

#[derive(Debug, sqlx::FromRow)]
struct GoneRow {
    id: String,
    name: String,
    asked_at: i64,
    removed_at: i64,
    members: i64,
    cards: i64,
    revisions: i64,
    findings: i64,
}

impl GoneRow {
    fn check(self) -> Result<Gone, StoreError> {
        let at = At {
            table: "departments_gone",
            id: &self.id,
        };
        Ok(Gone {
            asked_at: at.time("asked_at", self.asked_at)?,
            removed_at: at.time("removed_at", self.removed_at)?,
            id: DepartmentId::new(self.id.clone()),
            name: self.name,
            members: self.members,
            cards: self.cards,
            revisions: self.revisions,
            findings: self.findings,
        })
    }
}
