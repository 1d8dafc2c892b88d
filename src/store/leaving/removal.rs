//! Removing a department whose day has come: everything it owns, in one
//! transaction, or nothing.
//!
//! What stays is other departments': findings its members offered to their cards
//! keep the zones those cards have, and the name beside them, since who looked at
//! which car is part of what a finding says. Their audits keep the lines they have.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::{Connection, Transaction};
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::sharing::guest_in;
use super::Gone;
use crate::domain::role::Roles;
use serde_json::json;
use time::OffsetDateTime;

/// Rows of a table that carry their department in the usual column.
const OWN: &str = "department_id = $1";

/// Every table with something of a department in it, those that point to others
/// first, and which rows are its own. A guest of it elsewhere stays, at home
/// nowhere; a deletion that was asked for goes with its department.
const OWNED: [(&str, &str); 33] = [
    ("drafts", OWN),
    ("asked_changes", OWN),
    ("card_reviews", OWN),
    ("review_policies", OWN),
    ("waiting_archives", OWN),
    ("waiting_archive_parts", OWN),
    ("card_origins", OWN),
    ("share_links", OWN),
    ("card_visibility", OWN),
    ("photo_removals", OWN),
    ("photos", OWN),
    ("annotation_standing", OWN),
    ("annotations", OWN),
    ("finding_resolutions", OWN),
    ("finding_status", OWN),
    ("findings", OWN),
    ("card_details", OWN),
    ("card_revisions", OWN),
    ("audit", OWN),
    ("cards", OWN),
    ("policies", OWN),
    ("plan_settings", OWN),
    ("api_keys", OWN),
    ("once_links", OWN),
    ("sessions", OWN),
    ("passkeys", OWN),
    (
        "sign_in_failures",
        "EXISTS (SELECT 1 FROM credentials c
                  WHERE c.department_id = $1
                    AND (what = 'account ' || c.sign_in_name
                         OR substr(what, 1, length(c.sign_in_name) + 14)
                            = 'account ' || c.sign_in_name || ' from '))",
    ),
    ("credentials", OWN),
    ("member_roles", OWN),
    ("partnerships", "$1 IN (asker_id, asked_id)"),
    ("guests", OWN),
    ("members", OWN),
    ("departments", "id = $1"),
];

impl Store {
    /// Removes every department whose day has come by `now` and by the database's
    /// own clock, and says what remains of each.
    pub async fn remove_due(&self, now: OffsetDateTime) -> Result<Vec<Gone>, StoreError> {
        let due: Vec<(String,)> = sqlx::query_as(
            "SELECT d.department_id FROM departments_due d
             JOIN departments_going g ON g.department_id = d.department_id AND g.due_at <= $1
             ORDER BY d.department_id",
        )
        .bind(millis(now))
        .fetch_all(self.database.readers())
        .await?;
        let mut all = Vec::new();
        for (id,) in due {
            all.extend(self.remove_department(&DepartmentId::new(id), now).await?);
        }
        if !all.is_empty() {
            self.database.empty_log().await?;
        }
        Ok(all)
    }

    /// Removes one; `None` where it was called off at the last moment.
    async fn remove_department(
        &self,
        department: &DepartmentId,
        now: OffsetDateTime,
    ) -> Result<Option<Gone>, StoreError> {
        let mut tx = self.database.write().await?;
        let Some((gone, asker)) = look_over(&mut tx, department, now).await? else {
            return Ok(None);
        };
        self.tell_partners(&mut tx, &asker, &gone.name, now).await?;
        sqlx::query(
            "INSERT INTO photo_files_left (name) SELECT name FROM photos WHERE department_id = $1
             ON CONFLICT (name) DO UPDATE SET not_before = 0",
        )
        .bind(department.as_str())
        .execute(&mut *tx)
        .await?;
        for (table, whose) in OWNED {
            let statement = format!("DELETE FROM {table} WHERE {whose}");
            sqlx::query(sqlx::AssertSqlSafe(statement))
                .bind(department.as_str())
                .execute(&mut *tx)
                .await?;
        }
        keep(&mut tx, &gone).await?;
        tx.commit().await?;
        Ok(Some(gone))
    }

