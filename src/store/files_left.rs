//! Files of photos that are still to be removed: the book says so until it is
//! done, however often the place of photos does not answer.

use super::Store;
use super::database::Connection;
use super::error::StoreError;
use super::rows::millis;
use time::{Duration, OffsetDateTime};

/// How long a file may wait for its note to be written. A request takes seconds, an
/// archive of many photos its time.
const WAITS: Duration = Duration::days(1);

impl Store {
    /// Says that a photo's files are about to be written: unless a note comes to
    /// hold them, they are left to be removed.
    pub async fn expect_photo_file(
        &self,
        name: &str,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        leave(&mut tx, name, now + WAITS).await?;
        Ok(tx.commit().await?)
    }

    /// Photos whose files are to be removed by now. One that a note holds is never
    /// among them.
    pub async fn photo_files_left(&self, now: OffsetDateTime) -> Result<Vec<String>, StoreError> {
        let rows: Vec<(String,)> = sqlx::query_as(
            "SELECT f.name FROM photo_files_left f
             WHERE f.not_before <= $1
               AND f.name NOT IN (SELECT p.name FROM photos p
                                  WHERE p.name NOT IN (SELECT x.name FROM photo_removals x))
             ORDER BY f.name",
        )
        .bind(millis(now))
        .fetch_all(self.database.readers())
        .await?;
        Ok(rows.into_iter().map(|(name,)| name).collect())
    }

    /// Notes that a photo's files are removed.
    pub async fn forget_photo_file(&self, name: &str) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        keep(&mut tx, name).await?;
        Ok(tx.commit().await?)
    }
}

/// Leaves a photo's files to be removed from then on.
pub(super) async fn leave(
    connection: &mut Connection,
    name: &str,
    not_before: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO photo_files_left (name, not_before) VALUES ($1, $2)
         ON CONFLICT (name) DO UPDATE SET not_before = excluded.not_before",
    )
    .bind(name)
    .bind(millis(not_before))
    .execute(connection)
    .await?;
    Ok(())
}

/// Leaves no files of that name to be removed: a note holds them, or they are gone.
pub(super) async fn keep(connection: &mut Connection, name: &str) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM photo_files_left WHERE name = $1")
        .bind(name)
        .execute(connection)
        .await?;
    Ok(())
}
