//! Passkeys as their member sees them on the account page.

use super::party::{NoPasskeys, Party};
use crate::store::{MOST_PASSKEYS, PasskeyEntry};
use crate::web::form::Field;
use crate::web::say;
use crate::web::typed::Typed;

/// The part of the account page about them.
pub struct PasskeyList {
    pub rows: Vec<PasskeyRow>,
    pub most: usize,
    /// Why none is made here.
    pub none_because: Option<NoPasskeys>,
}

impl PasskeyList {
    pub fn new(all: Vec<PasskeyEntry>, party: &Result<Party, NoPasskeys>, typed: &Typed) -> Self {
        let here = party.as_ref().ok().map(|party| party.name.as_str());
        let row = |entry| PasskeyRow::new(entry, here, typed);
        Self {
            rows: all.into_iter().map(row).collect(),
            most: MOST_PASSKEYS,
            none_because: party.as_ref().err().copied(),
        }
    }

    /// Whether there is room for one more.
    pub fn takes_more(&self) -> bool {
        self.rows.len() < self.most
    }
}

/// One line of the list.
pub struct PasskeyRow {
    pub id: String,
    pub label: String,
    /// "made on 5 Mar 2026, never used".
    pub about: String,
    /// Why it opens nothing here.
    pub idle: Option<String>,
    /// The password asked for before it is removed.
    pub password: Field,
}

impl PasskeyRow {
    fn new(entry: PasskeyEntry, here: Option<&str>, typed: &Typed) -> Self {
        let used = match entry.last_used_at {
            Some(at) => format!("last used {}", say::moment(at)),
            None => "not used yet".to_owned(),
        };
        let idle = match (entry.doubted_at, here) {
            (Some(at), _) => Some(format!(
                "Not accepted since {}: its counter went back, so there may be a copy of it. Remove it, and look at where you are signed in.",
                say::moment(at)
            )),
            (None, Some(here)) if here != entry.party => Some(format!(
                "Made under {}; it opens nothing under {here}.",
                entry.party
            )),
            (None, _) => None,
        };
        Self {
            password: typed.field(&removal_field(entry.id.as_str())),
            about: format!("made on {}, {used}", say::day(entry.made_at.date())),
            id: entry.id.to_string(),
            label: entry.label,
            idle,
        }
    }
}

/// The name of the field for the password before a passkey is removed.
pub(super) fn removal_field(passkey: &str) -> String {
    format!("own-{passkey}")
}
