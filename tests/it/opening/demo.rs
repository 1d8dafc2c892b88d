//! Plans on the invented county's cards: what a crew gets on a first try.

use pillarbook::contract::card_file;
use pillarbook::domain::body::style;
use pillarbook::domain::card::Card;
use pillarbook::domain::frame::Side;
use pillarbook::domain::opening::plan::{PlanError, Settings, plan};
use pillarbook::domain::opening::template::Act;
use pillarbook::domain::opening::{
    Ask, Care, CutStatus, Look, LookFound, OwnOrder, Placement, Plan, PlannedOpening, Resting,
    Target, Trapped,
};

fn cards() -> Vec<(String, Card)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/demo/cards");
    let files = std::fs::read_dir(folder).expect("the demo's cards");
    let mut cards: Vec<(String, Card)> = files
        .map(|file| {
            let path = file.expect("a file").path();
            let text = std::fs::read(&path).expect("a card");
            let name = path
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, card_file::read(&text).expect("a valid card").card)
        })
        .collect();
    cards.sort_by(|a, b| a.0.cmp(&b.0));
    assert!(cards.len() >= 18, "{}", cards.len());
    cards
}

fn planned(card: &Card, ask: &Ask) -> Plan {
    plan(card, ask, &Settings::default()).expect("a demo card has plans")
}

fn resting(ask: Ask, resting: Resting) -> Ask {
    Ask {
        resting,
        reach: resting.reach().to_vec(),
        ..ask
    }
}

fn places(opening: &PlannedOpening) -> impl Iterator<Item = &Placement> {
    let cuts = opening.steps.iter().filter(|s| s.act == Act::Cut);
    let cuts = cuts.filter_map(|s| match &s.target {
        Target::Place(place) => Some(place),
        _ => None,
    });
    let contacts = opening.steps.iter().flat_map(|s| &s.contacts);
    cuts.chain(contacts.map(|c| &c.place))
}

/// An opening by its id, on the patient's side.
fn opening<'a>(plan: &'a Plan, id: &str) -> &'a PlannedOpening {
    let found = plan
        .openings
        .iter()
        .find(|o| o.id == id && o.side != Some(Side::Right));
    found.unwrap_or_else(|| {
        panic!(
            "{id} among {:?}",
            plan.openings.iter().map(|o| &o.id).collect::<Vec<_>>()
        )
    })
}

/// A card with a B-pillar whose foot cut has not been seen bare.
fn unproven() -> (Card, Ask) {
    let card = Card::unrecorded(pillarbook::domain::vehicle::Vehicle {
        // Before belts had pretensioners and rails had curtains: nothing is expected here.
        years: Some([1990, 1991].into()),
        drive: Some(pillarbook::domain::vehicle::Drive::Petrol),
        region: Some("US".into()),
        ..pillarbook::domain::vehicle::Vehicle::of_style(pillarbook::domain::body::StyleId::Sedan)
    });
    (card, Ask::of("front-left", Care::Gentle))
}

