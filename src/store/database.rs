//! The back end's own part: where the database is, how it is opened, and the
//! two kinds of transaction. Only here, in `migrations` and in `backup` is the
//! database named; everything else is statements that PostgreSQL takes as well.
//!
//! One writer: SQLite lets one connection write at a time, and a deferred
//! transaction that reads and then writes fails under load whatever its busy
//! timeout. So all writes queue for one connection and begin with `IMMEDIATE`,
//! and readers have a pool of their own.

use super::error::StoreError;
use super::migrations;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant};
use time::OffsetDateTime;
use uuid::{ContextV7, Timestamp, Uuid};

/// The connection statements run on.
pub(super) type Connection = sqlx::SqliteConnection;
/// A transaction; dropped without a commit, it is rolled back.
pub(super) type Transaction = sqlx::Transaction<'static, sqlx::Sqlite>;

/// How long a request waits for a connection or a lock before it is told so.
const PATIENCE: Duration = Duration::from_secs(5);
/// Readers at once; SQLite serves each from its own connection.
const READERS: u32 = 8;

/// The open database.
#[derive(Debug)]
pub(super) struct Database {
    path: PathBuf,
    writer: SqlitePool,
    readers: SqlitePool,
    ids: Mutex<ContextV7>,
}

impl Database {
    /// Opens the database at a path or `sqlite:` address, made if missing, and
    /// brings its tables up to date.
    pub(super) async fn open(address: &str) -> Result<Self, StoreError> {
        let path = path_of(address)?;
        let options = SqliteConnectOptions::new()
            .filename(&path)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            // What is removed is written over, not only forgotten.
            .pragma("secure_delete", "ON")
            .busy_timeout(PATIENCE);
        let writer = connect_patiently(&options).await?;
        migrations::run(&writer).await?;
        let readers = SqlitePoolOptions::new()
            .max_connections(READERS)
            .acquire_timeout(PATIENCE)
            .connect_with(options.read_only(true).create_if_missing(false))
            .await?;
        Ok(Self::of(path, writer, readers))
    }

    /// Opens a file for reading alone; its tables are left as they are.
    pub(super) async fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        let readers = SqlitePoolOptions::new()
            .max_connections(1)
            .acquire_timeout(PATIENCE)
            .connect_with(
                SqliteConnectOptions::new()
                    .filename(path)
                    .read_only(true)
                    .foreign_keys(true)
                    .busy_timeout(PATIENCE),
            )
            .await?;
        Ok(Self::of(path.to_owned(), readers.clone(), readers))
    }

    fn of(path: PathBuf, writer: SqlitePool, readers: SqlitePool) -> Self {
        Self {
            path,
            writer,
            readers,
            ids: Mutex::new(ContextV7::new()),
        }
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Begins a change; waits for the one before it.
    pub(super) async fn write(&self) -> Result<Transaction, StoreError> {
        Ok(self.writer.begin_with("BEGIN IMMEDIATE").await?)
    }

    /// Begins a reading that sees one state throughout.
    pub(super) async fn read(&self) -> Result<Transaction, StoreError> {
        Ok(self.readers.begin().await?)
    }

    /// Readers outside a transaction, for what may not run in one.
    pub(super) fn readers(&self) -> &SqlitePool {
        &self.readers
    }

    /// Puts the log beside the file into the file and empties it, so that it holds
    /// nothing that was removed. While a reader needs it, it stays until next time.
    pub(super) async fn empty_log(&self) -> Result<(), StoreError> {
        sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
            .fetch_all(&self.writer)
            .await?;
        Ok(())
    }

    pub(super) async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }

    /// A new id; later ones sort after earlier ones, also within a millisecond.
    pub(super) fn new_id(&self, now: OffsetDateTime) -> String {
        let seconds = u64::try_from(now.unix_timestamp()).unwrap_or(0);
        Uuid::new_v7(Timestamp::from_unix(&self.ids, seconds, now.nanosecond())).to_string()
    }
}

/// The file an address stands for.
fn path_of(address: &str) -> Result<PathBuf, StoreError> {
    let path = address
        .strip_prefix("sqlite://")
        .or_else(|| address.strip_prefix("sqlite:"))
        .unwrap_or(address);
    // In memory, each connection would have a database of its own.
    if path.is_empty() || path.contains("://") || path.contains(":memory:") {
        return Err(StoreError::Address {
            given: address.to_owned(),
        });
    }
    Ok(PathBuf::from(path))
}

/// Two programs that find an empty file at once both turn it to write-ahead
/// logging, and SQLite refuses one of them without waiting.
async fn connect_patiently(options: &SqliteConnectOptions) -> Result<SqlitePool, sqlx::Error> {
    let given_up = Instant::now() + PATIENCE;
    loop {
        let writer = SqlitePoolOptions::new()
            .max_connections(1)
            .acquire_timeout(PATIENCE)
            .connect_with(options.clone())
            .await;
        match writer {
            Err(error) if is_busy(&error) && Instant::now() < given_up => {
                tokio::time::sleep(Duration::from_millis(25)).await;
            }
            done => return done,
        }
    }
}

/// SQLITE_BUSY, in any of its extended forms.
fn is_busy(error: &sqlx::Error) -> bool {
    let code = error.as_database_error().and_then(|e| e.code());
    code.and_then(|code| code.parse::<i32>().ok())
        .is_some_and(|code| code & 0xff == 5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_a_path_or_a_sqlite_url_and_nothing_else() {
        assert_eq!(path_of("/var/p.db").unwrap(), PathBuf::from("/var/p.db"));
        assert_eq!(path_of("sqlite:p.db").unwrap(), PathBuf::from("p.db"));
        assert_eq!(path_of("sqlite:///p.db").unwrap(), PathBuf::from("/p.db"));
        for no in ["", "sqlite:", "sqlite::memory:", "postgres://db/p"] {
            assert!(
                matches!(path_of(no), Err(StoreError::Address { .. })),
                "{no}"
            );
        }
    }
}
