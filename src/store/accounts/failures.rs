//! Failed sign-ins, counted by account and by address.

use super::super::Store;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use time::{Duration, OffsetDateTime};

/// How long it takes for one failure to be forgotten. Longer than the longest wait
/// between tries, so that who goes on guessing gains nothing.
const FORGOTTEN_EVERY: Duration = Duration::minutes(5);

impl Store {
    /// How often signing in failed on an account or from an address since it last
    /// succeeded there.
    pub async fn failures(&self, what: &str) -> Result<Option<Failures>, StoreError> {
        let row: Option<(i64, i64)> =
            sqlx::query_as("SELECT count, last_at FROM sign_in_failures WHERE what = $1")
                .bind(what)
                .fetch_optional(self.database.readers())
                .await?;
        let at = At {
            table: "sign_in_failures",
            id: what,
        };
        row.map(|(count, last_at)| {
            Ok(Failures {
                count,
                last_at: at.time("last_at", last_at)?,
            })
        })
        .transpose()
    }

    /// Counts one more. One is forgotten for every `FORGOTTEN_EVERY` without any,
    /// and all after a day: a station where somebody mistypes each day does not come
    /// to wait for what was mistyped weeks ago.
    pub async fn note_failure(&self, what: &str, now: OffsetDateTime) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("DELETE FROM sign_in_failures WHERE last_at < $1")
            .bind(millis(now - Duration::days(1)))
            .execute(&mut *tx)
            .await?;
        sqlx::query(
            "INSERT INTO sign_in_failures (what, count, last_at) VALUES ($1, 1, $2)
             ON CONFLICT (what) DO UPDATE SET last_at = $2, count = 1 + CASE
                 WHEN sign_in_failures.count > ($2 - sign_in_failures.last_at) / $3
                 THEN sign_in_failures.count - ($2 - sign_in_failures.last_at) / $3 ELSE 0 END",
        )
        .bind(what)
        .bind(millis(now))
        .bind(FORGOTTEN_EVERY.whole_milliseconds() as i64)
        .execute(&mut *tx)
        .await?;
        Ok(tx.commit().await?)
    }

    /// Forgets them.
    pub async fn forget_failures(&self, what: &str) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query("DELETE FROM sign_in_failures WHERE what = $1")
            .bind(what)
            .execute(&mut *tx)
            .await?;
        Ok(tx.commit().await?)
    }
}