#[test]
fn every_demo_card_seat_care_and_position_has_cuts_in_gaps_or_says_why_not() {
    for (name, card) in cards() {
        for seat in &style(card.vehicle.body_style).seats {
            for care in Care::ALL {
                for rest in Resting::ALL {
                    let mut ask = resting(Ask::of(seat.id.to_string(), *care), *rest);
                    if *care == Care::OwnWayOut {
                        ask.trapped = Trapped::Not;
                    }
                    let plan = planned(&card, &ask);
                    let what = format!("{name} {} {care} {rest}", seat.id);
                    assert!(!plan.openings.is_empty(), "{what}: nothing is offered");
                    for opening in &plan.openings {
                        for place in places(opening) {
                            match (place.status, place.station_mm, place.gap) {
                                (CutStatus::Blocked, None, None) => {}
                                (_, Some(at), Some(gap)) => {
                                    assert!(gap.from_mm <= at && at <= gap.to_mm, "{what}");
                                }
                                other => panic!("{what}: {other:?}"),
                            }
                        }
                        let blocked = opening.steps.iter().filter(|s| matches!(&s.target, Target::Place(p) if p.status == CutStatus::Blocked && s.act == Act::Cut));
                        for step in blocked {
                            assert!(
                                step.because.iter().any(|b| b.contains("blocked")),
                                "{what}: {:?}",
                                step.because
                            );
                        }
                    }
                    assert!(
                        plan.not_offered.iter().all(|n| !n.because.is_empty()),
                        "{what}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_look_at_bare_metal_turns_a_cut_to_look_at_first_into_one_seen_bare() {
    let (card, ask) = unproven();
    let foot = |plan: &Plan| {
        let side = opening(plan, "side-removal");
        let step = side
            .steps
            .iter()
            .find(|s| s.id == "part-b-foot")
            .expect("the foot is parted");
        match &step.target {
            Target::Place(place) => place.clone(),
            other => panic!("{other:?}"),
        }
    };
    let before = foot(&planned(&card, &ask));
    assert_eq!(before.status, CutStatus::LookFirst);
    let looked = Ask {
        looks: vec![Look {
            span: before.span.clone(),
            from_mm: 0.0,
            to_mm: 400.0,
            found: LookFound::Bare,
        }],
        ..ask.clone()
    };
    let after = foot(&planned(&card, &looked));
    assert_eq!(after.status, CutStatus::SeenBare);
    assert_eq!(after.seen, ["look on this car"]);
}

#[test]
fn a_part_found_by_a_look_moves_the_cut_off_it_or_blocks_it() {
    let (card, ask) = unproven();
    let found = Look {
        span: "b-pillar.left".into(),
        from_mm: 0.0,
        to_mm: 500.0,
        found: LookFound::Part(pillarbook::domain::kind::Kind::Pretensioner),
    };
    let plan = planned(
        &card,
        &Ask {
            looks: vec![found],
            ..ask
        },
    );
    let side = opening(&plan, "side-removal");
    let step = side
        .steps
        .iter()
        .find(|s| s.id == "part-b-foot")
        .expect("the foot is parted");
    assert!(matches!(&step.target, Target::Place(p) if p.status == CutStatus::Blocked));
    assert!(
        step.because.iter().any(|b| b.contains("look on this car")),
        "{:?}",
        step.because
    );
}

#[test]
fn an_own_order_is_taken_as_it_is_and_told_which_rules_it_breaks() {
    let (card, ask) = unproven();
    let plan = planned(&card, &ask);
    let made = opening(&plan, "side-removal");
    assert_eq!(made.flags, []);
    let mut steps: Vec<String> = made.steps.iter().map(|s| s.id.clone()).collect();
    let at = |id: &str| steps.iter().position(|s| s == id).expect("a step");
    let (foot, head) = (at("part-b-foot"), at("part-b-head"));
    steps.swap(foot, head);
    let order = OwnOrder {
        opening: made.id.clone(),
        side: made.side,
        steps: steps.clone(),
        kept: Default::default(),
    };
    let own = planned(
        &card,
        &Ask {
            order: Some(order),
            ..ask
        },
    );
    let own = opening(&own, "side-removal");
    assert_eq!(
        own.steps.iter().map(|s| s.id.clone()).collect::<Vec<_>>(),
        steps
    );
    let flag = own
        .flags
        .iter()
        .find(|f| f.rule == "foot-before-head")
        .expect("foot first is in force");
    assert_eq!((flag.then, flag.first), (foot + 1, head + 1));
    assert!(
        own.flags.iter().any(|f| f.rule == "trim-before-cut"),
        "the head's trim is still on"
    );
}

#[test]
fn an_order_that_leaves_a_step_out_is_refused() {
    let (card, ask) = unproven();
    let plan_of = |order| {
        plan(
            &card,
            &Ask {
                order: Some(order),
                ..ask.clone()
            },
            &Settings::default(),
        )
    };
    let order = OwnOrder {
        opening: "side-removal".into(),
        side: Some(Side::Left),
        steps: vec![
            "part-b-foot".into(),
            "part-b-foot".into(),
            "no-such-step".into(),
        ],
        kept: Default::default(),
    };
    let Err(PlanError::Order(errors)) = plan_of(order) else {
        panic!("refused")
    };
    let said: Vec<String> = errors.iter().map(ToString::to_string).collect();
    assert!(said.iter().any(|e| e.contains("twice")), "{said:?}");
    assert!(said.iter().any(|e| e.contains("no-such-step")), "{said:?}");
    assert!(said.iter().any(|e| e.contains("missing")), "{said:?}");
}

#[test]
fn the_immediate_way_stands_beside_whatever_care_was_asked() {
    for (name, card) in cards() {
        let plan = planned(&card, &Ask::of("front-left", Care::Gentle));
        let immediate: Vec<&str> = plan
            .openings
            .iter()
            .filter(|o| o.immediate)
            .map(|o| o.id.as_str())
            .collect();
        assert_eq!(immediate.len(), 1, "{name}: {immediate:?}");
    }
}

#[test]
fn an_own_opening_whose_steps_wait_for_each_other_is_not_offered_and_spoils_no_other() {
    let (card, ask) = unproven();
    let catalogue = pillarbook::domain::opening::catalogue::catalogue();
    let mut own = catalogue
        .iter()
        .find(|o| o.id == "side-removal")
        .expect("in the catalogue")
        .clone();
    own.id = "our-side".into();
    for step in &mut own.steps {
        match step.id.as_str() {
            "part-b-foot" => step.before.push("part-b-head".into()),
            "part-b-head" => step.before.push("part-b-foot".into()),
            _ => {}
        }
    }
    let settings = Settings {
        own_openings: vec![own],
        ..Settings::default()
    };
    let plan = plan(&card, &ask, &settings).expect("the other openings stand");
    opening(&plan, "side-removal");
    let not = plan
        .not_offered
        .iter()
        .find(|n| n.id == "our-side")
        .expect("said");
    assert!(not.because.contains("waits for another"), "{}", not.because);
}
