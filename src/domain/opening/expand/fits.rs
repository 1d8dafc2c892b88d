//! Whether an opening can be made on this car at all, and if not, why not and
//! what would change it.

use super::Car;
use super::fill::Words;
use crate::domain::body::BodyStyle;
use crate::domain::frame::Side;
use crate::domain::opening::ask::{Answer, Ask, Reach, Resting};
use crate::domain::opening::template::{NeedOf, Opening, WorkedFrom};
use crate::domain::vehicle::WheelSide;

/// Whether the body has what is needed.
pub fn met(need: &NeedOf, side: Side, car: &Car, ask: &Ask) -> bool {
    let style: &BodyStyle = car.body.style;
    match need {
        NeedOf::Span(id) => style.spans.iter().any(|s| s.id == *id),
        NeedOf::NoSpan(id) => style.spans.iter().all(|s| s.id != *id),
        NeedOf::Door { id, hinges } => style
            .doors
            .iter()
            .any(|d| d.id == *id && hinges.contains(&d.hinge)),
        NeedOf::NoDoor(id) => style.doors.iter().all(|d| d.id != *id),
        NeedOf::BPillar(kinds) => kinds.contains(&style.b_pillar),
        NeedOf::Pane(id) => style.panes.iter().any(|p| p.id == *id),
        NeedOf::SeatRow(row) => style.seats.iter().any(|s| s.row == *row),
        NeedOf::SteeringWheel => {
            let wheel = ask.variant.wheel.or(car.zones.vehicle.wheel);
            wheel.is_none_or(|w| match w {
                WheelSide::Left => side == Side::Left,
                WheelSide::Right => side == Side::Right,
            })
        }
    }
}

/// Why the opening is not made for this ask, whatever the side.
pub fn refused(opening: &Opening, rows: &[u32], ask: &Ask) -> Option<String> {
    let suits = &opening.suits;
    if !suits.resting.contains(&ask.resting) {
        let made: Vec<&str> = suits.resting.iter().map(|r| lying(*r)).collect();
        return Some(format!(
            "it is made on a car {}; this one lies {}",
            made.join(" or "),
            lying(ask.resting)
        ));
    }
    if !suits.rows.is_empty() && !rows.iter().any(|row| suits.rows.contains(row)) {
        let served: Vec<String> = suits.rows.iter().map(u32::to_string).collect();
        return Some(format!(
            "it serves seat row {}; no patient sits there",
            served.join(" or ")
        ));
    }
    unreached(opening.worked_from, ask)
}

/// Why the opening is not made on this side.
pub fn refused_on(
    opening: &Opening,
    side: Side,
    patient_here: bool,
    words: &Words,
    car: &Car,
    ask: &Ask,
) -> Option<String> {
    let unmet = opening
        .needs
        .iter()
        .find(|n| !met(&words.need(&n.what), side, car, ask));
    if let Some(need) = unmet {
        return Some(words.text(&need.because));
    }
    if opening.worked_from == WorkedFrom::Side && !ask.reach.contains(&reach_of(side)) {
        return Some(cannot_reach(side, ask.resting));
    }
    let no_hand = opening.suits.flat_hand && patient_here && ask.hand_passes == Answer::No;
    no_hand.then(|| {
        "no flat hand passes between patient and door (common practice, no source); once there is \
         room, by moving the seat or the door, say so and it is planned"
            .to_owned()
    })
}

fn unreached(from: WorkedFrom, ask: &Ask) -> Option<String> {
    let missing = |reach: &[Reach]| reach.iter().copied().find(|r| !ask.reach.contains(r));
    match from {
        WorkedFrom::Inside | WorkedFrom::Side => None,
        WorkedFrom::BothSides => missing(&[Reach::Left, Reach::Right]).map(|r| {
            format!("it is worked from both sides at once, and nobody can work from the {r}; with room there it is planned")
        }),
        WorkedFrom::Front => missing(&[Reach::Front]).map(end_unreached),
        WorkedFrom::Rear => missing(&[Reach::Rear]).map(end_unreached),
    }
}

fn end_unreached(end: Reach) -> String {
    format!("nobody can work from the {end}; with room there it is planned")
}

fn cannot_reach(side: Side, resting: Resting) -> String {
    let side = side.word();
    let on_the_ground = matches!(
        (resting, side),
        (Resting::Left, "left") | (Resting::Right, "right")
    );
    if on_the_ground {
        format!("the {side} side lies on the ground")
    } else {
        format!("nobody can work from the {side}; with room there it is planned")
    }
}

const fn reach_of(side: Side) -> Reach {
    match side {
        Side::Left | Side::Centre => Reach::Left,
        Side::Right => Reach::Right,
    }
}

const fn lying(resting: Resting) -> &'static str {
    match resting {
        Resting::Wheels => "on its wheels",
        Resting::Left => "on its left side",
        Resting::Right => "on its right side",
        Resting::Roof => "on its roof",
    }
}
