//! The roles of members.

use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::At;
use crate::domain::role::{Role, Roles};

/// The roles a member has now; none for one who left.
pub(in super::super) async fn read_roles(
    connection: &mut Connection,
    member: &str,
) -> Result<Roles, StoreError> {
    let rows: Vec<(String,)> = sqlx::query_as(
        "SELECT r.role FROM member_roles r
         JOIN members m ON m.id = r.member_id AND m.left_at IS NULL
         WHERE r.member_id = $1",
    )
    .bind(member)
    .fetch_all(connection)
    .await?;
    let at = At {
        table: "member_roles",
        id: member,
    };
    rows.into_iter()
        .map(|(word,)| at.word("role", &word, Role::from_word))
        .collect()
}

/// Gives a member these roles and no others.
pub(in super::super) async fn write_roles(
    connection: &mut Connection,
    actor: &Actor,
) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM member_roles WHERE department_id = $1 AND member_id = $2")
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .execute(&mut *connection)
        .await?;
    for role in actor.roles.iter() {
        sqlx::query(
            "INSERT INTO member_roles (department_id, member_id, role) VALUES ($1, $2, $3)",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(role.word())
        .execute(&mut *connection)
        .await?;
    }
    Ok(())
}
