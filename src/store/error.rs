//! Why the store did not do what was asked. Each message says what was wrong
//! with it; what the database itself said stays in the source, for the log.

use super::contract::Revision;
use crate::domain::annotation::{Standing, StandingError};
use crate::domain::decision::WaitsFor;
use crate::domain::finding::Status;
use crate::domain::zone::ZoneError;

/// Why the store did not do what was asked; nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The card moved on since it was read; `current` is its revision now.
    #[error("the card is at revision {current}, not at {expected}")]
    Conflict {
        expected: Revision,
        current: Revision,
    },
    /// An id that is already taken on this card, or a name already taken.
    #[error("{id} is already taken")]
    Duplicate { id: String },
    #[error("there is no finding {id} on this card")]
    NoSuchFinding { id: String },
    /// Declined, superseded and withdrawn are final; a new finding is the way back.
    #[error("finding {finding} is {from} and cannot become {to}")]
    StatusFixed {
        finding: String,
        from: Status,
        to: Status,
    },
    /// Somebody else has to decide it.
    #[error("finding {finding} waits for {}", waits_for.meaning())]
    Waits {
        finding: String,
        waits_for: WaitsFor,
    },
    /// A review that somebody else has to make.
    #[error("the review waits for {}", match waits_for {
        WaitsFor::Officer => "an officer of this department",
        _ => "an officer of this department who wrote none of what came since the last one",
    })]
    ReviewWaits { waits_for: WaitsFor },
    #[error("say why finding {finding} is {to}")]
    ReasonMissing { finding: String, to: Status },
    #[error("there is no note {id} on this card")]
    NoSuchRemark { id: String },
    #[error("there is no such photo on this card")]
    NoSuchPhoto,
    #[error("note {id} is {standing}: write a new one")]
    Settled { id: String, standing: Standing },
    /// A finding that is not on the card's body.
    #[error("the card cannot hold this: {0}")]
    Misplaced(#[source] ZoneError),
    #[error("at most {most} {what}")]
    TooMany { what: &'static str, most: usize },
    #[error(transparent)]
    Standing(#[from] StandingError),
    #[error("finding {finding} is not a bare finding: only those are resolved")]
    NotBare { finding: String },
    #[error(
        "a component is corrected by a component and a bare finding by a bare finding: \
         withdraw {finding} with a reason instead"
    )]
    UnlikeCorrection { finding: String },
    /// Without one nobody could ever let anybody in again.
    #[error("{name} is the last keeper who can sign in: make somebody else a keeper first")]
    LastKeeper { name: String },
    /// A row that cannot be what the store wrote.
    #[error("row {id} of {table} holds an impossible {column}")]
    Corrupt {
        table: &'static str,
        column: &'static str,
        id: String,
    },
    /// Not a place a store can be at.
    #[error("{given} is no database: give the path of a SQLite file, or sqlite:PATH")]
    Address { given: String },
    /// A backup or a restore never writes over a file.
    #[error("{path} already exists")]
    Exists { path: String },
    #[error("{path} is no sound Pillarbook database: {why}")]
    Unsound { path: String, why: String },
    /// The database was made by a newer or a changed version of the program.
    #[error("the database does not fit this version of the program")]
    Schema(#[source] sqlx::migrate::MigrateError),
    /// The database cannot be reached or is too busy.
    #[error("the database is not available")]
    Unavailable(#[source] sqlx::Error),
    #[error("the database refused")]
    Other(#[source] sqlx::Error),
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        use sqlx::Error as E;
        match &error {
            E::Io(_) | E::PoolTimedOut | E::PoolClosed | E::WorkerCrashed => {
                Self::Unavailable(error)
            }
            E::Database(refusal) if is_passing(refusal.code().as_deref()) => {
                Self::Unavailable(error)
            }
            _ => Self::Other(error),
        }
    }
}

/// SQLite's primary result codes for busy, locked, I/O error, full, cannot open:
/// the low byte of the extended code.
fn is_passing(code: Option<&str>) -> bool {
    code.and_then(|code| code.parse::<i32>().ok())
        .is_some_and(|code| matches!(code & 0xff, 5 | 6 | 10 | 13 | 14))
}

/// What a statement's failure means that writes `id`: a row with that key may be
/// there already.
pub(super) fn or_taken(id: &str) -> impl FnOnce(sqlx::Error) -> StoreError + '_ {
    |error| {
        let refusal = error.as_database_error();
        match refusal.is_some_and(|refusal| refusal.is_unique_violation()) {
            true => StoreError::Duplicate { id: id.to_owned() },
            false => error.into(),
        }
    }
}

impl StoreError {
    /// Whether what was asked for cannot be done to the book as it stands. Nothing
    /// failed, and nobody else was first.
    pub const fn is_refusal(&self) -> bool {
        matches!(
            self,
            Self::NoSuchFinding { .. }
                | Self::NoSuchRemark { .. }
                | Self::NoSuchPhoto
                | Self::StatusFixed { .. }
                | Self::ReasonMissing { .. }
                | Self::NotBare { .. }
                | Self::UnlikeCorrection { .. }
                | Self::Settled { .. }
                | Self::TooMany { .. }
                | Self::Misplaced(_)
                | Self::Standing(_)
                | Self::LastKeeper { .. }
        )
    }
}
