//! The people of a department, as its keepers see and change them.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::contract::MemberEntry;
use super::passkeys::end_passkeys;
use super::sessions::end_all;
use super::write_roles;
use crate::domain::role::{Role, Roles};
use serde_json::json;
use std::collections::BTreeMap;
use time::OffsetDateTime;

#[derive(Debug, sqlx::FromRow)]
struct MemberRow {
    id: String,
    name: String,
    sign_in_name: Option<String>,
    last_seen_at: Option<i64>,
    left_at: Option<i64>,
}

impl Store {
    /// Everybody in the actor's department, who left last; keys for programs and
    /// the names of partners' members are no people of it.
    pub async fn people(&self, actor: &Actor) -> Result<Vec<MemberEntry>, StoreError> {
        let mut tx = self.database.read().await?;
        let rows: Vec<MemberRow> = sqlx::query_as(
            "SELECT m.id, m.name, c.sign_in_name, m.left_at,
                    (SELECT MAX(s.last_seen_at) FROM sessions s WHERE s.member_id = m.id)
                        AS last_seen_at
             FROM members m LEFT JOIN credentials c ON c.member_id = m.id
             WHERE m.department_id = $1
               AND NOT EXISTS (SELECT 1 FROM api_keys k WHERE k.member_id = m.id)
               AND NOT EXISTS (SELECT 1 FROM guests g WHERE g.member_id = m.id)
             ORDER BY CASE WHEN m.left_at IS NULL THEN 0 ELSE 1 END, m.name, m.id",
        )
        .bind(actor.department.as_str())
        .fetch_all(&mut *tx)
        .await?;
        let mut roles = roles_of_all(&mut tx, &actor.department).await?;
        rows.into_iter()
            .map(|row| {
                let at = At {
                    table: "members",
                    id: &row.id,
                };
                Ok(MemberEntry {
                    last_seen_at: at.time_or_none("last_seen_at", row.last_seen_at)?,
                    left_at: at.time_or_none("left_at", row.left_at)?,
                    roles: roles.remove(&row.id).unwrap_or_default(),
                    id: MemberId::new(row.id.clone()),
                    name: row.name,
                    sign_in_name: row.sign_in_name,
                })
            })
            .collect()
    }

