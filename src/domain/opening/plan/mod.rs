//! The planner: what is asked against the zones, every opening that suits, cut
//! by cut, best first. A function of its arguments; the clock is one of them.
//!
//! `scene` fits and zones the card; `opening` works one opening out on it;
//! `unknown` counts what nobody knows; `rank` says how it
//! suits; `choose` puts the openings in order and picks the immediate one;
//! `exit` says the fastest way out from each step; `own_order` takes a
//! member's own order as it is and flags the rules it breaks.

mod because;
mod choose;
mod exit;
mod opening;
mod own_order;
mod rank;
mod scene;
mod tool;
mod unknown;

use super::ask::Ask;
use super::catalogue::catalogue;
use super::contradiction::{Contradiction, contradictions};
use super::expand::{self, Car, Made};
use super::order::{self, Rules};
use super::restraint;
use super::result::{NotOffered, Plan};
use super::template::Opening;
use crate::domain::card::Card;
use crate::domain::zone::ZoneError;
pub use exit::way;
use opening::Draft;
pub use own_order::OrderError;
use scene::Scene;
use std::collections::BTreeSet;

/// What a department has set for its plans.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Settings {
    /// Its own openings, beside the catalogue's.
    pub own_openings: Vec<Opening>,
    /// Ids of order rules it has switched off.
    pub rules_off: BTreeSet<String>,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    #[error(transparent)]
    Zones(#[from] ZoneError),
    /// Every answer that cannot be so.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Ask(Vec<Contradiction>),
    #[error(transparent)]
    Rule(#[from] order::NotSwitchable),
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Order(Vec<OrderError>),
}

/// Plans every opening for an ask on a card.
///
/// # Errors
/// The card has no zones; answers of the ask cannot be so; a rule is off that cannot
/// be; a member's own order does not name every step once; or a department's opening
/// runs in a circle.
pub fn plan(card: &Card, ask: &Ask, settings: &Settings) -> Result<Plan, PlanError> {
    let scene = Scene::new(card, ask)?;
    let contradictions = contradictions(ask, &scene.body);
    if !contradictions.is_empty() {
        return Err(PlanError::Ask(contradictions));
    }
    let rooms = scene.rooms(ask);
    let car = Car {
        card,
        body: &scene.body,
        zones: &scene.zones,
    };
    let rules = Rules::in_force(&card.policy, &settings.rules_off)?;
    let mut not_offered = Vec::new();
    let mut drafts: Vec<Draft> = Vec::new();
    let openings = catalogue().iter().chain(&settings.own_openings);
    for (listed, opening) in openings.enumerate() {
        for way in expand::ways(opening, &car, ask) {
            let made = way.and_then(|Made { side, steps }| {
                opening::draft((listed, opening), side, steps, &scene, &rooms, ask).map_err(
                    |because| NotOffered {
                        id: opening.id.clone(),
                        name: opening.name.clone(),
                        side,
                        because,
                    },
                )
            });
            match made {
                Ok(draft) => drafts.push(draft),
                Err(why) => not_offered.push(why),
            }
        }
    }
    let mut drafts = sorted(drafts, &rules, &mut not_offered);
    let flagged = own_order::put(&mut drafts, &rules, ask).map_err(PlanError::Order)?;
    let openings = choose::offered(drafts, flagged.as_ref(), &scene, ask, &mut not_offered);
    Ok(Plan {
        ask: ask.clone(),
        openings,
        not_offered,
        keep_outs: restraint::keep_outs(card, &scene.body, &scene.zones, ask),
        restraints: restraint::restraints(card, ask),
    })
}

/// Every draft's steps in order. An opening of a department's own whose steps wait
/// for each other is not offered, and says so; the others stand.
fn sorted<'a>(
    drafts: Vec<Draft<'a>>,
    rules: &Rules,
    not_offered: &mut Vec<NotOffered>,
) -> Vec<Draft<'a>> {
    let mut kept = Vec::with_capacity(drafts.len());
    for mut draft in drafts {
        match order::sort(std::mem::take(&mut draft.steps), rules) {
            Ok(steps) => {
                draft.steps = steps;
                kept.push(draft);
            }
            Err(circle) => not_offered.push(NotOffered {
                id: draft.opening.id.clone(),
                name: draft.opening.name.clone(),
                side: draft.side,
                because: circle.to_string(),
            }),
        }
    }
    kept
}
