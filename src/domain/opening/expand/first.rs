//! What comes before any opening: the car held still, its power used and then
//! taken away, those inside covered, glass beside the metal managed.

use super::Car;
use super::added::added;
use super::fill::Words;
use crate::domain::card::{Glass, PowerSource};
use crate::domain::frame::Side;
use crate::domain::opening::ask::{Ask, Isolated, Resting};
use crate::domain::opening::restraint::{MADE_DEAD_IN_ORDER, applies};
use crate::domain::opening::step::Step;
use crate::domain::vehicle::Roof;
use time::UtcOffset;

/// Holding the car still, by how it rests; the side worked on is shored first.
pub fn held(resting: Resting, side: Side) -> Vec<Step> {
    let beginning_with = |side: Side| {
        let words = Words::default().with("side", side.word());
        words.with("far", side.mirrored().word())
    };
    let on_its_side = |down: Side| {
        let words = Words::default().with("up", down.mirrored().word());
        ["stabilise-side", "shore-roof-side", "shore-floor-side"]
            .map(|name| added().step(name, &words))
            .to_vec()
    };
    let step = |name: &str, side: Side| added().step(name, &beginning_with(side));
    match resting {
        Resting::Wheels => vec![step("stabilise-wheels", side)],
        Resting::Left => on_its_side(Side::Left),
        Resting::Right => on_its_side(Side::Right),
        Resting::Roof => vec![
            step("stabilise-roof", side),
            step("shore-on-roof", side),
            step("shore-on-roof", side.mirrored()),
        ],
    }
}

/// Power used while there is some, then every source made dead.
pub fn power(car: &Car, ask: &Ask) -> Vec<Step> {
    let use_power = added().step("use-power", &Words::default());
    let sources = MADE_DEAD_IN_ORDER
        .into_iter()
        .filter(|s| applies(*s, car.card, ask))
        .filter_map(|s| isolation(s, car, ask));
    std::iter::once(use_power).chain(sources).collect()
}

/// `None`: the car does not have it.
fn isolation(source: PowerSource, car: &Car, ask: &Ask) -> Option<Step> {
    let mut step = added().step(&format!("isolate-{source}"), &Words::default());
    let said = ask.isolation.get(&source);
    match said.map(|i| i.state) {
        Some(Isolated::NotFitted) => return None,
        Some(Isolated::Yes) => {
            let at = said
                .and_then(|i| i.at)
                .map(|t| t.to_offset(UtcOffset::UTC))
                .map(|t| format!(", done at {:02}:{:02} UTC", t.hour(), t.minute()));
            let words = Words::default().with("at", at.unwrap_or_default());
            let confirm = added().step("confirm-off", &words).form;
            step.form.crew = format!("{} {}", confirm.crew, step.form.crew);
        }
        Some(Isolated::No | Isolated::Unknown) | None => {}
    }
    for known in car.card.power_off.iter().filter(|p| p.what == source) {
        let told = format!("on the card: {}; {}", known.where_, known.how);
        step.because.push(told);
    }
    Some(step)
}

/// Cover and hard protection, then each pane beside metal that is worked on, in
/// the order given.
pub fn protection(panes: &[String], roof_moves: bool, car: &Car, ask: &Ask) -> Vec<Step> {
    let words = Words::default();
    let mut steps = vec![
        added().step("protect-cover", &words),
        added().step("protect-shield", &words),
    ];
    let style = car.body.style;
    let named = panes
        .iter()
        .filter_map(|id| style.panes.iter().find(|p| p.id == *id));
    steps.extend(named.map(|pane| {
        let glass = car.card.glass.get(&pane.id).copied();
        let name = match glass.unwrap_or(Glass::Unknown) {
            Glass::Laminated => "glass-laminated",
            Glass::Tempered => "glass-tempered",
            Glass::Unknown => "glass-unknown",
        };
        let words = Words::default()
            .with("pane", pane.id.as_str())
            .with("pane name", lower_first(&pane.name));
        added().step(name, &words)
    }));
    let roof = ask.variant.roof.or(car.zones.vehicle.roof);
    if roof_moves && !matches!(roof, Some(Roof::Fixed | Roof::Folding)) {
        steps.push(added().step("glass-roof", &words));
    }
    steps
}

/// A name as it stands within a sentence.
pub fn lower_first(name: &str) -> String {
    let mut letters = name.chars();
    letters
        .next()
        .map(|first| first.to_lowercase().chain(letters).collect())
        .unwrap_or_default()
}
