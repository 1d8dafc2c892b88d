//! The room to keep from bags, on random cards and asks over all body styles.

use super::ask::ask;
use crate::properties::symmetry::mirrored;
use crate::support::cards::card;
use pillarbook::domain::body::{StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::frame::{Side, Vector};
use pillarbook::domain::kind::{Bag, Kind};
use pillarbook::domain::opening::restraint::keep_outs;
use pillarbook::domain::opening::{Ask, Care, DeploymentKeepOut, Fired};
use pillarbook::domain::vehicle::{Variant, Vehicle, WheelSide};
use pillarbook::domain::zone::zones;
use proptest::prelude::*;

fn rooms(card: &Card, ask: &Ask) -> Vec<DeploymentKeepOut> {
    let body = fit(style(card.vehicle.body_style), &card.measured).expect("a card that fits");
    let zones = zones(card, &ask.variant).expect("a valid card");
    keep_outs(card, &body, &zones, ask)
}

/// What is kept clear, without the words: bag, side, distance, seats, caregiver.
type Kept = (Bag, Side, Option<f64>, Vec<String>, Option<String>);

fn kept(rooms: &[DeploymentKeepOut]) -> Vec<Kept> {
    let one = |k: &DeploymentKeepOut| {
        (
            k.bag,
            k.side,
            k.distance_mm,
            k.seats.clone(),
            k.caregiver.clone(),
        )
    };
    rooms.iter().map(one).collect()
}

/// Every room of the first is in the second too, with at least its seats.
fn holds(more: &[DeploymentKeepOut], less: &[DeploymentKeepOut]) -> Result<(), String> {
    for room in less {
        let same = |k: &&DeploymentKeepOut| {
            (k.bag, k.side, k.distance_mm) == (room.bag, room.side, room.distance_mm)
                && k.from_mm == room.from_mm
                && room.seats.iter().all(|s| k.seats.contains(s))
        };
        if !more.iter().any(|k| same(&k)) {
            return Err(format!("{} {:?} {} is gone", room.bag, room.side, room.at));
        }
    }
    Ok(())
}

fn swapped(id: &str) -> String {
    match (id.strip_suffix("-left"), id.strip_suffix("-right")) {
        (Some(stem), _) => format!("{stem}-right"),
        (_, Some(stem)) => format!("{stem}-left"),
        _ => id.to_owned(),
    }
}

fn card_and_ask() -> impl Strategy<Value = (Card, Ask)> {
    card().prop_flat_map(|card| {
        let asked = ask(&card);
        (Just(card), asked)
    })
}

proptest! {
    #![proptest_config(crate::properties::cases(64))]

    #[test]
    fn no_answer_about_fired_shortens_a_distance_or_removes_a_bag((card, ask) in card_and_ask()) {
        let unanswered = Ask { fired: Default::default(), ..ask.clone() };
        prop_assert_eq!(kept(&rooms(&card, &ask)), kept(&rooms(&card, &unanswered)));
        for fired in Fired::ALL {
            let all = Ask { fired: Bag::ALL.iter().map(|b| (*b, *fired)).collect(), ..ask.clone() };
            prop_assert_eq!(kept(&rooms(&card, &all)), kept(&rooms(&card, &unanswered)), "{}", fired);
        }
    }

    #[test]
    fn an_unknown_wheel_side_keeps_every_room_that_a_known_one_would((card, ask) in card_and_ask()) {
        let asked = |wheel| Ask { variant: Variant { wheel, ..ask.variant.clone() }, ..ask.clone() };
        let sided = |wheel| Card { vehicle: Vehicle { wheel, ..card.vehicle.clone() }, ..card.clone() };
        let unknown = rooms(&sided(None), &asked(None));
        for wheel in [WheelSide::Left, WheelSide::Right] {
            // By the card, and by the answer about this car.
            for known in [rooms(&sided(Some(wheel)), &asked(None)), rooms(&sided(None), &asked(Some(wheel)))] {
                prop_assert_eq!(holds(&unknown, &known), Ok(()));
            }
        }
    }

    #[test]
    fn a_finding_more_on_a_card_takes_no_room_away((card, ask) in card_and_ask()) {
        let all = rooms(&card, &ask);
        let usual = rooms(&Card { findings: Vec::new(), ..card.clone() }, &ask);
        prop_assert_eq!(holds(&all, &usual), Ok(()));
    }

    #[test]
    fn the_mirror_image_of_a_car_keeps_the_mirror_image_of_its_rooms((card, ask) in card_and_ask()) {
        // Of a seat in the middle there is nobody on one side only.
        prop_assume!(!ask.seats[0].ends_with("middle"));
        let across = mirrored(&card, &zones(&card, &ask.variant).unwrap());
        let ask_across = Ask { seats: ask.seats.iter().map(|s| swapped(s)).collect(), ..ask.clone() };
        let told = |rooms: &[DeploymentKeepOut], turn: bool| {
            let mut told: Vec<String> = rooms.iter().map(|k| {
                let side = if turn { k.side.mirrored() } else { k.side };
                let mut seats: Vec<String> = k.seats.iter().map(|s| if turn { swapped(s) } else { s.clone() }).collect();
                seats.sort();
                format!("{} {side:?} {:?} {seats:?} {}", k.bag, k.distance_mm, k.caregiver.is_some())
            }).collect();
            told.sort();
            told
        };
        prop_assert_eq!(told(&rooms(&card, &ask), true), told(&rooms(&across, &ask_across), false));
    }
}

#[test]
fn a_side_bag_recorded_in_a_rear_seat_names_the_rear_seat() {
    let mut card = Card::unrecorded(Vehicle::of_style(StyleId::Sedan));
    let body = fit(style(StyleId::Sedan), &card.measured).unwrap();
    let rear = body.style.seats.iter().find(|s| s.id == "rear-right");
    let hip = body.map_point(rear.expect("a rear seat").h_point);
    let beside = hip + Vector::new(60.0, 230.0, 150.0);
    card.findings.push(Finding {
        id: "f1".to_owned(),
        report: Report::Component(ComponentReport {
            component: "c1".to_owned(),
            kind: Kind::Inflator,
            place: Place::Points([beside, beside + Vector::new(60.0, 0.0, 220.0)]),
            radius_mm: None,
            bag: Some(Bag::SeatSide),
            belt_seat: None,
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: time::macros::date!(2026 - 03 - 01),
        by: Some("a member".to_owned()),
        car: Some("training car".to_owned()),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    });
    let found = rooms(&card, &Ask::of("rear-right", Care::Gentle));
    let own: Vec<_> = found.iter().filter(|k| k.because == "c1").collect();
    assert_eq!(own.len(), 1, "{found:?}");
    assert_eq!(
        (own[0].side, own[0].distance_mm),
        (Side::Right, Some(127.0))
    );
    assert_eq!(own[0].seats, ["rear-right"]);
    // The usual places in the front seats stay.
    let usual = found.iter().filter(|k| k.bag == Bag::SeatSide);
    assert_eq!(usual.count(), 3);
}
