//! Which of the openings worked out are offered, in which order, and which of
//! them is the immediate one.

use super::exit::way;
use super::opening::Draft;
use super::own_order::Flagged;
use super::rank::{self, Fitness};
use super::scene::Scene;
use crate::domain::frame::Side;
use crate::domain::opening::ask::Ask;
use crate::domain::opening::result::{NotOffered, PlannedOpening};

/// The openings that are offered, best first, the immediate one marked.
pub fn offered(
    drafts: Vec<Draft>,
    flagged: Option<&Flagged>,
    scene: &Scene,
    ask: &Ask,
    not_offered: &mut Vec<NotOffered>,
) -> Vec<PlannedOpening> {
    let near = near_sides(scene, ask);
    let mut planned: Vec<(Draft, PlannedOpening)> = drafts
        .into_iter()
        .map(|d| {
            let opening = d.finish(scene);
            (d, opening)
        })
        .collect();
    let immediate = planned
        .iter()
        .filter(|(d, _)| rank::can_be_immediate(&d.opening.suits))
        .min_by_key(|(d, o)| rank::quickest(o, d.listed, &near))
        .map(|(_, o)| (o.id.clone(), o.side, way(&o.name, o.side)));
    for (_, opening) in &mut planned {
        opening.immediate = immediate
            .as_ref()
            .is_some_and(|(id, side, _)| *id == opening.id && *side == opening.side);
    }
    let (mut kept, dropped): (Vec<_>, Vec<_>) = planned
        .into_iter()
        .partition(|(d, o)| d.fitness < Fitness::OnlyNow || o.immediate);
    not_offered.extend(dropped.into_iter().map(|(_, o)| NotOffered {
        because: o.reasons.first().cloned().unwrap_or_default(),
        id: o.id,
        name: o.name,
        side: o.side,
    }));
    not_offered.sort_by(|a, b| (&a.id, a.side).cmp(&(&b.id, b.side)));
    kept.sort_by_cached_key(|(d, o)| rank::key(o, d.fitness, &near));
    let way = immediate.as_ref().map(|(_, _, way)| way.as_str());
    kept.into_iter()
        .map(|(draft, mut opening)| {
            let other = way.filter(|_| !opening.immediate);
            draft.write_exits(&mut opening, other);
            if let Some(flagged) = flagged {
                opening.flags = flagged.of(&opening.id, opening.side).to_vec();
            }
            opening
        })
        .collect()
}

/// The sides the patients sit on.
fn near_sides(scene: &Scene, ask: &Ask) -> Vec<Side> {
    let seats = scene.body.style.seats.iter();
    seats
        .filter(|s| ask.seats.iter().any(|id| *id == *s.id))
        .map(|s| s.side)
        .collect()
}
