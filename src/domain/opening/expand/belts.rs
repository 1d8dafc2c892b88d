//! Which belts have to be severed before a step: those anchored, or tightened,
//! on what it moves, by what is recorded on the card and by what the body style
//! expects; and whose belt holds a patient up.

use super::Car;
use super::added::{added, without_side};
use super::fill::Words;
use super::first::lower_first;
use crate::domain::body::Seat;
use crate::domain::finding::Report;
use crate::domain::frame::Side;
use crate::domain::kind::Kind;
use crate::domain::opening::ask::{Ask, Contact, Resting};
use crate::domain::opening::step::Step;
use crate::domain::opening::template::StepForm;
use std::collections::BTreeSet;

/// A belt that has to be severed.
#[derive(Debug, Clone)]
pub struct Belt {
    pub seat: String,
    /// Spans among those moved that carry its anchor or pretensioner.
    spans: Vec<String>,
    because: Vec<String>,
}

impl Belt {
    pub fn hangs_on_any(&self, moved: &[String]) -> bool {
        self.spans.iter().any(|s| moved.contains(s))
    }

    fn add(&mut self, span: &str, why: String) {
        if !self.spans.iter().any(|s| s == span) {
            self.spans.push(span.to_owned());
        }
        self.because.push(why);
    }
}

/// The belts that hang on what the steps move, one a seat, in the order of the
/// steps.
pub fn anchored(forms: &[StepForm], car: &Car) -> Vec<Belt> {
    let mut belts: Vec<Belt> = Vec::new();
    let mut seen = BTreeSet::new();
    for span in forms.iter().flat_map(|f| &f.moves) {
        if !seen.insert(span) {
            continue;
        }
        for (seat, why) in expected_on(span, car)
            .into_iter()
            .chain(recorded_on(span, car))
        {
            match belts.iter_mut().find(|b| b.seat == seat) {
                Some(belt) => belt.add(span, why),
                None => belts.push(Belt {
                    seat,
                    spans: vec![span.clone()],
                    because: vec![why],
                }),
            }
        }
    }
    belts
}

/// Pretensioners recorded at the span; one without a seat counts for the seat
/// that the span's belts are of.
fn recorded_on(span: &str, car: &Car) -> Vec<(String, String)> {
    let Some(here) = car.zones.spans.iter().find(|s| s.id == span) else {
        return Vec::new();
    };
    let tighten = car
        .zones
        .components
        .iter()
        .filter(|c| c.kind == Kind::Pretensioner || c.kinds.contains(&Kind::Pretensioner))
        .filter(|c| here.bands.iter().any(|b| b.component == c.id));
    tighten
        .filter_map(|c| {
            let seat = recorded_seat(&c.id, car).or_else(|| usual_seat(span, car))?;
            let why = format!("a pretensioner ({}) sits at the {}", c.id, here.name);
            Some((seat, why))
        })
        .collect()
}

fn recorded_seat(component: &str, car: &Car) -> Option<String> {
    car.card
        .findings
        .iter()
        .filter(|f| f.acts())
        .find_map(|f| match &f.report {
            Report::Component(r) if r.component == component => r.belt_seat.clone(),
            _ => None,
        })
}

fn usual_seat(span: &str, car: &Car) -> Option<String> {
    let side = car.body.span(span)?.side;
    let anchor = added()
        .belt_anchors
        .iter()
        .find(|a| a.span == without_side(span))?;
    seat_in(anchor.row, side, car).map(|s| s.id.clone())
}

fn expected_on(span: &str, car: &Car) -> Vec<(String, String)> {
    let Some(span) = car.body.span(span) else {
        return Vec::new();
    };
    let style = car.body.style;
    let in_force = style
        .expectations
        .iter()
        .filter(|e| e.span == span.id && car.zones.expectations.iter().any(|h| h.id == e.id));
    in_force
        .filter_map(|e| {
            let base = without_side(&e.id);
            let anchor = added()
                .belt_anchors
                .iter()
                .find(|a| a.expectation == base)?;
            let seat = seat_in(anchor.row, span.side, car)?;
            let why = format!("the {} carries its anchor: {}", span.name, e.text);
            Some((seat.id.clone(), why))
        })
        .collect()
}

fn seat_in<'a>(row: u32, side: Side, car: &Car<'a>) -> Option<&'a Seat> {
    let mut seats = car.body.style.seats.iter();
    seats.find(|s| s.row == row && s.side == side)
}

/// Patients' belts that are severed whatever moves.
pub fn holding(ask: &Ask) -> Vec<Belt> {
    let why = match (ask.resting, ask.contact.contains(&Contact::Belt)) {
        (Resting::Wheels, true) => "the belt holds the patient",
        (Resting::Wheels, false) => return Vec::new(),
        _ => "the patient hangs in the belt",
    };
    ask.seats
        .iter()
        .map(|seat| Belt {
            seat: seat.clone(),
            spans: Vec::new(),
            because: vec![why.to_owned()],
        })
        .collect()
}

/// The steps that sever a belt: a hanging patient is held first.
pub fn sever(belt: Belt, car: &Car, ask: &Ask) -> Vec<Step> {
    let Belt {
        seat,
        spans,
        because,
    } = belt;
    let name = car.body.style.seats.iter().find(|s| s.id == seat);
    let words = Words::default().with("seat", seat.as_str()).with(
        "seat name",
        name.map_or_else(|| seat.clone(), |s| lower_first(&s.name)),
    );
    let hangs = ask.resting != Resting::Wheels && ask.seats.contains(&seat);
    let hold = hangs.then(|| added().step("hold-patient", &words));
    let belt = Step {
        because,
        belt_seat: Some(seat),
        belt_spans: spans,
        ..added().step("sever-belt", &words)
    };
    hold.into_iter().chain([belt]).collect()
}
