//! Keys for programs. Each acts as a member of its own, so that what it records
//! bears its label; the secret is shown once and kept as its SHA-256.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::departments::insert_member;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::secret::hashed;
use super::contract::ApiKey;
use super::read_roles;
use crate::domain::role::{Role, Roles};
use serde_json::json;
use time::{Duration, OffsetDateTime};

/// How often a use of a key is written down.
const USED_EVERY: Duration = Duration::minutes(5);

#[derive(Debug, sqlx::FromRow)]
struct KeyRow {
    id: String,
    member_id: String,
    label: String,
    made_by: String,
    made_at: i64,
    expires_at: i64,
    last_used_at: Option<i64>,
    revoked_at: Option<i64>,
}

impl KeyRow {
    fn check(self, roles: Roles) -> Result<ApiKey, StoreError> {
        let at = At {
            table: "api_keys",
            id: &self.id,
        };
        Ok(ApiKey {
            made_at: at.time("made_at", self.made_at)?,
            expires_at: at.time("expires_at", self.expires_at)?,
            last_used_at: at.time_or_none("last_used_at", self.last_used_at)?,
            revoked_at: at.time_or_none("revoked_at", self.revoked_at)?,
            id: KeyId::new(self.id.clone()),
            label: self.label,
            roles,
            made_by: self.made_by,
        })
    }
}

impl Store {
    /// A new key of the actor's department for whatever program holds `secret`.
    pub async fn make_key(
        &self,
        actor: &Actor,
        (label, role): (&str, Role),
        secret: &str,
        expires_at: OffsetDateTime,
        now: OffsetDateTime,
    ) -> Result<KeyId, StoreError> {
        let (id, member) = (self.database.new_id(now), self.database.new_id(now));
        let department = actor.department.as_str();
        let mut tx = self.database.write().await?;
        let one = (member.as_str(), label);
        insert_member(&mut tx, department, one, Roles::from_iter([role]), now).await?;
        sqlx::query(
            "INSERT INTO api_keys (department_id, id, member_id, secret_sha256, label, made_by,
                 made_at, expires_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(department)
        .bind(&id)
        .bind(&member)
        .bind(hashed(secret))
        .bind(label)
        .bind(actor.member.as_str())
        .bind(millis(now))
        .bind(millis(expires_at))
        .execute(&mut *tx)
        .await?;
        let detail = json!({"key": id, "label": label, "role": role.word()});
        Line::new("key-made", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(KeyId::new(id))
    }

    /// Every key of the actor's department, the newest first.
    pub async fn keys(&self, actor: &Actor) -> Result<Vec<ApiKey>, StoreError> {
        let mut tx = self.database.read().await?;
        let rows: Vec<KeyRow> = sqlx::query_as(
            "SELECT k.id, k.member_id, k.label, m.name AS made_by, k.made_at, k.expires_at,
                    k.last_used_at, k.revoked_at
             FROM api_keys k JOIN members m ON m.id = k.made_by
             WHERE k.department_id = $1 ORDER BY k.made_at DESC, k.id DESC",
        )
        .bind(actor.department.as_str())
        .fetch_all(&mut *tx)
        .await?;
        let mut keys = Vec::with_capacity(rows.len());
        for row in rows {
            let roles = read_roles(&mut tx, &row.member_id).await?;
            keys.push(row.check(roles)?);
        }
        Ok(keys)
    }

    /// Ends a key at once; `None` where there is no such, or it ended before.
    pub async fn revoke_key(
        &self,
        actor: &Actor,
        key: &KeyId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let ended: Option<(String,)> = sqlx::query_as(
            "UPDATE api_keys SET revoked_at = $3
             WHERE department_id = $1 AND id = $2 AND revoked_at IS NULL RETURNING label",
        )
        .bind(actor.department.as_str())
        .bind(key.as_str())
        .bind(millis(now))
        .fetch_optional(&mut *tx)
        .await?;
        let Some((label,)) = ended else {
            return Ok(None);
        };
        Line::new("key-revoked", json!({"key": key.as_str(), "label": label}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// Who acts with a key now; `None` where it is unknown, ended or too old.
    pub async fn key_holder(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let mut tx = self.database.read().await?;
        let row: Option<(String, String, String, String, Option<i64>)> = sqlx::query_as(
            "SELECT k.id, k.department_id, k.member_id, k.label, k.last_used_at
             FROM api_keys k JOIN members m ON m.id = k.member_id AND m.left_at IS NULL
             WHERE k.secret_sha256 = $1 AND k.revoked_at IS NULL AND k.expires_at > $2",
        )
        .bind(hashed(secret))
        .bind(millis(now))
        .fetch_optional(&mut *tx)
        .await?;
        let Some((id, department, member, label, used)) = row else {
            return Ok(None);
        };
        let roles = read_roles(&mut tx, &member).await?;
        drop(tx);
        if used.is_none_or(|at| at < millis(now - USED_EVERY)) {
            self.note_used(&id, now).await?;
        }
        Ok(Some(Actor {
            department: DepartmentId::new(department),
            member: MemberId::new(member),
            member_name: label,
            roles,
        }))
    }

    async fn note_used(&self, key: &str, now: OffsetDateTime) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("UPDATE api_keys SET last_used_at = $2 WHERE id = $1")
            .bind(key)
            .bind(millis(now))
            .execute(&mut *tx)
            .await?;
        Ok(tx.commit().await?)
    }
}
