//! What a member of a department may do.

use super::vehicle::words;
use std::collections::BTreeSet;

words! {
    /// A part somebody has in a department. Everybody who is signed in reads.
    Role { Member = "member", Officer = "officer", Trainer = "trainer", Keeper = "keeper" }
}

words! {
    /// What takes a role.
    Deed { Record = "record", Decide = "decide", Teach = "teach", Keep = "keep", Oversee = "oversee" }
}

impl Role {
    /// What it is for, as a page says it.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Member => "records findings, makes cards and notes",
            Self::Officer => "does what a member does, accepts offers, reviews cards, sets policy",
            Self::Trainer => "makes handouts for classes",
            Self::Keeper => "keeps people, sharing and keys",
        }
    }

    /// Whether this role is enough for a deed.
    pub const fn may(self, deed: Deed) -> bool {
        matches!(
            (self, deed),
            (Self::Member | Self::Officer, Deed::Record)
                | (Self::Officer, Deed::Decide)
                | (Self::Trainer | Self::Officer, Deed::Teach)
                | (Self::Keeper, Deed::Keep)
                | (Self::Officer | Self::Keeper, Deed::Oversee)
        )
    }
}

impl Deed {
    /// The roles that are enough for it, as a refusal names them.
    pub const fn takes(self) -> &'static str {
        match self {
            Self::Record => "a member or an officer",
            Self::Decide => "an officer",
            Self::Teach => "a trainer or an officer",
            Self::Keep => "a keeper",
            Self::Oversee => "an officer or a keeper",
        }
    }
}

/// The roles somebody has.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Roles(BTreeSet<Role>);

impl Roles {
    /// Every role there is: of who is alone.
    pub fn all() -> Self {
        Role::ALL.iter().copied().collect()
    }

    /// Whether one of them is enough for a deed.
    pub fn may(&self, deed: Deed) -> bool {
        self.0.iter().any(|role| role.may(deed))
    }

    pub fn has(&self, role: Role) -> bool {
        self.0.contains(&role)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub fn iter(&self) -> impl Iterator<Item = Role> + '_ {
        self.0.iter().copied()
    }
}

impl FromIterator<Role> for Roles {
    fn from_iter<T: IntoIterator<Item = Role>>(roles: T) -> Self {
        Self(roles.into_iter().collect())
    }
}

impl std::fmt::Display for Roles {
    /// In words: "member, keeper".
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let words: Vec<&str> = self.iter().map(Role::word).collect();
        f.write_str(&words.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_deed_takes_the_roles_it_names_and_no_other() {
        let of = |deed| {
            Role::ALL
                .iter()
                .copied()
                .filter(|r| r.may(deed))
                .collect::<Vec<_>>()
        };
        assert_eq!(of(Deed::Record), [Role::Member, Role::Officer]);
        assert_eq!(of(Deed::Decide), [Role::Officer]);
        assert_eq!(of(Deed::Teach), [Role::Officer, Role::Trainer]);
        assert_eq!(of(Deed::Keep), [Role::Keeper]);
        assert_eq!(of(Deed::Oversee), [Role::Officer, Role::Keeper]);
        assert!(!Roles::default().may(Deed::Record));
        assert_eq!(Roles::all().to_string(), "member, officer, trainer, keeper");
    }
}
