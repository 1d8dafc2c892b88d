//! An invented county to look around in: three departments, their members,
//! twenty vehicles and what was found in them. Departments, people, makes,
//! models and figures are all invented, and every card says so.
//!
//! The data are card files (`cards/`), one finding a line. The history is made
//! from them: findings come in by the day and the member who took them, and
//! what became of one (confirmed, corrected, withdrawn, declined, resolved) is a
//! later revision, as it would have been.

mod accounts;
mod cards;
mod history;
mod notes;
mod tools;

use crate::contract::card_file::{self, CardFileError};
use crate::domain::visibility::Visibility;
use crate::store::{Actor, DepartmentId, PlanSettings, Store, StoreError};
pub use accounts::{READY_ACCOUNTS, READY_PASSWORD, ReadyAccount};
use cards::{CARDS, DEPARTMENTS};
pub use cards::{FULLEST, names, text};
use time::OffsetDateTime;

/// Why the demo could not be laid out.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    #[error("the demo needs an empty store")]
    NotEmpty,
    #[error("the demo's card {name} cannot be read")]
    Card {
        name: &'static str,
        #[source]
        source: CardFileError,
    },
    #[error("the demo's card {name} names {who}, who is no member of its department")]
    Stranger { name: &'static str, who: String },
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The members of one department; the first leads.
#[derive(Debug)]
struct Crew {
    department: DepartmentId,
    members: Vec<Actor>,
}

/// Fills an empty store and gives back its local member, who belongs to the
/// first department; the other two are its partners and share their cards.
pub async fn fill(store: &Store, now: OffsetDateTime) -> Result<Actor, DemoError> {
    let mut crews: Vec<Crew> = Vec::new();
    for (nth, (name, members)) in DEPARTMENTS.iter().enumerate() {
        crews.push(found(store, name, members, nth == 0, now).await?);
    }
    let local = crews[0].members[0].clone();
    if !store.all_summaries(&local.department).await?.is_empty() {
        return Err(DemoError::NotEmpty);
    }
    let settings = PlanSettings {
        tools: tools::tools(),
        ..PlanSettings::default()
    };
    store
        .set_plan_settings(&local, None, &settings, now)
        .await?;
    let mut noted = None;
    for card in &CARDS {
        let read = card_file::read(card.text.as_bytes()).map_err(|source| DemoError::Card {
            name: card.name,
            source,
        })?;
        let made =
            history::replay(store, card.name, &crews[card.department], read.card, now).await?;
        if card.name == notes::NOTED {
            noted = made;
        }
    }
    share(store, &crews, now).await?;
    if let Some(card) = noted {
        notes::write(store, &crews, &card).await?;
    }
    accounts::open(store, &crews, now).await?;
    Ok(local)
}

/// Makes the others partners of the first department, and lets partners read
/// every card there is.
async fn share(store: &Store, crews: &[Crew], now: OffsetDateTime) -> Result<(), DemoError> {
    let first = &crews[0];
    for crew in &crews[1..] {
        store
            .ask_partner(&crew.members[0], &first.department, now)
            .await?;
        store
            .accept_partner(&first.members[0], &crew.department, now)
            .await?;
    }
    for crew in crews {
        for card in store.all_summaries(&crew.department).await? {
            if card.department == crew.department {
                store
                    .set_visibility(&crew.members[0], &card.id, Visibility::Partners, now)
                    .await?;
            }
        }
    }
    Ok(())
}

/// Founds a department with its members.
async fn found(
    store: &Store,
    name: &str,
    members: &[&str],
    local: bool,
    now: OffsetDateTime,
) -> Result<Crew, DemoError> {
    let mut crew = Crew {
        department: DepartmentId::new(""),
        members: Vec::new(),
    };
    let mut names = members.iter();
    if local {
        let first = names.next().copied().unwrap_or_default();
        let actor = store.ensure_local_named(name, first, now).await?;
        crew.department = actor.department.clone();
        crew.members.push(actor);
    } else {
        crew.department = store.create_department(name, now).await?.id;
    }
    for member in names {
        let roles = accounts::roles_of(member);
        let made = store.create_member_with(&crew.department, member, roles, now);
        let made = made.await?;
        crew.members.extend(made);
    }
    Ok(crew)
}
