//! Why a step is as it is, in sentences: why a cut stands where it does, what is
//! in the way, what a saw does.

use super::opening::Placed;
use super::scene::Scene;
use crate::domain::opening::result::{CutStatus, PlacedContact, Placement, Target, ToolFit};
use crate::domain::opening::template::{Act, StepForm};

/// Trade: some posts carry a high-voltage cable.
const NO_RELIEF_CUT: &str = "a high-voltage cable may run in this post: use a way without a relief \
                             cut, as the dash push, unless the metal is seen bare";

/// Of a place that holds the car; see [`Act::holds_the_car`].
const HELD_ELSEWHERE: &str = "where a place to hold the car is blocked or likely occupied, hold it \
                              at another firm place; these places are not counted";

/// The sentences of one step.
pub fn of(form: &StepForm, placed: &Placed, scene: &Scene) -> Vec<String> {
    let mut found = Vec::new();
    match &placed.target {
        Target::Place(place) if form.act == Act::Cut => {
            found.extend(cut(place, scene));
            let relief = form.id.starts_with("relief-");
            if relief && scene.holds_high_voltage(place) {
                found.push(NO_RELIEF_CUT.to_owned());
            }
        }
        Target::Panel(line) if form.act == Act::Cut => {
            found.extend(standing(line.status, &line.by, line.fabric_only, scene));
        }
        _ => {}
    }
    for contact in &placed.contacts {
        let place = &contact.place;
        for sentence in standing(place.status, &place.by, place.fabric_only, scene) {
            found.push(format!("{}: {sentence}", contact.name));
        }
        found.extend(confirm(place, scene).map(|c| format!("{}: {c}", contact.name)));
    }
    let closed = |c: &PlacedContact| c.place.status >= CutStatus::LikelyOccupied;
    if form.act.holds_the_car() && placed.contacts.iter().any(closed) {
        found.push(HELD_ELSEWHERE.to_owned());
    }
    if let Some(tool) = &placed.tool {
        if form.act == Act::Cut && tool.fit == ToolFit::MayStall {
            found.push(
                "the tool may stall here: the steel needs more than its rated force".to_owned(),
            );
        }
        found.extend(tool.kind.caution().map(str::to_owned));
    }
    found
}

fn cut(place: &Placement, scene: &Scene) -> Vec<String> {
    let mut found = standing(place.status, &place.by, place.fabric_only, scene);
    found.extend(confirm(place, scene));
    found.extend(place.seen.iter().map(|id| scene.seen_words(id)));
    let moved = place
        .station_mm
        .is_some_and(|s| (s - place.default_mm).abs() > 0.5);
    if moved && place.status != CutStatus::LikelyOccupied && !place.by.is_empty() {
        found.push(format!(
            "moved from {:.0} mm, where it is made by default: {}",
            place.default_mm,
            words(&place.by, scene)
        ));
    }
    found
}

/// What would open a blocked place that nobody has confirmed.
fn confirm(place: &Placement, scene: &Scene) -> Option<String> {
    let blocked = place.status == CutStatus::Blocked;
    let change = blocked.then(|| scene.would_confirm(place)).flatten();
    change.map(str::to_owned)
}

/// How a place stands, in words.
fn standing(status: CutStatus, by: &[String], fabric_only: bool, scene: &Scene) -> Vec<String> {
    let sentence = match status {
        // Said by whom and when instead.
        CutStatus::SeenBare => return Vec::new(),
        CutStatus::LookFirst => "nobody has looked here: trim off and look first".to_owned(),
        CutStatus::LikelyOccupied => format!("likely occupied: {}", words(by, scene)),
        CutStatus::Blocked if fabric_only => {
            format!("blocked by fabric only: {}", words(by, scene))
        }
        CutStatus::Blocked if by.is_empty() => "blocked: no room within its range".to_owned(),
        CutStatus::Blocked => format!("blocked by {}", words(by, scene)),
    };
    vec![sentence]
}

fn words(ids: &[String], scene: &Scene) -> String {
    super::rank::join(ids.iter().map(|id| scene.words(id)))
}
