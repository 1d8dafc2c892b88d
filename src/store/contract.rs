//! What the store takes and gives, free of any SQL.
//!
//! Clock and identity are arguments. Not found is `Ok(None)`; every read and
//! write names the department it is for, so one department's rows can never
//! answer for another.

use crate::domain::body::Measured;
use crate::domain::card::{Card, Glass, PowerOff};
use crate::domain::finding::Status;
use crate::domain::vehicle::Vehicle;
use std::collections::BTreeMap;
use std::fmt;
use time::OffsetDateTime;

macro_rules! text_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            pub fn new(id: impl Into<String>) -> Self { Self(id.into()) }
            pub fn as_str(&self) -> &str { &self.0 }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { f.write_str(&self.0) }
        }
    };
}

text_id!(/// A department's id (UUIDv7 as text).
    DepartmentId);
text_id!(/// A member's id (UUIDv7 as text).
    MemberId);
text_id!(/// A card's id (UUIDv7 as text).
    CardId);

/// Who acts, and for which department.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Actor {
    pub department: DepartmentId,
    pub member: MemberId,
    /// Name as printed beside what they did.
    pub member_name: String,
}

/// Revision of a card: 1 when made, one more with each change.
pub type Revision = i64;

/// A card as kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredCard {
    pub id: CardId,
    pub department: DepartmentId,
    pub department_name: String,
    pub revision: Revision,
    pub created_at: OffsetDateTime,
    pub updated_at: OffsetDateTime,
    /// With the department's own policy in force.
    pub card: Card,
}

/// A card in a list; no findings are read for it.
#[derive(Debug, Clone, PartialEq)]
pub struct CardSummary {
    pub id: CardId,
    pub department: DepartmentId,
    pub department_name: String,
    pub revision: Revision,
    pub updated_at: OffsetDateTime,
    pub vehicle: Vehicle,
    pub finding_count: i64,
}

/// Everything on a card that is not a finding or policy.
#[derive(Debug, Clone, PartialEq)]
pub struct CardDetails {
    pub vehicle: Vehicle,
    pub measured: Measured,
    pub identify: Option<String>,
    pub power_off: Vec<PowerOff>,
    pub glass: BTreeMap<String, Glass>,
}

/// A change of where a finding stands, with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct StatusChange {
    pub finding: String,
    pub status: Status,
    /// Required for `withdrawn` and `declined`.
    pub reason: Option<String>,
}

/// What one revision changed.
#[derive(Debug, Clone, PartialEq)]
pub struct RevisionEntry {
    pub revision: Revision,
    pub at: OffsetDateTime,
    pub member: MemberId,
    pub member_name: String,
    /// One line, for example "5 findings added".
    pub summary: String,
}

/// A line of the audit: who did what when to which card; never changed.
#[derive(Debug, Clone, PartialEq)]
pub struct AuditEntry {
    pub id: String,
    pub at: OffsetDateTime,
    pub member: MemberId,
    pub member_name: String,
    pub card: Option<CardId>,
    /// For example `card-created`, `findings-added`, `finding-withdrawn`.
    pub action: String,
    pub detail: serde_json::Value,
}

/// Why the store did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The card moved on since it was read; `current` is its revision now.
    #[error("the card is at revision {current}, not at {expected}")]
    Conflict {
        expected: Revision,
        current: Revision,
    },
    /// An id that is already taken on this card.
    #[error("the id {id} is already on this card")]
    Duplicate { id: String },
    /// A row that cannot be what the store wrote.
    #[error("row {id} of {table} holds an impossible {column}")]
    Corrupt {
        table: &'static str,
        column: &'static str,
        id: String,
    },
    /// The database cannot be reached or is too busy.
    #[error("the database is not available")]
    Unavailable(#[source] sqlx::Error),
    #[error("the database refused")]
    Other(#[source] sqlx::Error),
}
