//! What nobody knows about an opening on this car, one sentence each. A plan
//! counts them; it never takes an unknown for the better answer.

use super::opening::wish_of;
use super::scene::Scene;
use crate::domain::card::Glass;
use crate::domain::opening::ask::{Answer, Ask};
use crate::domain::opening::room::Room;
use crate::domain::opening::steel::ForceBand;
use crate::domain::opening::step::Step;
use crate::domain::opening::template::{Act, On, Opening};
use std::collections::{BTreeMap, BTreeSet};

/// Every unknown of an opening, in the order of its steps.
pub fn of(
    opening: &Opening,
    steps: &[Step],
    scene: &Scene,
    rooms: &BTreeMap<&str, Room>,
    ask: &Ask,
) -> Vec<String> {
    let mut found: Vec<String> = hand(opening, ask).into_iter().collect();
    found.extend(drive(scene, ask));
    found.extend(steel(steps, scene, rooms, ask));
    found.extend(glass(steps, scene));
    found
}

/// Whether a flat hand passes, where it must and nobody has said.
pub fn hand(opening: &Opening, ask: &Ask) -> Option<String> {
    let open = opening.suits.flat_hand && ask.hand_passes == Answer::Unknown;
    open.then(|| {
        "unknown whether a flat hand passes between patient and door: without that room, not this \
         way (common practice, no source)"
            .to_owned()
    })
}

fn drive(scene: &Scene, ask: &Ask) -> Option<String> {
    let known = ask.variant.drive.or(scene.zones.vehicle.drive);
    known
        .is_none()
        .then(|| "drive unknown: planned as battery drive".to_owned())
}

/// Cuts with reinforced steel in their range of which the force, or the tool's,
/// cannot be worked out. By the range, not the place: else a cut that has to move
/// could look better for it.
fn steel(steps: &[Step], scene: &Scene, rooms: &BTreeMap<&str, Room>, ask: &Ask) -> Vec<String> {
    let mut found = Vec::new();
    for step in steps.iter().filter(|s| s.form.act == Act::Cut) {
        let On::Span(form) = &step.form.on else {
            continue;
        };
        let Some(room) = rooms.get(form.id.as_str()) else {
            continue;
        };
        let wish = wish_of(form, step.form.tool, room.span, scene, ask);
        let rated = step
            .form
            .tool
            .and_then(|kind| super::tool::choose(ask, kind))
            .and_then(|tool| tool.force_kn);
        let open = scene
            .steel_in_range(room, &wish)
            .any(|steel| rated.is_none() || steel.is_none_or(|s| ForceBand::of(s).is_err()));
        if open {
            found.push(format!(
                "{}: hardened or special metal in the cut's range, force unknown",
                room.span.name
            ));
        }
    }
    found
}

fn glass(steps: &[Step], scene: &Scene) -> Vec<String> {
    let managed = steps.iter().filter(|s| s.form.act == Act::ManageGlass);
    let panes: BTreeSet<&str> = managed
        .filter_map(|s| match &s.form.on {
            On::Part(pane) => Some(pane.as_str()),
            _ => None,
        })
        .collect();
    let style = scene.body.style;
    style
        .panes
        .iter()
        .filter(|p| panes.contains(&*p.id))
        .filter(|p| scene.glass(&p.id) == Glass::Unknown)
        .map(|p| {
            format!(
                "{}: glass unknown, treated as laminated for the tool and as tempered for covering",
                p.name
            )
        })
        .collect()
}
