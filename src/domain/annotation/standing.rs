//! Where a remark stands, and who may bring it elsewhere.

use crate::domain::role::{Deed, Roles};
use crate::domain::vehicle::words;
use time::Date;

words! {
    /// Where a note or a reply stands.
    Standing {
        /* shown on cards, drawings and paper */
        Open = "open",
        /* by a partner: shown as offered until an officer decides */
        Offered = "offered",
        /* seen to; kept on the card's list of notes */
        Resolved = "resolved",
        /* kept off drawings and paper */
        Hidden = "hidden",
        Declined = "declined",
        Withdrawn = "withdrawn",
    }
}

/// Who brought a remark to where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    pub by: String,
    pub on: Date,
    pub reason: Option<String>,
}

/// Who asks for a remark to stand elsewhere.
#[derive(Debug, Clone, Copy)]
pub struct Asker<'a> {
    /// Whether they wrote it.
    pub is_author: bool,
    /// What they may do in the card's own department.
    pub roles: &'a Roles,
}

/// Why a remark stays where it stands.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StandingError {
    #[error("it is {from} and cannot become {to}")]
    Fixed { from: Standing, to: Standing },
    #[error("this takes {takes}")]
    NotYours { takes: &'static str },
    #[error("say why it is {to}")]
    ReasonMissing { to: Standing },
}

impl Standing {
    /// Whether it is drawn and printed.
    pub const fn shows(self) -> bool {
        matches!(self, Self::Open | Self::Offered)
    }

    /// Whether everybody who reads the card sees it; else its department alone,
    /// and who wrote it.
    pub const fn is_for_all(self) -> bool {
        matches!(self, Self::Open | Self::Offered | Self::Resolved)
    }

    /// Whether it needs a reason.
    pub const fn needs_reason(self) -> bool {
        matches!(self, Self::Declined | Self::Withdrawn)
    }

    /// What a remark that stands here can become, whoever asks. A reply is not
    /// resolved: the note it answers is.
    pub fn ways(self, is_reply: bool) -> &'static [Self] {
        match (self, is_reply) {
            (Self::Offered, _) => &[Self::Open, Self::Declined, Self::Withdrawn],
            (Self::Open, false) => &[Self::Resolved, Self::Hidden, Self::Withdrawn],
            (Self::Open, true) => &[Self::Hidden, Self::Withdrawn],
            (Self::Resolved | Self::Hidden, _) => &[Self::Open, Self::Withdrawn],
            (Self::Declined | Self::Withdrawn, _) => &[],
        }
    }

    /// Whether who asks may bring it to another standing.
    ///
    /// # Errors
    /// Why not.
    pub fn may_become(
        self,
        to: Self,
        is_reply: bool,
        asker: Asker<'_>,
    ) -> Result<(), StandingError> {
        if !self.ways(is_reply).contains(&to) {
            return Err(StandingError::Fixed { from: self, to });
        }
        let Asker { is_author, roles } = asker;
        let (may, takes) = match (self, to) {
            (Self::Offered, Self::Withdrawn) => (is_author, "who wrote it"),
            (Self::Offered, _) => (
                roles.may(Deed::Decide) && !is_author,
                "an officer who did not write it",
            ),
            (_, Self::Withdrawn) => (
                is_author || roles.may(Deed::Decide),
                "who wrote it, or an officer",
            ),
            _ => (roles.may(Deed::Record), Deed::Record.takes()),
        };
        match may {
            true => Ok(()),
            false => Err(StandingError::NotYours { takes }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::role::Role;

    const NOBODY: &[Role] = &[];

    fn may(from: Standing, to: Standing, is_author: bool, roles: &[Role]) -> bool {
        let roles = &Roles::from_iter(roles.iter().copied());
        from.may_become(to, false, Asker { is_author, roles })
            .is_ok()
    }

    #[test]
    fn an_offer_is_decided_by_an_officer_who_did_not_write_it() {
        use Standing::*;
        for to in [Open, Declined] {
            assert!(may(Offered, to, false, &[Role::Officer]));
            assert!(!may(Offered, to, true, &[Role::Officer]));
            assert!(!may(Offered, to, false, &[Role::Member, Role::Keeper]));
        }
        assert!(may(Offered, Withdrawn, true, NOBODY));
        assert!(!may(Offered, Withdrawn, false, &[Role::Officer]));
    }

    #[test]
    fn who_records_resolves_and_hides_and_only_author_or_officer_withdraws() {
        use Standing::*;
        for (from, to) in [
            (Open, Resolved),
            (Open, Hidden),
            (Resolved, Open),
            (Hidden, Open),
        ] {
            assert!(may(from, to, false, &[Role::Member]));
            assert!(!may(from, to, false, &[Role::Trainer, Role::Keeper]));
            assert!(!may(from, to, true, NOBODY), "a partner's note is accepted");
        }
        assert!(may(Open, Withdrawn, true, NOBODY));
        assert!(may(Hidden, Withdrawn, false, &[Role::Officer]));
        assert!(!may(Open, Withdrawn, false, &[Role::Member]));
    }

    #[test]
    fn what_is_declined_or_withdrawn_stays_so_and_replies_are_not_resolved() {
        for from in [Standing::Declined, Standing::Withdrawn] {
            for to in Standing::ALL {
                assert!(!may(from, *to, true, Role::ALL), "{from} to {to}");
            }
        }
        let roles = &Roles::all();
        let asker = Asker {
            is_author: true,
            roles,
        };
        let reply = Standing::Open.may_become(Standing::Resolved, true, asker);
        assert!(matches!(reply, Err(StandingError::Fixed { .. })));
    }
}
