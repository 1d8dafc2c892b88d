//! What the store takes and gives, free of any SQL.
//!
//! Clock and identity are arguments. Not found is `Ok(None)`; every read and
//! write names the department it is for, so one department's rows can never
//! answer for another. Reading reaches further than writing: a department also
//! reads the cards that others share with it (`Store::set_visibility`), and tells
//! them from its own by [`StoredCard::department`]; to a write they do not exist.

use crate::domain::body::Measured;
use crate::domain::card::{Card, Glass, PowerOff};
use crate::domain::finding::Status;
use crate::domain::opening::Ask;
use crate::domain::opening::plan::Settings;
use crate::domain::opening::template::Opening;
use crate::domain::opening::tool::Tool;
use crate::domain::review::Review;
use crate::domain::role::Roles;
use crate::domain::vehicle::Vehicle;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use time::{Duration, OffsetDateTime};

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
text_id!(/// A share link's id (UUIDv7 as text); what opens it is a secret of its own.
    LinkId);

/// Who acts, and for which department.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Actor {
    pub department: DepartmentId,
    pub member: MemberId,
    /// Name as printed beside what they did.
    pub member_name: String,
    pub roles: Roles,
}

/// A department.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Department {
    pub id: DepartmentId,
    pub name: String,
}

impl From<(String, String)> for Department {
    /// Id and name, as they stand in a row.
    fn from((id, name): (String, String)) -> Self {
        Self {
            id: DepartmentId::new(id),
            name,
        }
    }
}

/// Revision of a card: 1 when made, one more with each change of what it shows,
/// a change of its department's policy included. So a revision stands for one
/// content, and what was made from it may be kept under it.
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
    /// Whether an officer has looked it over.
    pub review: Review,
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

impl From<&Card> for CardDetails {
    fn from(card: &Card) -> Self {
        Self {
            vehicle: card.vehicle.clone(),
            measured: card.measured.clone(),
            identify: card.identify.clone(),
            power_off: card.power_off.clone(),
            glass: card.glass.clone(),
        }
    }
}

/// A change of where a finding stands, with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct StatusChange {
    pub finding: String,
    pub status: Status,
    /// Required for `withdrawn` and `declined`.
    pub reason: Option<String>,
}

/// A decline or a withdrawal that somebody asked an officer for.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedChange {
    pub finding: String,
    pub status: Status,
    pub reason: String,
    pub member: MemberId,
    pub member_name: String,
    pub at: OffsetDateTime,
}

/// A card on which something waits for a second person or an officer: findings
/// that are offered, or changes asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    pub card: StoredCard,
    pub asked: Vec<AskedChange>,
    /// Since when the first of it waits.
    pub since: OffsetDateTime,
}

/// One line of where a finding stood: the first is how it was added.
#[derive(Debug, Clone, PartialEq)]
pub struct StatusEntry {
    pub finding: String,
    pub revision: Revision,
    pub status: Status,
    pub reason: Option<String>,
    pub at: OffsetDateTime,
    pub member: MemberId,
    pub member_name: String,
    /// Whether a second person was asked for and there was none.
    pub single_handed: bool,
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

/// What a member has entered and not yet saved.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// One more with each change.
    pub version: Revision,
    pub body: serde_json::Value,
    pub updated_at: OffsetDateTime,
}

/// What a department has set for its plans.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlanSettings {
    /// Its own openings, beside the catalogue's.
    pub openings: Vec<Opening>,
    pub tools: Vec<Tool>,
    /// Ids of order rules it has switched off.
    pub rules_off: BTreeSet<String>,
}

impl PlanSettings {
    /// Puts them into a plan: the tools into an ask that names none, the rest is
    /// what the planner takes beside it.
    pub fn settle(&self, ask: &mut Ask) -> Settings {
        if ask.tools.is_empty() {
            ask.tools = self.tools.iter().map(Tool::asked).collect();
        }
        Settings {
            own_openings: self.openings.clone(),
            rules_off: self.rules_off.clone(),
        }
    }
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

/// Where a partnership between two departments stands, seen from one of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartnerStanding {
    /// We asked; they have not answered.
    AskedByUs,
    /// They asked; it is ours to accept.
    AskedByThem,
    Partners,
}

/// A partnership, seen from one of the two departments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Partnership {
    pub other: Department,
    pub standing: PartnerStanding,
    /// When it was asked for, or accepted.
    pub since: OffsetDateTime,
    /// When the other department is to be deleted, if that was asked for.
    pub leaves_at: Option<OffsetDateTime>,
}

/// A link that opens one card, read-only, to whoever holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct ShareLink {
    pub id: LinkId,
    pub card: CardId,
    /// For whom, in the maker's words.
    pub label: String,
    pub made_by: String,
    pub made_at: OffsetDateTime,
    pub expires_at: OffsetDateTime,
    pub revoked_at: Option<OffsetDateTime>,
    /// How often it was opened.
    pub opened: i64,
    pub last_opened_at: Option<OffsetDateTime>,
}

impl ShareLink {
    /// Whether it opens the card at a moment.
    pub fn opens_at(&self, now: OffsetDateTime) -> bool {
        self.revoked_at.is_none() && now < self.expires_at
    }
}

text_id!(/// A session's id (UUIDv7 as text); the secret in the cookie is another thing.
    SessionId);

/// A session that is not looked at for so long ends: a crew's phone lies in the
/// cab between calls.
pub const SESSION_IDLE: Duration = Duration::days(30);
/// A session ends after so long whatever is done with it.
pub const SESSION_LONGEST: Duration = Duration::days(180);

/// A session that holds now.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    pub id: SessionId,
    pub actor: Actor,
    /// When its secret was drawn.
    pub secret_since: OffsetDateTime,
    /// When the member's department is to be deleted, if that was asked for.
    pub leaves_at: Option<OffsetDateTime>,
}

/// A session in its member's list.
#[derive(Debug, Clone, PartialEq)]
pub struct SessionEntry {
    pub id: SessionId,
    pub agent: String,
    pub began_at: OffsetDateTime,
    pub last_seen_at: OffsetDateTime,
}

/// What a sign-in name stands for.
#[derive(Clone)]
pub struct Credential {
    pub actor: Actor,
    /// argon2id in PHC form.
    pub password_hash: String,
}

impl fmt::Debug for Credential {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Credential")
            .field("actor", &self.actor)
            .finish_non_exhaustive()
    }
}

/// Failed sign-ins on an account or from an address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Failures {
    pub count: i64,
    pub last_at: OffsetDateTime,
}

/// How somebody signs in, with the password hashed already.
#[derive(Clone)]
pub struct NewCredential {
    pub sign_in_name: String,
    pub password_hash: String,
}

impl fmt::Debug for NewCredential {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("NewCredential")
            .field("sign_in_name", &self.sign_in_name)
            .finish_non_exhaustive()
    }
}

text_id!(/// The id of a link that works once (UUIDv7 as text); its secret is another thing.
    OnceLinkId);

text_id!(/// The id of a passkey here (UUIDv7 as text); what the device calls it is another
    /// thing.
    PasskeyId);

text_id!(/// The id of a key for a program (UUIDv7 as text); its secret is another thing.
    KeyId);
