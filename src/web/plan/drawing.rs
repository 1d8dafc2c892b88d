//! What the open opening does, drawn on the side frame of the side worked on
//! and on the strip of each span: numbers are the steps'.

use super::words;
use crate::domain::body::SpanGroup;
use crate::domain::frame::Side;
use crate::domain::opening::template::Act;
use crate::domain::opening::{
    CutStatus, Look, LookFound, Placement, PlannedOpening, PlannedStep, Target,
};
use crate::domain::zone::Zones;
use crate::sketch::scene::Scene;
use crate::sketch::{self, Doing, Look as Shade, Options, Person, Room, Turn, View, Work, svg};
use crate::web::drawing;
use crate::web::reading::Reading;

/// Everything an opening does on spans, with the looks at the car.
pub fn works(opening: &PlannedOpening, looks: &[Look]) -> Vec<Work> {
    let steps = opening.steps.iter().flat_map(of_step);
    let mut works: Vec<Work> = Vec::new();
    for work in steps.chain(looks.iter().map(of_look)) {
        // Several contacts of one step at one place are one mark.
        if !works.contains(&work) {
            works.push(work);
        }
    }
    works
}

fn of_step(step: &PlannedStep) -> Vec<Work> {
    let own = match &step.target {
        Target::Place(place) if step.act == Act::Cut => Some((Doing::Cut, place)),
        Target::Place(place) if presses(step.act) => Some((Doing::Contact, place)),
        _ => None,
    };
    // Where the car is held is told in words: its marks would hide the cuts'.
    let contacts = step.contacts.iter();
    let contacts = contacts.filter(|_| !step.act.holds_the_car());
    let contacts = contacts.map(|c| (Doing::Contact, &c.place));
    let all = own.into_iter().chain(contacts);
    all.map(|(doing, place)| of_place(step, doing, place))
        .collect()
}

/// Whether an act puts force on the place it is done to.
const fn presses(act: Act) -> bool {
    !matches!(act, Act::Cut | Act::Expose | Act::Cover)
}

fn of_place(step: &PlannedStep, doing: Doing, place: &Placement) -> Work {
    let station = place.station_mm.unwrap_or(place.default_mm);
    Work {
        doing,
        number: step.n.to_string(),
        span: place.span.clone(),
        from_mm: station,
        to_mm: station,
        blocked: place.status == CutStatus::Blocked,
        word: words::status(place.status).to_owned(),
    }
}

fn of_look(look: &Look) -> Work {
    Work {
        doing: Doing::Look,
        number: String::new(),
        span: look.span.clone(),
        from_mm: look.from_mm,
        to_mm: look.to_mm,
        blocked: false,
        word: match look.found {
            LookFound::Bare => "bare".to_owned(),
            LookFound::Part(kind) => kind.name().to_owned(),
        },
    }
}

/// The side frame with the steps' numbers; of an opening with no side both, the
/// second without key and cautions, which stand in the first.
pub fn frames(reading: &Reading, opening: &PlannedOpening, works: &[Work]) -> Vec<String> {
    let title = reading.title();
    let zones = worked_on(reading, works);
    let frame = |side: Side, beside_another: bool| {
        let options = Options {
            works,
            beside_another,
            ..options(reading, &title)
        };
        let zones = match beside_another {
            true => without_middle(zones.clone()),
            false => zones.clone(),
        };
        let frame = sketch::side_frame(&zones, side, &options);
        svg::write_inline(&frame.snapped().ruled())
    };
    match opening.side {
        Some(side) => vec![frame(side, false)],
        None => vec![frame(Side::Left, false), frame(Side::Right, true)],
    }
}

/// Members that belong to no side stand in the first of two frames.
fn without_middle(mut zones: Zones) -> Zones {
    zones.spans.retain(|span| span.side != Side::Centre);
    zones
}

/// The side as it stands, and of the members across and along the car those that
/// are worked on.
fn worked_on(reading: &Reading, works: &[Work]) -> Zones {
    let mut zones = reading.zones.clone();
    zones.spans.retain(|span| {
        let aside = matches!(span.group, SpanGroup::Cross | SpanGroup::Along);
        !aside || works.iter().any(|w| w.span == span.id)
    });
    zones
}

/// The car in one view, with the steps' numbers.
pub fn view(
    reading: &Reading,
    (works, rooms, people): (&[Work], &[Room], &[Person]),
    (view, turn, look): (View, Turn, Shade),
) -> Scene {
    let title = reading.title();
    let options = Options {
        works,
        rooms,
        people,
        turn,
        look,
        ..options(reading, &title)
    };
    sketch::draw(&reading.zones, &reading.body, view, &options)
}

/// One span as a short bar; empty where the car has no such span.
pub fn strip(reading: &Reading, works: &[Work], span: &str) -> String {
    let Some(span) = reading.zones.spans.iter().find(|s| s.id == span) else {
        return String::new();
    };
    let options = Options {
        works,
        ..options(reading, "")
    };
    svg::write_inline(
        &sketch::strip(&reading.zones, span, &options)
            .snapped()
            .ruled(),
    )
}

fn options<'a>(reading: &'a Reading, title: &'a str) -> Options<'a> {
    Options {
        cautions: true,
        ..drawing::options(reading, title)
    }
}
