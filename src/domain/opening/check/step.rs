//! The steps of an opening: ids, words short enough to read aloud, a place for
//! every cut, contact places for what presses or lifts.

use super::fault::{Faults, Wrong};
use super::names::{Names, filled};
use super::{check_need, is_id, place};
use crate::domain::opening::template::{Act, Fact, On, StepForm, ToolKind};
use std::collections::BTreeSet;

/// Words that what the caregiver watches for may have.
pub const WORDS: usize = 12;

/// How ids of the steps begin that are added to every opening.
pub const RESERVED: &[&str] = &[
    "stabilise",
    "shore",
    "use-power",
    "isolate-",
    "protect-",
    "glass-",
    "expose-",
    "cover-",
    "belt-",
    "hold-patient",
];

/// Checks every step, and their ids among each other.
pub fn check_all(steps: &[StepForm], faults: &Faults) {
    let mut ids: [BTreeSet<String>; 4] = Default::default();
    for (i, step) in steps.iter().enumerate() {
        let faults = faults.item(i);
        before(step, &steps[..i], &faults.at("before"));
        id(step, &mut ids, &faults.at("id"));
        check(step, &faults);
    }
}

fn id(step: &StepForm, ids: &mut [BTreeSet<String>; 4], faults: &Faults) {
    let of_ways = filled(&step.id);
    if !is_id(&of_ways[0]) {
        faults.add(Wrong::NoId);
    }
    if RESERVED.iter().any(|r| step.id.starts_with(r)) {
        faults.add(Wrong::StepReserved(step.id.clone()));
    }
    // Trim and covers of a cut are named by its id without “part-”.
    let names = of_ways.map(|id| id.strip_prefix("part-").unwrap_or(&id).to_owned());
    let fresh = ids.iter_mut().zip(names).map(|(set, id)| set.insert(id));
    if fresh.filter(|fresh| !fresh).count() > 0 {
        faults.add(Wrong::StepTwice(step.id.clone()));
    }
}

/// Waiting only for what came before, no two steps can wait for each other.
fn before(step: &StepForm, earlier: &[StepForm], faults: &Faults) {
    for (i, name) in step.before.iter().enumerate() {
        let known = Fact::from_word(name).is_some() || earlier.iter().any(|s| s.id == *name);
        if !known {
            faults.item(i).add(Wrong::UnknownFact(name.clone()));
        }
    }
}

fn check(step: &StepForm, faults: &Faults) {
    faults.at("crew").text(&step.crew);
    faults.at("inside").text(&step.inside);
    let words = step.inside.split_whitespace().count();
    if words > WORDS {
        faults.at("inside").add(Wrong::TooManyWords(words));
    }
    for (name, text) in [("stop", &step.stop), ("opens", &step.opens)] {
        if let Some(text) = text {
            faults.at(name).text(text);
        }
    }
    on(step, &faults.at("on"));
    contacts(step, &faults.at("contacts"));
    for (i, need) in step.only.iter().enumerate() {
        check_need(need, &faults.at("only").item(i));
    }
    for (i, span) in step.moves.iter().enumerate() {
        Names::known().span(span, &faults.at("moves").item(i));
    }
    for (i, pane) in step.beside.iter().enumerate() {
        Names::known().pane(pane, &faults.at("beside").item(i));
    }
}

fn on(step: &StepForm, faults: &Faults) {
    match &step.on {
        On::Nothing if step.act == Act::Cut => faults.add(Wrong::NoPlace),
        On::Nothing => {}
        On::Part(part) => faults.at("part").text(part),
        On::Span(form) => place::span(form, &faults.at("span")),
        On::Panel(form) => place::panel(form, &faults.at("panel")),
    }
}

fn contacts(step: &StepForm, faults: &Faults) {
    if step.contacts.is_empty() && presses(step) {
        faults.add(Wrong::NoContacts);
    }
    for (i, contact) in step.contacts.iter().enumerate() {
        let faults = faults.item(i);
        faults.at("name").text(&contact.name);
        place::span(&contact.span, &faults.at("span"));
        place::half_width(contact.half_width_mm, &faults.at("half_width_mm"));
    }
}

/// Whether something presses or lifts: by its act, or pushed aside with a tool.
fn presses(step: &StepForm) -> bool {
    let pushing = matches!(
        step.tool,
        Some(ToolKind::Spreader | ToolKind::Combination | ToolKind::Ram)
    );
    match step.act {
        Act::Spread | Act::Ram | Act::Crush | Act::Lift => true,
        Act::Displace => pushing,
        _ => false,
    }
}
