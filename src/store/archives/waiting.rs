//! The archive that a member has sent and not yet taken in. Nobody's record:
//! written over by the next, and removed once it was taken in or discarded. It is
//! kept in pieces, of which one at a time is in memory.

use super::super::Store;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use time::{Duration, OffsetDateTime};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};

/// One that nobody took in for so long is forgotten.
const KEPT: Duration = Duration::days(7);

/// Bytes of a piece.
const PART_BYTES: u64 = 1 << 20;

/// An archive that waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitingArchive {
    /// What the sender called it.
    pub name: String,
    pub bytes: u64,
    pub sent_at: OffsetDateTime,
    upload: String,
}

/// Why an archive is not kept, or not read back.
#[derive(Debug, thiserror::Error)]
pub enum WaitingError {
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Where it comes from or goes to failed.
    #[error("the archive cannot be copied")]
    Io(#[from] std::io::Error),
    /// Another was sent, or it was taken in, while it was read.
    #[error("the archive does not wait any more")]
    Gone,
}

impl From<sqlx::Error> for WaitingError {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

impl Store {
    /// Keeps what a member sent, in the place of what they sent before; what
    /// others left behind for long is forgotten.
    ///
    /// # Errors
    /// [`WaitingError::Io`] where `archive` cannot be read, or the store failed; what
    /// they sent before still waits.
    pub async fn keep_waiting_archive(
        &self,
        actor: &Actor,
        name: &str,
        archive: &mut (impl AsyncRead + Unpin + Send),
        now: OffsetDateTime,
    ) -> Result<(), WaitingError> {
        let upload = self.database.new_id(now);
        let mut bytes = 0;
        for part in 0_i64.. {
            let mut piece = Vec::new();
            (&mut *archive)
                .take(PART_BYTES)
                .read_to_end(&mut piece)
                .await?;
            if piece.is_empty() {
                break;
            }
            bytes += i64::try_from(piece.len()).expect("a piece is small");
            self.keep_part(actor, (&upload, part), &piece, now).await?;
        }
        let mut tx = self.database.write().await?;
        for table in ["waiting_archives", "waiting_archive_parts"] {
            let stale = format!(
                "DELETE FROM {table} WHERE department_id = $1
                    AND (sent_at < $2 OR (member_id = $3 AND upload <> $4))"
            );
            sqlx::query(sqlx::AssertSqlSafe(stale))
                .bind(actor.department.as_str())
                .bind(millis(now - KEPT))
                .bind(actor.member.as_str())
                .bind(&upload)
                .execute(&mut *tx)
                .await?;
        }
        sqlx::query(
            "INSERT INTO waiting_archives (department_id, member_id, name, upload, bytes, sent_at)
             VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(name)
        .bind(&upload)
        .bind(bytes)
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        Ok(tx.commit().await?)
    }

    async fn keep_part(
        &self,
        actor: &Actor,
        (upload, part): (&str, i64),
        piece: &[u8],
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query(
            "INSERT INTO waiting_archive_parts (department_id, member_id, upload, part, bytes,
                 sent_at)
             VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(upload)
        .bind(part)
        .bind(piece)
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
        let row: Option<(String, String, i64, i64)> = sqlx::query_as(
            "SELECT name, upload, bytes, sent_at FROM waiting_archives
             WHERE department_id = $1 AND member_id = $2",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        let Some((name, upload, bytes, sent_at)) = row else {
            return Ok(None);
        };
        let at = At {
            table: "waiting_archives",
            id: actor.member.as_str(),
        };
        Ok(Some(WaitingArchive {
            name,
            upload,
            bytes: at.whole("bytes", bytes)?,
            sent_at: at.time("sent_at", sent_at)?,
        }))
    }

    /// Copies it out, all of it.
    ///
    /// # Errors
    /// [`WaitingError::Gone`] where it does not wait any more.
    pub async fn read_waiting_archive(
        &self,
        actor: &Actor,
        waiting: &WaitingArchive,
        to: &mut (impl AsyncWrite + Unpin + Send),
    ) -> Result<(), WaitingError> {
        let mut left = waiting.bytes;
        for part in 0_i64.. {
            let row: Option<(Vec<u8>,)> = sqlx::query_as(
                "SELECT bytes FROM waiting_archive_parts
                 WHERE department_id = $1 AND member_id = $2 AND upload = $3 AND part = $4",
            )
            .bind(actor.department.as_str())
            .bind(actor.member.as_str())
            .bind(&waiting.upload)
            .bind(part)
            .fetch_optional(self.database.readers())
            .await?;
            let Some((piece,)) = row else { break };
            left = left.saturating_sub(piece.len() as u64);
            to.write_all(&piece).await?;
        }
        to.flush().await?;
        match left {
            0 => Ok(()),
            _ => Err(WaitingError::Gone),
        }
    }

    /// Forgets it.
    pub async fn drop_waiting_archive(&self, actor: &Actor) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        for table in ["waiting_archives", "waiting_archive_parts"] {
            let own = format!("DELETE FROM {table} WHERE department_id = $1 AND member_id = $2");
            sqlx::query(sqlx::AssertSqlSafe(own))
                .bind(actor.department.as_str())
                .bind(actor.member.as_str())
                .execute(&mut *tx)
                .await?;
        }
        Ok(tx.commit().await?)
    }
}
