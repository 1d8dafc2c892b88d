//! Sessions: begun at sign-in, found by the hash of their secret, ended by hand
//! or by time.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::secret::hashed;
use super::read_roles;
use serde_json::json;
use time::{Duration, OffsetDateTime};

/// How long the secret before the last change still opens the session: requests
/// that were under way when it changed carry it.
const OLD_SECRET_HOLDS: Duration = Duration::minutes(2);
/// How often a look at a session is written down.
const SEEN_EVERY: Duration = Duration::minutes(5);

#[derive(Debug, sqlx::FromRow)]
struct SessionRow {
    id: String,
    department_id: String,
    member_id: String,
    member_name: String,
    secret_sha256: String,
    secret_changed_at: i64,
    began_at: i64,
    last_seen_at: i64,
    due_at: Option<i64>,
}

impl Store {
    /// Begins a session of a member for whoever holds the first secret; the second
    /// marks the browser for good.
    pub async fn begin_session(
        &self,
        actor: &Actor,
        (secret, device): (&str, &str),
        agent: &str,
        now: OffsetDateTime,
    ) -> Result<SessionId, StoreError> {
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        sqlx::query(
            "INSERT INTO sessions (department_id, id, member_id, secret_sha256, secret_changed_at,
                 device_sha256, agent, began_at, last_seen_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $5, $5)",
        )
        .bind(actor.department.as_str())
        .bind(&id)
        .bind(actor.member.as_str())
        .bind(hashed(secret))
        .bind(millis(now))
        .bind(hashed(device))
        .bind(agent)
        .execute(&mut *tx)
        .await?;
        Line::new("signed-in", json!({"session": id}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(SessionId::new(id))
    }

    /// Whether a member has ever signed in on the browser that carries this mark.
    pub async fn knows_device(&self, actor: &Actor, device: &str) -> Result<bool, StoreError> {
        let row: Option<(i64,)> = sqlx::query_as(
            "SELECT 1 FROM sessions WHERE member_id = $1 AND device_sha256 = $2 LIMIT 1",
        )
        .bind(actor.member.as_str())
        .bind(hashed(device))
        .fetch_optional(self.database.readers())
        .await?;
        Ok(row.is_some())
    }

    /// The session a secret opens now, with its member's roles of now.
    pub async fn session(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Session>, StoreError> {
        let hash = hashed(secret);
        let mut tx = self.database.read().await?;
        let row: Option<SessionRow> = sqlx::query_as(
            "SELECT s.id, s.department_id, s.member_id, m.name AS member_name, s.secret_sha256,
                    s.secret_changed_at, s.began_at, s.last_seen_at, g.due_at
             FROM sessions s JOIN members m ON m.id = s.member_id
             LEFT JOIN departments_going g ON g.department_id = s.department_id
             WHERE (s.secret_sha256 = $1 OR s.old_secret_sha256 = $1)
               AND s.ended_at IS NULL AND m.left_at IS NULL",
        )
        .bind(&hash)
        .fetch_optional(&mut *tx)
        .await?;
        let Some(row) = row else { return Ok(None) };
        let at = At {
            table: "sessions",
            id: &row.id,
        };
        let secret_since = at.time("secret_changed_at", row.secret_changed_at)?;
        let seen = at.time("last_seen_at", row.last_seen_at)?;
        let began = at.time("began_at", row.began_at)?;
        let leaves_at = at.time_or_none("due_at", row.due_at)?;
        let old = row.secret_sha256 != hash;
        let over = now - seen > SESSION_IDLE
            || now - began > SESSION_LONGEST
            || old && now - secret_since > OLD_SECRET_HOLDS;
        if over {
            return Ok(None);
        }
        let roles = read_roles(&mut tx, &row.member_id).await?;
        drop(tx);
        if now - seen > SEEN_EVERY {
            self.note_seen(&row.id, now).await?;
        }
        Ok(Some(Session {
            id: SessionId::new(row.id),
            actor: Actor {
                department: DepartmentId::new(row.department_id),
                member: MemberId::new(row.member_id),
                member_name: row.member_name,
                roles,
            },
            leaves_at,
            // Who still carries the old one is not given a third.
            secret_since: if old { now } else { secret_since },
        }))
    }

    async fn note_seen(&self, id: &str, now: OffsetDateTime) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("UPDATE sessions SET last_seen_at = $2 WHERE id = $1 AND last_seen_at < $2")
            .bind(id)
            .bind(millis(now))
            .execute(&mut *tx)
            .await?;
        Ok(tx.commit().await?)
    }

    /// Gives a session a new secret; the old one holds for two minutes more.
    pub async fn renew_session(
        &self,
        session: &SessionId,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query(
            "UPDATE sessions SET old_secret_sha256 = secret_sha256, secret_sha256 = $2,
                 secret_changed_at = $3
             WHERE id = $1 AND ended_at IS NULL",
        )
        .bind(session.as_str())
        .bind(hashed(secret))
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        Ok(tx.commit().await?)
    }

    /// A member's sessions that may still hold, the last seen first.
    pub async fn sessions(
        &self,
        actor: &Actor,
        now: OffsetDateTime,
    ) -> Result<Vec<SessionEntry>, StoreError> {
        let rows: Vec<(String, String, i64, i64)> = sqlx::query_as(
            "SELECT id, agent, began_at, last_seen_at FROM sessions
             WHERE department_id = $1 AND member_id = $2 AND ended_at IS NULL
               AND last_seen_at >= $3 AND began_at >= $4
             ORDER BY last_seen_at DESC, id DESC",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(millis(now - SESSION_IDLE))
        .bind(millis(now - SESSION_LONGEST))
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter()
            .map(|(id, agent, began, seen)| {
                let at = At {
                    table: "sessions",
                    id: &id,
                };
                Ok(SessionEntry {
                    began_at: at.time("began_at", began)?,
                    last_seen_at: at.time("last_seen_at", seen)?,
                    id: SessionId::new(id.clone()),
                    agent,
                })
            })
            .collect()
    }

    /// Ends one of the actor's own sessions; `None` where it is no such.
    pub async fn end_session(
        &self,
        actor: &Actor,
        session: &SessionId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let done = sqlx::query(
            "UPDATE sessions SET ended_at = $4
             WHERE department_id = $1 AND member_id = $2 AND id = $3 AND ended_at IS NULL",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(session.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        if done.rows_affected() == 0 {
            return Ok(None);
        }
        Line::new("signed-out", json!({"session": session.as_str()}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }
}

/// Ends every session of a member but `kept`, within a larger change.
pub(super) async fn end_all(
    connection: &mut Connection,
    member: &Actor,
    kept: Option<&SessionId>,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE sessions SET ended_at = $4
         WHERE department_id = $1 AND member_id = $2 AND ended_at IS NULL
           AND id <> COALESCE($3, '')",
    )
    .bind(member.department.as_str())
    .bind(member.member.as_str())
    .bind(kept.map(SessionId::as_str))
    .bind(millis(now))
    .execute(connection)
    .await?;
    Ok(())
}
