//! Whether an opening's data makes sense: every fault, each with the way to the
//! field in its JSON. The catalogue's openings and a department's own are held to
//! the same.

mod fault;
mod names;
mod place;
mod step;
#[cfg(test)]
mod tests;

pub use fault::{Fault, Key, Wrong};

use super::catalogue::catalogue;
use super::template::{NeedOf, Opening};
use fault::Faults;
use names::Names;
use std::collections::BTreeSet;

impl Opening {
    /// Everything wrong with it; empty if nothing is.
    pub fn check(&self) -> Vec<Fault> {
        let faults = Faults::default();
        self.check_into(&faults);
        faults.into_list()
    }

    fn check_into(&self, faults: &Faults) {
        let id = faults.at("id");
        if !is_id(&self.id) {
            id.add(Wrong::NoId);
        }
        faults.at("name").text(&self.name);
        faults.at("summary").text(&self.summary);
        faults.at("source").text(&self.source);
        self.check_suits(faults);
        for (i, need) in self.needs.iter().enumerate() {
            let faults = faults.at("needs").item(i);
            faults.at("because").text(&need.because);
            check_need(&need.what, &faults.at("what"));
        }
        if self.steps.is_empty() {
            faults.at("steps").add(Wrong::Empty);
        }
        step::check_all(&self.steps, &faults.at("steps"));
    }

    fn check_suits(&self, faults: &Faults) {
        let faults = faults.at("suits");
        for (name, empty) in [
            ("care", self.suits.care.is_empty()),
            ("trapped", self.suits.trapped.is_empty()),
            ("resting", self.suits.resting.is_empty()),
        ] {
            if empty {
                faults.at(name).add(Wrong::Empty);
            }
        }
        if !self.suits.way_out && self.suits.frees.is_empty() {
            faults.at("frees").add(Wrong::ServesNothing);
        }
    }
}

/// Everything wrong with a department's own openings, as a list: each by itself,
/// and ids that stand twice or are the catalogue's.
pub fn check_own(openings: &[Opening]) -> Vec<Fault> {
    let faults = Faults::default();
    let mut taken: BTreeSet<&str> = catalogue().iter().map(|o| o.id.as_str()).collect();
    for (i, opening) in openings.iter().enumerate() {
        let faults = faults.item(i);
        opening.check_into(&faults);
        if !taken.insert(&opening.id) {
            faults.at("id").add(Wrong::IdTaken(opening.id.clone()));
        }
    }
    faults.into_list()
}

/// Checks what the body must have; also of a step.
fn check_need(need: &NeedOf, faults: &Faults) {
    let names = Names::known();
    match need {
        NeedOf::Span(id) => names.span(id, &faults.at("span")),
        NeedOf::NoSpan(id) => names.span(id, &faults.at("no-span")),
        NeedOf::NoDoor(id) => names.door(id, &faults.at("no-door")),
        NeedOf::Pane(id) => names.pane(id, &faults.at("pane")),
        NeedOf::Door { id, hinges } => {
            let faults = faults.at("door");
            names.door(id, &faults.at("id"));
            if hinges.is_empty() {
                faults.at("hinges").add(Wrong::Empty);
            }
        }
        NeedOf::BPillar(kinds) if kinds.is_empty() => faults.at("b-pillar").add(Wrong::Empty),
        NeedOf::SeatRow(0) => faults.at("seat-row").add(Wrong::NoRow),
        NeedOf::BPillar(_) | NeedOf::SeatRow(_) | NeedOf::SteeringWheel => {}
    }
}

/// Small letters, digits and hyphens, as ids are written.
fn is_id(id: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !id.is_empty() && id.chars().all(plain)
}
