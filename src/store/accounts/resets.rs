//! A forgotten password: a link, made by a keeper, that sets a new one.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::millis;
use super::super::secret::hashed;
use super::contract::*;
use super::credentials::write_credential;
use super::once_links::{NewLink, use_up};
use super::passkeys::end_passkeys;
use super::people::name_of;
use super::read_roles;
use super::sessions::end_all;
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Makes a link to a new password for a member of the actor's department who
    /// can sign in; their links before it end. `None` where there is no such
    /// member.
    pub async fn offer_reset(
        &self,
        actor: &Actor,
        member: &MemberId,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<String>, StoreError> {
        let mut tx = self.database.write().await?;
        let able: Option<(i64,)> = sqlx::query_as(
            "SELECT 1 FROM members m JOIN credentials c ON c.member_id = m.id
             WHERE m.department_id = $1 AND m.id = $2 AND m.left_at IS NULL",
        )
        .bind(actor.department.as_str())
        .bind(member.as_str())
        .fetch_optional(&mut *tx)
        .await?;
        let name = name_of(&mut tx, actor, member).await?;
        let Some(name) = name.filter(|_| able.is_some()) else {
            return Ok(None);
        };
        sqlx::query(
            "UPDATE once_links SET revoked_at = $3
             WHERE department_id = $1 AND member_id = $2 AND purpose = 'reset'
               AND used_at IS NULL AND revoked_at IS NULL",
        )
        .bind(actor.department.as_str())
        .bind(member.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        let link = NewLink {
            purpose: OnceFor::Reset.word(),
            secret,
            member: Some(member),
            offer: json!({}),
            expires_at: now + RESET_HOLDS,
        };
        self.write_link(&mut tx, actor, link, now).await?;
        tx.commit().await?;
        Ok(Some(name))
    }

    /// Whose password a link sets; `None` where it does not work any more.
    pub async fn reset_link(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Reset>, StoreError> {
        open(&mut *self.database.read().await?, secret, now).await
    }

    /// Sets the new password, ends every session and passkey of the member, and
    /// uses the link up. `None` where it does not work any more.
    pub async fn reset_password(
        &self,
        secret: &str,
        password_hash: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let mut tx = self.database.write().await?;
        let Some(Reset {
            actor,
            sign_in_name,
        }) = open(&mut tx, secret, now).await?
        else {
            return Ok(None);
        };
        let new = NewCredential {
            sign_in_name,
            password_hash: password_hash.to_owned(),
        };
        write_credential(&mut tx, &actor, &new, now).await?;
        end_all(&mut tx, &actor, None, now).await?;
        end_passkeys(&self.database, &mut tx, (&actor, &actor.member), now).await?;
        use_up(&mut tx, secret, &actor.member, now).await?;
        Line::new("password-reset", json!({"member": actor.member.as_str()}))
            .write(&self.database, &mut tx, &actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(actor))
    }
}

async fn open(
    connection: &mut Connection,
    secret: &str,
    now: OffsetDateTime,
) -> Result<Option<Reset>, StoreError> {
    let row: Option<(String, String, String, String)> = sqlx::query_as(
        "SELECT m.department_id, m.id, m.name, c.sign_in_name FROM once_links l
         JOIN members m ON m.id = l.member_id AND m.left_at IS NULL
         JOIN credentials c ON c.member_id = m.id
         WHERE l.secret_sha256 = $1 AND l.purpose = 'reset' AND l.used_at IS NULL
           AND l.revoked_at IS NULL AND l.expires_at > $2",
    )
    .bind(hashed(secret))
    .bind(millis(now))
    .fetch_optional(&mut *connection)
    .await?;
    let Some((department, member, member_name, sign_in_name)) = row else {
        return Ok(None);
    };
    Ok(Some(Reset {
        actor: Actor {
            roles: read_roles(connection, &member).await?,
            department: DepartmentId::new(department),
            member: MemberId::new(member),
            member_name,
        },
        sign_in_name,
    }))
}