    /// Gives a member of the actor's department these roles and no others. `None`
    /// where there is no such member.
    ///
    /// # Errors
    /// [`StoreError::LastKeeper`], or the store failed.
    pub async fn change_roles(
        &self,
        actor: &Actor,
        member: &MemberId,
        roles: &Roles,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let Some(name) = name_of(&mut tx, actor, member).await? else {
            return Ok(None);
        };
        let changed = Actor {
            department: actor.department.clone(),
            member: member.clone(),
            member_name: name,
            roles: roles.clone(),
        };
        write_roles(&mut tx, &changed).await?;
        if !roles.has(Role::Keeper) {
            check_keeper_left(&mut tx, &changed).await?;
            revoke_made_by(&mut tx, &changed, now).await?;
        }
        let detail = json!({"member": member.as_str(), "roles": roles.to_string()});
        Line::new("roles-set", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// Lets a member of the actor's department in no more, or in again. What they
    /// recorded stays, with their name. `None` where there is no such member, or
    /// nothing to change.
    ///
    /// # Errors
    /// [`StoreError::LastKeeper`], or the store failed.
    pub async fn set_left(
        &self,
        actor: &Actor,
        member: &MemberId,
        left: bool,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let Some(name) = name_of(&mut tx, actor, member).await? else {
            return Ok(None);
        };
        let done = sqlx::query(
            "UPDATE members SET left_at = $3
             WHERE department_id = $1 AND id = $2
               AND (CASE WHEN left_at IS NULL THEN 0 ELSE 1 END) <> $4",
        )
        .bind(actor.department.as_str())
        .bind(member.as_str())
        .bind(left.then(|| millis(now)))
        .bind(i64::from(left))
        .execute(&mut *tx)
        .await?;
        if done.rows_affected() == 0 {
            return Ok(None);
        }
        let changed = Actor {
            department: actor.department.clone(),
            member: member.clone(),
            member_name: name,
            roles: Roles::default(),
        };
        if left {
            check_keeper_left(&mut tx, &changed).await?;
            end_what_lets_in(&mut tx, &changed, now).await?;
            end_passkeys(&self.database, &mut tx, (actor, member), now).await?;
        }
        let what = if left { "member-left" } else { "member-back" };
        Line::new(what, json!({"member": member.as_str()}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }
}

async fn roles_of_all(
    connection: &mut Connection,
    department: &DepartmentId,
) -> Result<BTreeMap<String, Roles>, StoreError> {
    let rows: Vec<(String, String)> =
        sqlx::query_as("SELECT member_id, role FROM member_roles WHERE department_id = $1")
            .bind(department.as_str())
            .fetch_all(connection)
            .await?;
    let mut all: BTreeMap<String, Vec<Role>> = BTreeMap::new();
    for (member, word) in rows {
        let at = At {
            table: "member_roles",
            id: &member,
        };
        let role = at.word("role", &word, Role::from_word)?;
        all.entry(member).or_default().push(role);
    }
    let together = |(member, roles): (String, Vec<Role>)| (member, roles.into_iter().collect());
    Ok(all.into_iter().map(together).collect())
}

/// What a person of the actor's department is called.
pub(super) async fn name_of(
    connection: &mut Connection,
    actor: &Actor,
    member: &MemberId,
) -> Result<Option<String>, StoreError> {
    let row: Option<(String,)> = sqlx::query_as(
        "SELECT name FROM members WHERE department_id = $1 AND id = $2
           AND NOT EXISTS (SELECT 1 FROM api_keys k WHERE k.member_id = members.id)
           AND NOT EXISTS (SELECT 1 FROM guests g WHERE g.member_id = members.id)",
    )
    .bind(actor.department.as_str())
    .bind(member.as_str())
    .fetch_optional(connection)
    .await?;
    Ok(row.map(|(name,)| name))
}

/// Looked at after a change, within it: a department keeps a keeper.
async fn check_keeper_left(connection: &mut Connection, changed: &Actor) -> Result<(), StoreError> {
    let (keepers,): (i64,) = sqlx::query_as(
        "SELECT COUNT(*) FROM members m
         JOIN member_roles r ON r.member_id = m.id AND r.role = 'keeper'
         JOIN credentials c ON c.member_id = m.id
         WHERE m.department_id = $1 AND m.left_at IS NULL",
    )
    .bind(changed.department.as_str())
    .fetch_one(connection)
    .await?;
    match keepers {
        0 => Err(StoreError::LastKeeper {
            name: changed.member_name.clone(),
        }),
        _ => Ok(()),
    }
}

/// The open links somebody made while they were a keeper.
async fn revoke_made_by(
    connection: &mut Connection,
    keeper: &Actor,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE once_links SET revoked_at = $3
         WHERE department_id = $1 AND made_by = $2 AND used_at IS NULL AND revoked_at IS NULL",
    )
    .bind(keeper.department.as_str())
    .bind(keeper.member.as_str())
    .bind(millis(now))
    .execute(connection)
    .await?;
    Ok(())
}

/// Sessions and links of somebody who left, and the keys they made: they know
/// them.
async fn end_what_lets_in(
    connection: &mut Connection,
    member: &Actor,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    revoke_made_by(connection, member, now).await?;
    end_all(connection, member, None, now).await?;
    for statement in [
        "UPDATE once_links SET revoked_at = $3
         WHERE department_id = $1 AND member_id = $2 AND used_at IS NULL AND revoked_at IS NULL",
        "UPDATE api_keys SET revoked_at = $3
         WHERE department_id = $1 AND made_by = $2 AND revoked_at IS NULL",
    ] {
        sqlx::query(statement)
            .bind(member.department.as_str())
            .bind(member.member.as_str())
            .bind(millis(now))
            .execute(&mut *connection)
            .await?;
    }
    Ok(())
}
