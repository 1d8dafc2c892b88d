//! Unit tests: openings made for single cars.

use super::*;
use crate::domain::body::{StyleId, fit, style};
use crate::domain::card::PowerSource;
use crate::domain::opening::ask::{Answer, Care, Isolated, Isolation, Reach, Resting};
use crate::domain::opening::catalogue::catalogue;
use crate::domain::vehicle::{Drive, Vehicle};
use crate::domain::zone::zones;

struct Owned(Card, FittedBody, Zones);

impl Owned {
    fn of(id: StyleId) -> Self {
        Self::of_card(Card::unrecorded(Vehicle::of_style(id)))
    }

    fn of_card(card: Card) -> Self {
        let body = fit(style(card.vehicle.body_style), &card.measured).unwrap();
        let zones = zones(&card, &Default::default()).unwrap();
        Self(card, body, zones)
    }

    fn ways(&self, id: &str, ask: &Ask) -> Vec<Result<Made, NotOffered>> {
        let car = Car {
            card: &self.0,
            body: &self.1,
            zones: &self.2,
        };
        let opening = catalogue().iter().find(|o| o.id == id).unwrap();
        ways(opening, &car, ask)
    }

    fn ids(&self, id: &str, ask: &Ask) -> Vec<String> {
        let made = self.ways(id, ask).remove(0).unwrap();
        made.steps.into_iter().map(|s| s.form.id).collect()
    }
}

fn at(ids: &[String], id: &str) -> usize {
    ids.iter()
        .position(|i| i == id)
        .unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

#[test]
fn side_removal_takes_trim_and_belt_off_before_the_foot_is_parted() {
    let ids = Owned::of(StyleId::Sedan).ids("side-removal", &Ask::of("front-left", Care::Gentle));
    let foot = at(&ids, "part-b-foot");
    assert!(at(&ids, "stabilise") < at(&ids, "use-power"));
    assert!(at(&ids, "use-power") < at(&ids, "isolate-12v-main"));
    assert!(at(&ids, "protect-shield") < at(&ids, "glass-front-left"));
    assert!(at(&ids, "expose-b-foot") < foot);
    assert!(at(&ids, "belt-front-left") < foot);
    assert_eq!(at(&ids, "cover-b-foot"), foot + 1);
}

#[test]
fn on_its_roof_both_sides_are_shored_and_the_patient_held_before_the_belt() {
    let ask = Ask {
        resting: Resting::Roof,
        ..Ask::of("front-left", Care::Now)
    };
    let ids = Owned::of(StyleId::Sedan).ids("side-drop", &ask);
    assert!(at(&ids, "shore-left").max(at(&ids, "shore-right")) < at(&ids, "part-b-foot"));
    assert!(at(&ids, "hold-patient-front-left") < at(&ids, "belt-front-left"));
}

#[test]
fn no_side_within_reach_says_what_would_change_it() {
    let ask = Ask {
        reach: vec![Reach::Front],
        ..Ask::of("front-left", Care::Gentle)
    };
    let ways = Owned::of(StyleId::Sedan).ways("side-removal", &ask);
    assert_eq!(ways.len(), 2);
    for way in ways {
        let because = way.unwrap_err().because;
        assert!(
            because.contains("with room there it is planned"),
            "{because}"
        );
    }
}

#[test]
fn a_flat_hand_is_asked_for_on_the_patients_side_only() {
    let ask = Ask {
        hand_passes: Answer::No,
        ..Ask::of("front-left", Care::Gentle)
    };
    let ways = Owned::of(StyleId::Sedan).ways("side-removal", &ask);
    assert!(ways[0].as_ref().unwrap_err().because.contains("flat hand"));
    assert_eq!(ways[1].as_ref().unwrap().side, Some(Side::Right));
}

#[test]
fn an_unknown_drive_is_isolated_as_battery_drive_and_petrol_has_no_high_voltage() {
    let mut card = Card::unrecorded(Vehicle::of_style(StyleId::Sedan));
    let ask = Ask::of("front-left", Care::Gentle);
    let unknown = Owned::of_card(card.clone()).ids("roof-removal", &ask);
    assert!(unknown.contains(&"isolate-hv".to_owned()));
    card.vehicle.drive = Some(Drive::Petrol);
    let petrol = Owned::of_card(card).ids("roof-removal", &ask);
    assert!(!petrol.contains(&"isolate-hv".to_owned()));
    assert!(petrol.contains(&"isolate-12v-main".to_owned()));
}

#[test]
fn what_is_not_fitted_is_left_out_and_what_is_done_is_confirmed_with_its_time() {
    let mut ask = Ask::of("front-left", Care::Gentle);
    let done = time::macros::datetime!(2026-11-25 14:05 UTC);
    let not_fitted = Isolation {
        state: Isolated::NotFitted,
        at: None,
    };
    let yes = Isolation {
        state: Isolated::Yes,
        at: Some(done),
    };
    ask.isolation.insert(PowerSource::Second12v, not_fitted);
    ask.isolation.insert(PowerSource::Main12v, yes);
    let made = Owned::of(StyleId::Sedan)
        .ways("dash-lift", &ask)
        .remove(0)
        .unwrap();
    let step = |id: &str| made.steps.iter().find(|s| s.form.id == id);
    assert!(step("isolate-12v-second").is_none());
    assert!(
        step("isolate-12v-main")
            .unwrap()
            .form
            .crew
            .contains("done at 14:05")
    );
}

#[test]
fn on_the_right_the_relief_cuts_stand_at_the_other_end_of_the_header() {
    use crate::domain::opening::template::{At, On};
    let car = Owned::of(StyleId::Sedan);
    let relief = |seat: &str| {
        let made = car
            .ways("roof-flap-sideways", &Ask::of(seat, Care::Gentle))
            .remove(0)
            .unwrap();
        let step = made
            .steps
            .into_iter()
            .find(|s| s.form.id == "relief-front")
            .unwrap();
        let On::Span(form) = step.form.on else {
            panic!("on a span")
        };
        form.at
    };
    assert!(matches!(relief("front-left"), At::FromHead { .. }));
    assert!(matches!(relief("front-right"), At::FromFoot { .. }));
}
