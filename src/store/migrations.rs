//! The tables, in numbered files that travel inside the program. Each file says
//! why it is there; which ones ran, and that they have not changed since, is
//! kept in the database.

use super::error::StoreError;
use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use std::path::Path;

/// Number, name, text.
const FILES: &[(i64, &str, &str)] = &[
    (
        1,
        "departments",
        include_str!("../../migrations/sqlite/0001_departments.sql"),
    ),
    (
        2,
        "cards",
        include_str!("../../migrations/sqlite/0002_cards.sql"),
    ),
    (
        3,
        "findings",
        include_str!("../../migrations/sqlite/0003_findings.sql"),
    ),
    (
        4,
        "audit",
        include_str!("../../migrations/sqlite/0004_audit.sql"),
    ),
    (
        5,
        "append only",
        include_str!("../../migrations/sqlite/0005_append_only.sql"),
    ),
    (
        6,
        "drafts",
        include_str!("../../migrations/sqlite/0006_drafts.sql"),
    ),
    (
        7,
        "plan settings",
        include_str!("../../migrations/sqlite/0007_plan_settings.sql"),
    ),
    (
        8,
        "accounts",
        include_str!("../../migrations/sqlite/0008_accounts.sql"),
    ),
    (
        9,
        "sharing",
        include_str!("../../migrations/sqlite/0009_sharing.sql"),
    ),
    (
        10,
        "annotations",
        include_str!("../../migrations/sqlite/0010_annotations.sql"),
    ),
    (
        12,
        "departments going",
        include_str!("../../migrations/sqlite/0012_departments_going.sql"),
    ),
    (
        13,
        "archives",
        include_str!("../../migrations/sqlite/0013_archives.sql"),
    ),
    (
        14,
        "reviews",
        include_str!("../../migrations/sqlite/0014_reviews.sql"),
    ),
    (
        15,
        "single-handed",
        include_str!("../../migrations/sqlite/0015_single_handed.sql"),
    ),
    (
        16,
        "passkeys",
        include_str!("../../migrations/sqlite/0016_passkeys.sql"),
    ),
    (
        17,
        "archive parts",
        include_str!("../../migrations/sqlite/0017_archive_parts.sql"),
    ),
    (
        18,
        "photo files",
        include_str!("../../migrations/sqlite/0018_photo_files.sql"),
    ),
];

/// The newest version of the tables this program knows.
pub(super) const NEWEST: i64 = FILES[FILES.len() - 1].0;

/// Runs what has not run yet, all of it or none, while every other program that
/// opens the file waits. A database that a newer program has changed is refused,
/// untouched.
pub(super) async fn run(writer: &SqlitePool) -> Result<(), StoreError> {
    let migrations = FILES
        .iter()
        .map(|&(version, name, text)| {
            let sql = sqlx::SqlSafeStr::into_sql_str(text);
            Migration::new(version, name.into(), MigrationType::Simple, sql, false)
        })
        .collect();
    let mut tx = writer.begin_with("BEGIN IMMEDIATE").await?;
    Migrator::with_migrations(migrations)
        .run(&mut *tx)
        .await
        .map_err(|error| match error {
            MigrateError::Execute(error) => error.into(),
            other => StoreError::Schema(other),
        })?;
    Ok(tx.commit().await?)
}

/// Runs what has not run yet on a copy that nobody else has open, and leaves one
/// file behind. A copy that is up to date is not touched.
pub(super) async fn bring_up_to_date(copy: &Path) -> Result<(), StoreError> {
    let options = SqliteConnectOptions::new()
        .filename(copy)
        .journal_mode(SqliteJournalMode::Delete)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true);
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .connect_with(options)
        .await?;
    let done = match version(&pool).await {
        Ok(NEWEST) => Ok(()),
        Ok(_) => run(&pool).await,
        Err(error) => Err(error),
    };
    pool.close().await;
    done
}

/// The newest version of the tables that ran on a database.
pub(super) async fn version(readers: &SqlitePool) -> Result<i64, StoreError> {
    let (version,): (i64,) = sqlx::query_as(
        "SELECT COALESCE(MAX(version), 0) FROM _sqlx_migrations WHERE success = TRUE",
    )
    .fetch_one(readers)
    .await?;
    Ok(version)
}
