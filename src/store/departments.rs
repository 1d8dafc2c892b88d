//! Departments and their members.

use super::Store;
use super::accounts::{read_roles, write_roles};
use super::audit::Line;
use super::contract::*;
use super::database::Connection;
use super::error::{StoreError, or_taken};
use super::rows::millis;
use crate::domain::role::{Role, Roles};
use serde_json::json;
use time::OffsetDateTime;

/// What they are called until there are accounts.
const LOCAL_DEPARTMENT: &str = "Local department";
const LOCAL_MEMBER: &str = "Local member";

impl Store {
    /// The one member of the one department that serves while there are no
    /// accounts; made when missing.
    pub async fn ensure_local(&self, now: OffsetDateTime) -> Result<Actor, StoreError> {
        self.ensure_local_named(LOCAL_DEPARTMENT, LOCAL_MEMBER, now)
            .await
    }

    /// The same, under other names than the plain ones where they are made.
    pub async fn ensure_local_named(
        &self,
        department_name: &str,
        member_name: &str,
        now: OffsetDateTime,
    ) -> Result<Actor, StoreError> {
        if let Some(actor) = local(&mut *self.database.read().await?).await? {
            return Ok(actor);
        }
        let mut tx = self.database.write().await?;
        let actor = match local(&mut tx).await? {
            Some(actor) => actor,
            None => {
                let department = self.database.new_id(now);
                insert_department(&mut tx, &department, department_name, true, now).await?;
                let member = self.database.new_id(now);
                let one = (member.as_str(), member_name);
                let actor = insert_member(&mut tx, &department, one, Roles::all(), now).await?;
                sqlx::query("UPDATE members SET local = 1 WHERE id = $1")
                    .bind(actor.member.as_str())
                    .execute(&mut *tx)
                    .await?;
                actor
            }
        };
        tx.commit().await?;
        Ok(actor)
    }

    /// A new department; its name must be free.
    pub async fn create_department(
        &self,
        name: &str,
        now: OffsetDateTime,
    ) -> Result<Department, StoreError> {
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        insert_department(&mut tx, &id, name, false, now).await?;
        tx.commit().await?;
        Ok(Department {
            id: DepartmentId::new(id),
            name: name.to_owned(),
        })
    }

    /// A new member of a department, who records; `None` where there is no such
    /// department.
    pub async fn create_member(
        &self,
        department: &DepartmentId,
        name: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let roles = Roles::from_iter([Role::Member]);
        self.create_member_with(department, name, roles, now).await
    }

    /// A new member of a department with roles.
    pub async fn create_member_with(
        &self,
        department: &DepartmentId,
        name: &str,
        roles: Roles,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let mut tx = self.database.write().await?;
        let found: Option<(String,)> = sqlx::query_as("SELECT id FROM departments WHERE id = $1")
            .bind(department.as_str())
            .fetch_optional(&mut *tx)
            .await?;
        if found.is_none() {
            return Ok(None);
        }
        let id = self.database.new_id(now);
        let actor = insert_member(&mut tx, department.as_str(), (&id, name), roles, now).await?;
        let detail = json!({"member": id, "roles": actor.roles.to_string()});
        Line::new("member-added", detail)
            .write(&self.database, &mut tx, &actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(actor))
    }

    /// The departments whose cards a department can read: its own first, then
    /// by name.
    pub async fn departments(&self, reader: &DepartmentId) -> Result<Vec<Department>, StoreError> {
        let rows: Vec<(String, String)> = sqlx::query_as(
            "SELECT d.id, d.name FROM departments d
             WHERE d.id = $1
                OR d.id IN (SELECT c.department_id FROM cards c
                             JOIN readable_cards r ON r.card_id = c.id WHERE r.reader_id = $1)
             ORDER BY CASE WHEN d.id = $1 THEN 0 ELSE 1 END, d.name",
        )
        .bind(reader.as_str())
        .fetch_all(self.database.readers())
        .await?;
        Ok(rows.into_iter().map(Department::from).collect())
    }
}

async fn local(connection: &mut Connection) -> Result<Option<Actor>, StoreError> {
    let row: Option<(String, String, String)> = sqlx::query_as(
        "SELECT m.department_id, m.id, m.name FROM members m
         JOIN departments d ON d.id = m.department_id
         WHERE d.local = 1 AND m.local = 1",
    )
    .fetch_optional(&mut *connection)
    .await?;
    let Some((department, member, member_name)) = row else {
        return Ok(None);
    };
    Ok(Some(Actor {
        department: DepartmentId::new(department),
        roles: read_roles(connection, &member).await?,
        member: MemberId::new(member),
        member_name,
    }))
}

pub(super) async fn insert_department(
    connection: &mut Connection,
    id: &str,
    name: &str,
    local: bool,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO departments (id, name, local, created_at) VALUES ($1, $2, $3, $4)")
        .bind(id)
        .bind(name)
        .bind(i64::from(local))
        .bind(millis(now))
        .execute(connection)
        .await
        .map_err(or_taken(name))?;
    Ok(())
}

pub(super) async fn insert_member(
    connection: &mut Connection,
    department: &str,
    (id, name): (&str, &str),
    roles: Roles,
    now: OffsetDateTime,
) -> Result<Actor, StoreError> {
    sqlx::query(
        "INSERT INTO members (department_id, id, name, local, created_at)
         VALUES ($1, $2, $3, 0, $4)",
    )
    .bind(department)
    .bind(id)
    .bind(name)
    .bind(millis(now))
    .execute(&mut *connection)
    .await?;
    let actor = Actor {
        department: DepartmentId::new(department),
        member: MemberId::new(id),
        member_name: name.to_owned(),
        roles,
    };
    write_roles(connection, &actor).await?;
    Ok(actor)
}
