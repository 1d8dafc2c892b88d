//! Sign-in names and hashed passwords.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::{StoreError, or_taken};
use super::super::rows::millis;
use super::read_roles;
use super::sessions::end_all;
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Who signs in under a name, with the hash to check the password against;
    /// `None` also for one who left.
    pub async fn credential(&self, sign_in_name: &str) -> Result<Option<Credential>, StoreError> {
        let mut tx = self.database.read().await?;
        let row: Option<(String, String, String, String)> = sqlx::query_as(
            "SELECT m.department_id, m.id, m.name, c.password_hash
             FROM credentials c JOIN members m ON m.id = c.member_id
             WHERE c.sign_in_name = $1 AND m.left_at IS NULL",
        )
        .bind(sign_in_name.to_lowercase())
        .fetch_optional(&mut *tx)
        .await?;
        let Some((department, member, member_name, password_hash)) = row else {
            return Ok(None);
        };
        let roles = read_roles(&mut tx, &member).await?;
        Ok(Some(Credential {
            actor: Actor {
                department: DepartmentId::new(department),
                member: MemberId::new(member),
                member_name,
                roles,
            },
            password_hash,
        }))
    }

    /// The name a member signs in under; `None` for one who has no password.
    pub async fn sign_in_name(&self, actor: &Actor) -> Result<Option<String>, StoreError> {
        let row: Option<(String,)> = sqlx::query_as(
            "SELECT sign_in_name FROM credentials WHERE department_id = $1 AND member_id = $2",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        Ok(row.map(|(name,)| name))
    }

    /// Gives a member a sign-in name and a password, or new ones. All sessions
    /// end but `kept`: whoever knew the old password is out.
    pub async fn set_credential(
        &self,
        actor: &Actor,
        new: &NewCredential,
        kept: Option<&SessionId>,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        write_credential(&mut tx, actor, new, now).await?;
        end_all(&mut tx, actor, kept, now).await?;
        Line::new("password-set", json!({"member": actor.member.as_str()}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(())
    }
}

/// Writes a credential within a larger change; the sign-in name must be free.
pub(super) async fn write_credential(
    connection: &mut Connection,
    actor: &Actor,
    new: &NewCredential,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let name = new.sign_in_name.to_lowercase();
    sqlx::query(
        "INSERT INTO credentials (department_id, member_id, sign_in_name, password_hash, changed_at)
         VALUES ($1, $2, $3, $4, $5)
         ON CONFLICT (member_id) DO UPDATE SET sign_in_name = $3, password_hash = $4,
             changed_at = $5",
    )
    .bind(actor.department.as_str())
    .bind(actor.member.as_str())
    .bind(&name)
    .bind(&new.password_hash)
    .bind(millis(now))
    .execute(connection)
    .await
    .map_err(or_taken(&name))?;
    Ok(())
}
