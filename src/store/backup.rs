//! Backup, restore, and the check both rest on: a copy counts only once it has
//! been opened and read through.

use super::Store;
use super::contract::*;
use super::database::Database;
use super::error::StoreError;
use super::migrations;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use time::OffsetDateTime;

/// What a database was found to hold when it was read through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sound {
    pub departments: usize,
    pub cards: usize,
    pub revisions: usize,
    pub findings: usize,
}

impl Store {
    /// Copies the database, as it is at one moment and while it is in use, into a
    /// new file, and reads the copy through.
    pub async fn backup(&self, to: &Path) -> Result<Sound, StoreError> {
        copy(&self.database, to).await
    }

    /// Puts a backup at a new place, once it has been read through. One of older
    /// tables is left as it is; its copy is brought up to date first. The place
    /// must be free: nothing is ever written over.
    pub async fn restore(from: &Path, to: &Path) -> Result<Sound, StoreError> {
        let backup = Self::open_to_read(from).await?;
        let done = async {
            backup.look_over().await?;
            copy(&backup.database, to).await
        }
        .await;
        backup.close().await;
        done
    }

    /// Reads a database file through, every revision of every card, and changes
    /// nothing in it.
    pub async fn check(path: &Path) -> Result<Sound, StoreError> {
        let store = Self::open_to_read(path).await?;
        let found = store.read_through().await;
        store.close().await;
        found
    }

    async fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        if !path.is_file() {
            return Err(unsound(path, "there is no such file"));
        }
        Ok(Self {
            database: Arc::new(Database::open_to_read(path).await?),
            clock: OffsetDateTime::now_utc,
        })
    }

    async fn read_through(&self) -> Result<Sound, StoreError> {
        let version = self.look_over().await?;
        if version < migrations::NEWEST {
            let newest = migrations::NEWEST;
            let why = format!(
                "its tables are of version {version}, older than {newest}: restore it, \
                 which brings a copy up to date"
            );
            return Err(unsound(self.database.path(), &why));
        }
        self.read_cards().await
    }

    /// Whether it is whole and of this program, and the version of its tables,
    /// which is none that only a newer program knows.
    async fn look_over(&self) -> Result<i64, StoreError> {
        let path = self.database.path();
        let readers = self.database.readers();
        let verdict: Result<(String,), _> = sqlx::query_as("PRAGMA integrity_check(1)")
            .fetch_one(readers)
            .await;
        match verdict {
            Ok((word,)) if word == "ok" => {}
            Ok((word,)) => return Err(unsound(path, &word)),
            Err(error) => return Err(unsound(path, &error.to_string())),
        }
        let dangling = sqlx::query("PRAGMA foreign_key_check")
            .fetch_optional(readers)
            .await?;
        if dangling.is_some() {
            return Err(unsound(path, "a row points to one that is not there"));
        }
        match migrations::version(readers).await {
            Ok(version) if (1..=migrations::NEWEST).contains(&version) => Ok(version),
            Ok(version) => {
                let newest = migrations::NEWEST;
                let why = format!("its tables are of version {version}, not {newest}");
                Err(unsound(path, &why))
            }
            Err(_) => Err(unsound(path, "it has no tables of this program")),
        }
    }

    async fn read_cards(&self) -> Result<Sound, StoreError> {
        let departments: Vec<(String,)> = sqlx::query_as("SELECT id FROM departments")
            .fetch_all(self.database.readers())
            .await?;
        let mut found = Sound {
            departments: departments.len(),
            cards: 0,
            revisions: 0,
            findings: 0,
        };
        for (id,) in departments {
            let department = DepartmentId::new(id);
            self.policy(&department).await?;
            self.plan_settings(&department).await?;
            for card in self.all_summaries(&department).await? {
                if card.department == department {
                    found.cards += 1;
                    self.read_revisions(&card, &mut found).await?;
                }
            }
        }
        Ok(found)
    }

    async fn read_revisions(
        &self,
        card: &CardSummary,
        found: &mut Sound,
    ) -> Result<(), StoreError> {
        for revision in 1..=card.revision {
            let read = self.card_at(&card.department, &card.id, revision).await?;
            let Some(read) = read else {
                let why = format!("revision {revision} of card {} is missing", card.id);
                return Err(unsound(self.database.path(), &why));
            };
            found.revisions += 1;
            if revision == card.revision {
                found.findings += read.card.findings.len();
            }
        }
        Ok(())
    }
}

fn unsound(path: &Path, why: &str) -> StoreError {
    StoreError::Unsound {
        path: path.display().to_string(),
        why: why.to_owned(),
    }
}

/// Copies beside the target and reads the copy through before it takes the name,
/// so that no half-made backup ever bears it.
async fn copy(database: &Database, to: &Path) -> Result<Sound, StoreError> {
    if to.exists() {
        return Err(StoreError::Exists {
            path: to.display().to_string(),
        });
    }
    let partial = partial_of(to);
    if partial.exists() {
        return Err(StoreError::Exists {
            path: partial.display().to_string(),
        });
    }
    let Some(target) = partial.to_str() else {
        return Err(unsound(to, "the path is not plain text"));
    };
    let copied = async {
        sqlx::query("VACUUM INTO $1")
            .bind(target)
            .execute(database.readers())
            .await?;
        migrations::bring_up_to_date(&partial).await?;
        let sound = Store::check(&partial).await?;
        settle(&partial, to).await?;
        Ok(sound)
    }
    .await;
    if copied.is_err() {
        // It may never have been made; what matters is the error above.
        let _ = tokio::fs::remove_file(&partial).await;
    }
    copied
}

fn partial_of(to: &Path) -> PathBuf {
    let mut name = to.as_os_str().to_owned();
    name.push(".partial");
    PathBuf::from(name)
}

/// Forces the copy to the disk, then gives it its name.
async fn settle(partial: &Path, to: &Path) -> Result<(), StoreError> {
    let settled = async {
        tokio::fs::File::open(partial).await?.sync_all().await?;
        tokio::fs::hard_link(partial, to).await?;
        tokio::fs::remove_file(partial).await
    };
    settled
        .await
        .map_err(|error| StoreError::Unavailable(sqlx::Error::Io(error)))
}
