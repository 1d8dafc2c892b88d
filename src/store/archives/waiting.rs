//! The archive that a member has sent and not yet taken in. Nobody's record:
//! written over by the next, and removed once it was taken in or discarded.

use super::super::Store;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use time::{Duration, OffsetDateTime};

/// One that nobody took in for so long is forgotten.
const KEPT: Duration = Duration::days(7);

/// An archive that waits.
#[derive(Debug, Clone)]
pub struct WaitingArchive {
    /// What the sender called it.
    pub name: String,
    pub bytes: Vec<u8>,
    pub sent_at: OffsetDateTime,
}

impl Store {
    /// Keeps what a member sent, in the place of what they sent before; what
    /// others left behind for long is forgotten.
    pub async fn keep_waiting_archive(
        &self,
        actor: &Actor,
        name: &str,
        bytes: &[u8],
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("DELETE FROM waiting_archives WHERE department_id = $1 AND sent_at < $2")
            .bind(actor.department.as_str())
            .bind(millis(now - KEPT))
            .execute(&mut *tx)
            .await?;
        sqlx::query(
            "INSERT INTO waiting_archives (department_id, member_id, name, bytes, sent_at)
             VALUES ($1, $2, $3, $4, $5)
             ON CONFLICT (department_id, member_id)
             DO UPDATE SET name = $3, bytes = $4, sent_at = $5",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(name)
        .bind(bytes)
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        Ok(tx.commit().await?)
    }

    /// What a member sent and did not take in.
    pub async fn waiting_archive(
        &self,
        actor: &Actor,
    ) -> Result<Option<WaitingArchive>, StoreError> {
        let row: Option<(String, Vec<u8>, i64)> = sqlx::query_as(
            "SELECT name, bytes, sent_at FROM waiting_archives
             WHERE department_id = $1 AND member_id = $2",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        let Some((name, bytes, sent_at)) = row else {
            return Ok(None);
        };
        let at = At {
            table: "waiting_archives",
            id: actor.member.as_str(),
        };
        Ok(Some(WaitingArchive {
            name,
            bytes,
            sent_at: at.time("sent_at", sent_at)?,
        }))
    }

    /// Forgets it.
    pub async fn drop_waiting_archive(&self, actor: &Actor) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("DELETE FROM waiting_archives WHERE department_id = $1 AND member_id = $2")
            .bind(actor.department.as_str())
            .bind(actor.member.as_str())
            .execute(&mut *tx)
            .await?;
        Ok(tx.commit().await?)
    }
}
