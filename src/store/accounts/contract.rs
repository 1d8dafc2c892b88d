//! What the store takes and gives about people and what they are let in with.

use super::super::contract::*;
use crate::domain::role::Roles;
use time::{Duration, OffsetDateTime};

/// How long an invitation works: somebody on holiday still finds it open.
pub const INVITATION_HOLDS: Duration = Duration::days(14);
/// How long a link to a new password works: it opens an account.
pub const RESET_HOLDS: Duration = Duration::days(1);

/// A member as the keeper's list shows them.
#[derive(Debug, Clone, PartialEq)]
pub struct MemberEntry {
    pub id: MemberId,
    pub name: String,
    /// Kept for one who left, though they give nothing any more.
    pub roles: Roles,
    /// `None`: has no password and cannot sign in.
    pub sign_in_name: Option<String>,
    pub last_seen_at: Option<OffsetDateTime>,
    pub left_at: Option<OffsetDateTime>,
}

/// What a link that works once is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnceFor {
    Invitation,
    Reset,
}

/// A link that works once and has not been used.
#[derive(Debug, Clone, PartialEq)]
pub struct OnceLink {
    pub id: OnceLinkId,
    pub purpose: OnceFor,
    /// Whom it is for.
    pub name: String,
    pub made_by: String,
    pub expires_at: OffsetDateTime,
}

/// What an open invitation offers.
#[derive(Debug, Clone, PartialEq)]
pub struct Invitation {
    pub department: Department,
    pub name: String,
    pub roles: Roles,
}

/// Whose password an open link sets anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Reset {
    pub actor: Actor,
    pub sign_in_name: String,
}

/// How many passkeys a member may have.
pub const MOST_PASSKEYS: usize = 8;

/// A passkey to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPasskey {
    /// What the device calls it.
    pub handle: Vec<u8>,
    /// The member's own name for it.
    pub label: String,
    /// The name of the service it was made under.
    pub party: String,
    /// Public key, counter and flags, in the words of who checks them.
    pub public_half: String,
}

/// A passkey in its member's list.
#[derive(Debug, Clone, PartialEq)]
pub struct PasskeyEntry {
    pub id: PasskeyId,
    pub label: String,
    /// The name of the service it was made under.
    pub party: String,
    /// What the device calls it.
    pub handle: Vec<u8>,
    pub made_at: OffsetDateTime,
    pub last_used_at: Option<OffsetDateTime>,
    /// When it was found that there may be a copy of it.
    pub doubted_at: Option<OffsetDateTime>,
}

/// A passkey as it is looked up when somebody shows it.
#[derive(Debug, Clone)]
pub struct KnownPasskey {
    pub id: PasskeyId,
    pub label: String,
    /// Whom it lets in.
    pub actor: Actor,
    /// Tries are counted under it.
    pub sign_in_name: String,
    pub public_half: String,
    pub doubted: bool,
}

/// A key for a program, as the keeper's list shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct ApiKey {
    pub id: KeyId,
    /// What it is for, in the maker's words; stands beside what it records.
    pub label: String,
    pub roles: Roles,
    pub made_by: String,
    pub made_at: OffsetDateTime,
    pub expires_at: OffsetDateTime,
    pub last_used_at: Option<OffsetDateTime>,
    pub revoked_at: Option<OffsetDateTime>,
}

impl ApiKey {
    /// Whether it lets a program in at a moment.
    pub fn works_at(&self, now: OffsetDateTime) -> bool {
        self.revoked_at.is_none() && now < self.expires_at
    }
}
