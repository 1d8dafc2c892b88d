//! Ready accounts of the demo, one of each part in the first department and some
//! in its neighbours. Their password stands on the sign-in page: nothing real is
//! behind it.

use super::{Crew, DemoError};
use crate::domain::role::{Role, Roles};
use crate::store::{NewCredential, Store};
use time::OffsetDateTime;

/// The password of every ready account.
pub const READY_PASSWORD: &str = "ladle hinge copper moss";
/// Its argon2id hash, made once: hashing at each start would only take time.
const READY_HASH: &str = "$argon2id$v=19$m=19456,t=2,p=1$/79rPNbifhflEAAxxyjQ7Q$ndtshUTRmNoBwkc/z1Qu9F8Ek2BXwvQmN9OwTRZuJXA";

/// An account the sign-in page shows.
#[derive(Debug, Clone, Copy)]
pub struct ReadyAccount {
    pub sign_in_name: &'static str,
    pub member: &'static str,
    pub department: &'static str,
    roles: &'static [Role],
}

impl ReadyAccount {
    /// What they may do: "member, officer".
    pub fn roles_in_words(&self) -> String {
        self.roles().to_string()
    }

    fn roles(&self) -> Roles {
        self.roles.iter().copied().collect()
    }
}

const ALDERMERE: &str = "Aldermere Ridge Fire District";
const SALTBY: &str = "Saltby Harbour Fire and Rescue";
const OAKMERE: &str = "Oakmere Vale Volunteer Fire Company";

/// Every ready account; the first is the one whoever comes acts as.
pub const READY_ACCOUNTS: [ReadyAccount; 7] = [
    account("ines", "Ines Tolland", ALDERMERE, Role::ALL),
    account("marek", "Marek Ashby", ALDERMERE, &[Role::Officer]),
    account("wil", "Wil Carden", ALDERMERE, &[Role::Member]),
    account("odile", "Odile Farrow", ALDERMERE, &[Role::Trainer]),
    account("petra", "Petra Lunn", ALDERMERE, &[Role::Keeper]),
    account("rue", "Rue Pellow", SALTBY, &[Role::Officer, Role::Keeper]),
    account(
        "dana",
        "Dana Birchall",
        OAKMERE,
        &[Role::Officer, Role::Keeper],
    ),
];

const fn account(
    sign_in_name: &'static str,
    member: &'static str,
    department: &'static str,
    roles: &'static [Role],
) -> ReadyAccount {
    ReadyAccount {
        sign_in_name,
        member,
        department,
        roles,
    }
}

/// Officers without an account: what shrinks a no-cut waits for an officer who did
/// not record it, so a department has two, and a card is reviewed by a third.
const MORE_OFFICERS: [&str; 3] = ["Hale Brockett", "Tomas Wray", "Joss Okell"];

/// What a member of the demo may do: what their account says, else record.
pub(super) fn roles_of(member: &str) -> Roles {
    let ready = READY_ACCOUNTS.iter().find(|a| a.member == member);
    let more = match MORE_OFFICERS.contains(&member) {
        true => Role::Officer,
        false => Role::Member,
    };
    ready.map_or(Roles::from_iter([more]), ReadyAccount::roles)
}

/// Gives the ready accounts their password.
pub(super) async fn open(
    store: &Store,
    crews: &[Crew],
    now: OffsetDateTime,
) -> Result<(), DemoError> {
    for member in crews.iter().flat_map(|crew| &crew.members) {
        let ready = READY_ACCOUNTS
            .iter()
            .find(|a| a.member == member.member_name);
        let Some(ready) = ready else { continue };
        let new = NewCredential {
            sign_in_name: ready.sign_in_name.to_owned(),
            password_hash: READY_HASH.to_owned(),
        };
        store.set_credential(member, &new, None, now).await?;
    }
    Ok(())
}
