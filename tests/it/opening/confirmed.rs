//! Nothing is cut, pressed or lifted where a high-voltage part may be and nobody
//! has seen the metal bare.

use pillarbook::domain::body::StyleId;
use pillarbook::domain::card::Card;
use pillarbook::domain::opening::plan::{Settings, plan};
use pillarbook::domain::opening::{
    Ask, Care, Contact, CutStatus, Look, LookFound, PlannedStep, Target,
};
use pillarbook::domain::vehicle::{Drive, Vehicle};

/// One step of the dash lift on the left of a sedan nobody has recorded.
fn step(drive: Option<Drive>, looks: &[(&str, f64, f64)], id: &str) -> PlannedStep {
    let card = Card::unrecorded(Vehicle {
        drive,
        ..Vehicle::of_style(StyleId::Sedan)
    });
    let look = |(span, from_mm, to_mm): &(&str, f64, f64)| Look {
        span: (*span).to_owned(),
        from_mm: *from_mm,
        to_mm: *to_mm,
        found: LookFound::Bare,
    };
    let ask = Ask {
        contact: vec![Contact::Dash],
        looks: looks.iter().map(look).collect(),
        ..Ask::of("front-left", Care::Gentle)
    };
    let made = plan(&card, &ask, &Settings::default()).expect("a plan");
    let lift = made.openings.into_iter().find(|o| o.id == "dash-lift");
    let mut steps = lift.expect("a dash lift").steps.into_iter();
    steps.find(|s| s.id == id).expect("a step of the dash lift")
}

fn crib(drive: Option<Drive>, looks: &[(&str, f64, f64)]) -> (CutStatus, String) {
    let step = step(drive, looks, "set-crib");
    (step.contacts[0].place.status, step.because.join("; "))
}

#[test]
fn no_crib_stands_where_a_battery_may_lie_beside_the_rocker() {
    for drive in [None, Some(Drive::Battery)] {
        let (status, why) = crib(drive, &[]);
        assert_eq!(status, CutStatus::Blocked, "{drive:?}");
        assert!(why.contains("high-voltage battery"), "{why}");
        assert!(why.contains("a look that finds bare metal there"), "{why}");
        assert_eq!(why.contains("or a drive known"), drive.is_none(), "{why}");
    }
}

#[test]
fn a_known_drive_without_a_pack_there_or_a_look_opens_the_place() {
    for drive in [Drive::Petrol, Drive::Diesel, Drive::Gas, Drive::Hybrid] {
        let (status, why) = crib(Some(drive), &[]);
        assert_ne!(status, CutStatus::Blocked, "{drive}: {why}");
    }
    let (status, why) = crib(None, &[("rocker.left", 20.0, 420.0)]);
    assert_eq!(status, CutStatus::SeenBare, "{why}");
}

/// The reference table's line on driver A-posts that carry a high-voltage cable.
#[test]
fn no_relief_cut_goes_low_into_a_post_that_may_carry_a_high_voltage_cable() {
    let lower = |drive| {
        let step = step(drive, &[], "relief-lower");
        let Target::Place(place) = step.target else {
            panic!("a cut has a place");
        };
        (place.status, step.because.join("; "))
    };
    for drive in [None, Some(Drive::Battery), Some(Drive::Hybrid)] {
        let (status, why) = lower(drive);
        assert_eq!(status, CutStatus::Blocked, "{drive:?}");
        assert!(why.contains("high-voltage cable"), "{why}");
        assert!(why.contains("use a way without a relief cut"), "{why}");
    }
    assert_ne!(lower(Some(Drive::Petrol)).0, CutStatus::Blocked);
}
