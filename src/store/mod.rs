//! Departments, members, cards, findings, revisions, audit. All SQL lives here.
//!
//! [`contract`] says what the store takes and gives, and [`StoreError`] why it
//! did not. Behind [`Store`] is SQLite; PostgreSQL can stand beside it, since one
//! statement text serves both: `$1` placeholders, 64-bit widths, text ids
//! (UUIDv7), UTC milliseconds, JSON as text. Only `database`, `migrations` and
//! `backup` name the back end.
//!
//! A card's tables are append-only but for the one row that says at which
//! revision it stands: what it said at any revision can be read again.

mod accounts;
mod annotations;
mod archives;
mod asked_changes;
mod audit;
mod backup;
mod cards;
mod change;
pub mod contract;
mod database;
mod deciding;
mod departments;
mod drafts;
mod error;
mod files_left;
mod finding_row;
mod findings;
mod history;
mod leaving;
mod lineage;
mod migrations;
mod photo_files;
mod plan_settings;
mod policies;
mod reviews;
mod rows;
mod secret;
mod sharing;
mod statuses;

pub use accounts::contract::*;
pub use annotations::contract::*;
pub use archives::*;
pub use audit::{ACTIONS, AuditFilter, action_in_words};
pub use backup::Sound;
pub use contract::*;
pub use deciding::Deciding;
pub use error::StoreError;
pub use leaving::{COOLING_OFF, Gone, Leaving};
pub use lineage::{BesideSource, Lineage};
pub use photo_files::{PhotoFiles, PhotoFilesError, PhotoSize};

use database::Database;
use std::sync::Arc;
use time::OffsetDateTime;

/// The store. Cheap to clone; the clones share one database.
#[derive(Debug, Clone)]
pub struct Store {
    database: Arc<Database>,
    /// What time it is for what depends on it when a card is read.
    clock: fn() -> OffsetDateTime,
}

impl Store {
    /// Opens the SQLite database at a path, or at `sqlite:PATH`; it is made if
    /// missing, and its tables are brought up to date.
    pub async fn open(address: &str) -> Result<Self, StoreError> {
        Ok(Self {
            database: Arc::new(Database::open(address).await?),
            clock: OffsetDateTime::now_utc,
        })
    }

    /// The same store by another clock, for tests.
    #[must_use]
    pub fn by_clock(self, clock: fn() -> OffsetDateTime) -> Self {
        Self { clock, ..self }
    }

    fn now(&self) -> OffsetDateTime {
        (self.clock)()
    }

    /// Waits for what is under way, then closes the file.
    pub async fn close(&self) {
        self.database.close().await;
    }

    /// Whether the database answers.
    pub async fn ping(&self) -> Result<(), StoreError> {
        sqlx::query("SELECT 1")
            .execute(self.database.readers())
            .await?;
        Ok(())
    }
}
