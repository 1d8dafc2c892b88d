//! From an opening's form to its steps on one car: on which sides it can be made,
//! or why not; its steps filled in; and the steps that belong to every opening,
//! in their natural order. Placing and the order rules come later.
//!
//! `fits` says whether it can be made; `first` holds the car, its power and
//! its glass; `around` goes with each cut; `belts` says which come off first;
//! the words of all added steps are in `added`.

mod added;
mod around;
mod belts;
mod fill;
mod first;
mod fits;
#[cfg(test)]
mod tests;

use super::ask::Ask;
use super::result::NotOffered;
use super::step::Step;
use super::template::{Opening, StepForm, WorkedFrom};
use crate::domain::body::{FittedBody, Seat};
use crate::domain::card::Card;
use crate::domain::frame::Side;
use crate::domain::zone::Zones;
use fill::{Words, turn};
use std::collections::BTreeSet;

/// The car that openings are made for: a card, fitted and zoned.
#[derive(Debug, Clone, Copy)]
pub struct Car<'a> {
    pub card: &'a Card,
    pub body: &'a FittedBody,
    pub zones: &'a Zones,
}

/// An opening made for a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// `None` for an opening that has no side.
    pub side: Option<Side>,
    /// In their natural order.
    pub steps: Vec<Step>,
}

/// Every way an opening can be made: on the patient's side and on the far one, or
/// once if it has no side; what cannot be made says why.
pub fn ways(opening: &Opening, car: &Car, ask: &Ask) -> Vec<Result<Made, NotOffered>> {
    let not_offered = |side, because| NotOffered {
        id: opening.id.clone(),
        name: opening.name.clone(),
        side,
        because,
    };
    let patients = patients(car, ask);
    let rows: Vec<u32> = patients.iter().map(|s| s.row).collect();
    if let Some(because) = fits::refused(opening, &rows, ask) {
        return vec![Err(not_offered(None, because))];
    }
    let sided = opening.worked_from == WorkedFrom::Side;
    let mut ways: Vec<Result<Made, NotOffered>> = sides(opening, &patients)
        .into_iter()
        .map(|side| {
            let words = Words::of(side, door(side, &patients));
            let shown = sided.then_some(side);
            let here = patients.iter().any(|s| s.side != side.mirrored());
            match fits::refused_on(opening, side, here, &words, car, ask) {
                Some(because) => Err(not_offered(shown, because)),
                None => Ok(Made {
                    side: shown,
                    steps: steps(opening, side, &words, car, ask),
                }),
            }
        })
        .collect();
    // One reason for both sides is said once.
    if let [Err(a), Err(b)] = ways.as_slice()
        && a.because == b.because
    {
        ways = vec![Err(not_offered(None, a.because.clone()))];
    }
    ways
}

fn patients<'a>(car: &Car<'a>, ask: &Ask) -> Vec<&'a Seat> {
    let named = |id: &String| car.body.style.seats.iter().find(|s| s.id == *id);
    ask.seats.iter().filter_map(named).collect()
}

/// The sides an opening is made on, the first patient's first. What only makes
/// room is made where a patient sits; one in the middle has two near sides.
fn sides(opening: &Opening, patients: &[&Seat]) -> Vec<Side> {
    let first = match patients.first().map(|s| s.side) {
        Some(Side::Right) => Side::Right,
        Some(Side::Left | Side::Centre) | None => Side::Left,
    };
    if opening.worked_from != WorkedFrom::Side {
        return vec![first];
    }
    let sits_near = |side: Side| patients.iter().any(|s| s.side != side.mirrored());
    [first, first.mirrored()]
        .into_iter()
        .filter(|side| opening.suits.way_out || sits_near(*side))
        .collect()
}

/// The door of the patient's row: of one on this side, else of the first.
fn door(side: Side, patients: &[&Seat]) -> &'static str {
    let near = patients.iter().find(|s| s.side == side);
    match near.or(patients.first()).map(|s| s.row) {
        Some(row) if row > 1 => "rear",
        _ => "front",
    }
}

/// The opening's own steps for this body.
fn own(opening: &Opening, side: Side, words: &Words, car: &Car, ask: &Ask) -> Vec<StepForm> {
    let style = car.body.style;
    let mut forms: Vec<StepForm> = opening
        .steps
        .iter()
        .map(|form| words.step(form))
        .filter(|form| form.only.iter().all(|n| fits::met(n, side, car, ask)))
        .collect();
    for form in &mut forms {
        form.beside
            .retain(|p| style.panes.iter().any(|q| q.id == *p));
        form.moves.retain(|m| car.body.span(m).is_some());
        form.gate = around::gated(form, ask);
        if side == Side::Right {
            turn(form, car.body);
        }
    }
    forms
}

fn steps(opening: &Opening, side: Side, words: &Words, car: &Car, ask: &Ask) -> Vec<Step> {
    let forms = own(opening, side, words, car, ask);
    let mut steps = first::held(ask.resting, side);
    if opening.worked_from == WorkedFrom::Inside {
        steps.extend(forms.into_iter().map(Step::from));
        return steps;
    }
    let mut panes: Vec<String> = Vec::new();
    for pane in forms.iter().flat_map(|f| &f.beside) {
        if !panes.contains(pane) {
            panes.push(pane.clone());
        }
    }
    let roof_moves = forms
        .iter()
        .any(|f| f.moves.iter().any(|m| m.starts_with("roof-rail")));
    steps.extend(first::power(car, ask));
    steps.extend(first::protection(&panes, roof_moves, car, ask));
    let mut exposed = Vec::new();
    let mut severed = BTreeSet::new();
    let mut belts = belts::anchored(&forms, car);
    for form in forms {
        for belt in belts.extract_if(.., |b| b.hangs_on_any(&form.moves)) {
            severed.insert(belt.seat.clone());
            steps.extend(belts::sever(belt, car, ask));
        }
        let cover = around::covering(&form);
        steps.extend(around::exposing(&form, &mut exposed));
        steps.push(Step::from(form));
        steps.extend(cover);
    }
    for belt in belts::holding(ask) {
        if severed.insert(belt.seat.clone()) {
            steps.extend(belts::sever(belt, car, ask));
        }
    }
    steps
}