    /// Writes into each partner's audit that the partnership ended, by the name
    /// the keeper who asked has there.
    async fn tell_partners(
        &self,
        tx: &mut Transaction,
        asker: &Actor,
        name: &str,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let own = asker.department.as_str();
        let partners: Vec<(String,)> = sqlx::query_as(
            "SELECT CASE WHEN asker_id = $1 THEN asked_id ELSE asker_id END FROM partnerships
             WHERE $1 IN (asker_id, asked_id)",
        )
        .bind(own)
        .fetch_all(&mut **tx)
        .await?;
        for (partner,) in partners {
            let guest = guest_in(self, tx, asker, &DepartmentId::new(partner), now).await?;
            Line::new("partner-gone", json!({"department": own, "name": name}))
                .write(&self.database, tx, &guest, None, now)
                .await?;
        }
        Ok(())
    }
}

#[derive(Debug, sqlx::FromRow)]
struct LastLook {
    name: String,
    asked_by: String,
    asked_by_name: String,
    asked_at: i64,
    members: i64,
    cards: i64,
    revisions: i64,
    findings: i64,
}

/// What will remain, and who asked; `None` where its day has not come.
async fn look_over(
    connection: &mut Connection,
    department: &DepartmentId,
    now: OffsetDateTime,
) -> Result<Option<(Gone, Actor)>, StoreError> {
    let row: Option<LastLook> = sqlx::query_as(
        "SELECT d.name, g.asked_by, m.name AS asked_by_name, g.asked_at,
                (SELECT COUNT(*) FROM members x WHERE x.department_id = $1
                    AND NOT EXISTS (SELECT 1 FROM guests y WHERE y.member_id = x.id)
                    AND NOT EXISTS (SELECT 1 FROM api_keys k WHERE k.member_id = x.id)) AS members,
                (SELECT COUNT(*) FROM cards x WHERE x.department_id = $1) AS cards,
                (SELECT COUNT(*) FROM card_revisions x WHERE x.department_id = $1) AS revisions,
                (SELECT COUNT(*) FROM findings x WHERE x.department_id = $1) AS findings
         FROM departments_going g
         JOIN departments_due u ON u.department_id = g.department_id
         JOIN departments d ON d.id = g.department_id
         JOIN members m ON m.department_id = g.department_id AND m.id = g.asked_by
         WHERE g.department_id = $1 AND g.due_at <= $2",
    )
    .bind(department.as_str())
    .bind(millis(now))
    .fetch_optional(connection)
    .await?;
    let at = At {
        table: "departments_going",
        id: department.as_str(),
    };
    let Some(row) = row else { return Ok(None) };
    let asker = Actor {
        department: department.clone(),
        member: MemberId::new(row.asked_by),
        member_name: row.asked_by_name,
        roles: Roles::default(),
    };
    let gone = Gone {
        id: department.clone(),
        name: row.name,
        asked_at: at.time("asked_at", row.asked_at)?,
        removed_at: now,
        members: row.members,
        cards: row.cards,
        revisions: row.revisions,
        findings: row.findings,
    };
    Ok(Some((gone, asker)))
}

async fn keep(connection: &mut Connection, gone: &Gone) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO departments_gone (id, name, asked_at, removed_at, members, cards, revisions,
             findings)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(gone.id.as_str())
    .bind(&gone.name)
    .bind(millis(gone.asked_at))
    .bind(millis(gone.removed_at))
    .bind(gone.members)
    .bind(gone.cards)
    .bind(gone.revisions)
    .bind(gone.findings)
    .execute(connection)
    .await?;
    Ok(())
}
