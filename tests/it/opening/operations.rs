//! The published order of operations, row by row, held against plans made for
//! suitable cars: city operating procedure, a state's student guide, trade texts
//! and an Australian rescue manual, as the reference table names them.

use pillarbook::domain::body::{Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::frame::Side;
use pillarbook::domain::opening::catalogue::catalogue;
use pillarbook::domain::opening::plan::{Settings, plan};
use pillarbook::domain::opening::template::{Act, ContactKind};
use pillarbook::domain::opening::{
    Ask, Care, Contact, CutStatus, PlacedContact, Plan, PlannedOpening, PlannedStep, Resting,
    Target, Trapped,
};
use pillarbook::domain::policy::{BPillarFirst, Policy};
use pillarbook::domain::vehicle::{Drive, Vehicle};

fn card(style: StyleId) -> Card {
    Card::unrecorded(Vehicle {
        drive: Some(Drive::Petrol),
        ..Vehicle::of_style(style)
    })
}

fn ask(resting: Resting) -> Ask {
    Ask {
        resting,
        reach: resting.reach().to_vec(),
        trapped: Trapped::Pinned,
        contact: vec![Contact::Dash, Contact::SeatBack],
        ..Ask::of("front-left", Care::Gentle)
    }
}

fn planned(card: &Card, ask: &Ask) -> Plan {
    plan(card, ask, &Settings::default()).expect("a plan")
}

/// Every opening of every body style, as the car may rest, but one's own way out.
fn for_each(check: impl Fn(StyleId, &PlannedOpening)) {
    for style in StyleId::ALL {
        for resting in Resting::ALL {
            let plan = planned(&card(*style), &ask(*resting));
            for opening in plan.openings.iter().filter(|o| o.id != "own-way-out") {
                check(*style, opening);
            }
        }
    }
}

/// One opening of a sedan on its wheels, on the left.
fn of_sedan(id: &str) -> PlannedOpening {
    let plan = planned(&card(StyleId::Sedan), &ask(Resting::Wheels));
    named(plan, id)
}

fn named(plan: Plan, id: &str) -> PlannedOpening {
    let mut all = plan.openings.into_iter();
    all.find(|o| o.id == id)
        .unwrap_or_else(|| panic!("{id} is offered"))
}

fn at(opening: &PlannedOpening, id: &str) -> usize {
    let found = opening.steps.iter().position(|s| s.id == id);
    found.unwrap_or_else(|| panic!("{} has a step {id}", opening.id))
}

/// That the steps stand in this order.
fn in_order(opening: &PlannedOpening, ids: &[&str]) {
    for pair in ids.windows(2) {
        assert!(
            at(opening, pair[0]) < at(opening, pair[1]),
            "{}: {} before {}",
            opening.id,
            pair[0],
            pair[1]
        );
    }
}

fn works_metal(step: &PlannedStep) -> bool {
    matches!(
        step.act,
        Act::Cut | Act::Spread | Act::Ram | Act::Crush | Act::Lift
    )
}

/// Whether two steps are done at one place.
fn same_place(a: &Target, b: &Target) -> bool {
    match (a, b) {
        (Target::Place(a), Target::Place(b)) => {
            a.span == b.span && a.default_mm == b.default_mm && a.station_mm == b.station_mm
        }
        (Target::Panel(a), Target::Panel(b)) => a.ends_mm == b.ends_mm,
        _ => false,
    }
}

#[test]
fn row_1_and_2_somebody_walks_round_and_the_car_is_held_before_anything_else() {
    for_each(|style, opening| {
        let first = &opening.steps[0];
        assert_eq!(first.act, Act::Stabilise, "{style} {}", opening.id);
        assert!(first.crew.starts_with("Walk round first"), "{}", first.crew);
        let held = |s: &PlannedStep| matches!(s.act, Act::Stabilise | Act::Shore);
        let last = opening.steps.iter().rposition(held).expect("held");
        let entered = opening.steps.iter().position(|s| {
            works_metal(s) || matches!(s.act, Act::ManageGlass | Act::Expose | Act::SeverBelt)
        });
        assert!(entered.is_none_or(|e| last < e), "{style} {}", opening.id);
    });
}

#[test]
fn row_3_power_is_used_first_then_12_v_goes_negative_first_and_a_second_battery_is_looked_for() {
    for_each(|_, opening| {
        in_order(
            opening,
            &[
                "use-power",
                "isolate-key-away",
                "isolate-12v-main",
                "isolate-12v-second",
            ],
        );
        let main = &opening.steps[at(opening, "isolate-12v-main")].crew;
        assert!(main.contains("negative off first"), "{main}");
        let second = &opening.steps[at(opening, "isolate-12v-second")].crew;
        assert!(second.contains("Look for a second"), "{second}");
        let metal = opening.steps.iter().position(works_metal);
        assert!(metal.is_none_or(|m| at(opening, "isolate-12v-second") < m));
    });
}

#[test]
fn row_4_those_inside_are_covered_before_glass_and_glass_goes_before_the_metal_beside_it() {
    for_each(|style, opening| {
        let glass = |s: &PlannedStep| s.act == Act::ManageGlass;
        if let Some(first) = opening.steps.iter().position(glass) {
            assert!(
                at(opening, "protect-cover") < first,
                "{style} {}",
                opening.id
            );
        }
        let (side, far) = match opening.side {
            Some(pillarbook::domain::frame::Side::Right) => ("right", "left"),
            _ => ("left", "right"),
        };
        let fill = |text: &str| {
            text.replace("{side}", side)
                .replace("{far}", far)
                .replace("{door}", "front")
        };
        let forms = &catalogue()
            .iter()
            .find(|o| o.id == opening.id)
            .unwrap()
            .steps;
        for form in forms.iter().filter(|f| !f.beside.is_empty()) {
            let Some(work) = opening.steps.iter().position(|s| s.id == fill(&form.id)) else {
                continue;
            };
            for pane in form.beside.iter().map(|p| fill(p)) {
                let managed = opening
                    .steps
                    .iter()
                    .position(|s| s.id == format!("glass-{pane}"));
                assert!(
                    managed.is_none_or(|m| m < work),
                    "{style} {}: {pane}",
                    opening.id
                );
            }
        }
    });
    in_order(
        &of_sedan("roof-removal"),
        &["glass-windscreen", "part-a-left"],
    );
}

#[test]
fn row_5_trim_is_off_at_every_cut_before_the_blade_closes() {
    for_each(|style, opening| {
        let mut cuts = 0;
        for (n, cut) in opening
            .steps
            .iter()
            .enumerate()
            .filter(|(_, s)| s.act == Act::Cut)
        {
            if !matches!(cut.target, Target::Place(_) | Target::Panel(_)) {
                continue;
            }
            cuts += 1;
            let looked = opening.steps[..n]
                .iter()
                .any(|s| s.act == Act::Expose && same_place(&s.target, &cut.target));
            assert!(looked, "{style} {}: {}", opening.id, cut.id);
        }
        assert_eq!(cuts, opening.cuts, "{style} {}", opening.id);
    });
}

#[test]
fn row_6_belts_are_cut_before_the_roof_posts() {
    let post = |s: &PlannedStep| matches!(&s.target, Target::Place(p) if s.act == Act::Cut && p.span.contains("-pillar."));
    for_each(|style, opening| {
        if !opening.id.starts_with("roof-") {
            return;
        }
        let first = opening.steps.iter().position(post);
        let last = opening.steps.iter().rposition(|s| s.act == Act::SeverBelt);
        if let (Some(first), Some(last)) = (first, last) {
            assert!(last < first, "{style} {}", opening.id);
        }
    });
    let roof = of_sedan("roof-removal");
    assert!(roof.steps.iter().any(|s| s.act == Act::SeverBelt));
}

#[test]
fn row_7_a_roof_comes_off_post_by_post_from_the_front_held_before_the_last() {
    for style in [
        StyleId::Sedan,
        StyleId::Estate,
        StyleId::Hatch5,
        StyleId::Suv,
    ] {
        let roof = named(planned(&card(style), &ask(Resting::Wheels)), "roof-removal");
        for side in ["left", "right"] {
            let posts = ["a", "b", "c"].map(|p| format!("part-{p}-{side}"));
            in_order(&roof, &posts.each_ref().map(String::as_str));
        }
        let posts: Vec<usize> = (0..roof.steps.len())
            .filter(|n| roof.steps[*n].id.starts_with("part-"))
            .collect();
        let hold = at(&roof, "hold-roof");
        assert!(hold < *posts.last().unwrap(), "{style}");
        assert!(*posts.last().unwrap() < at(&roof, "lift-roof"), "{style}");
    }
}

#[test]
fn row_8_a_flap_parts_a_then_b_then_is_relieved_ahead_of_c_and_folds_over_a_bar() {
    let flap = of_sedan("roof-flap-rearward");
    for a in ["part-a-left", "part-a-right"] {
        for b in ["part-b-left", "part-b-right"] {
            in_order(&flap, &[a, b, "relief-left"]);
            in_order(&flap, &[a, b, "relief-right", "fold-roof"]);
        }
    }
    in_order(&flap, &["hold-roof", "part-b-left"]);
    let (relief, fold) = (at(&flap, "relief-left"), at(&flap, "fold-roof"));
    assert!(
        flap.steps[relief].crew.contains("ahead of the rear post")
            || flap.steps[relief].crew.contains("level with the first")
    );
    assert!(flap.steps[fold].crew.contains("bar across"));
}

#[test]
fn row_9_a_side_comes_off_by_the_school_of_the_department() {
    let by = |first| {
        let card = Card {
            policy: Policy {
                b_pillar_first: first,
                ..Policy::default()
            },
            ..card(StyleId::Sedan)
        };
        named(planned(&card, &ask(Resting::Wheels)), "side-removal")
    };
    let foot = by(BPillarFirst::Foot);
    in_order(
        &foot,
        &[
            "open-rear-door",
            "part-b-foot",
            "move-b-foot",
            "part-b-head",
        ],
    );
    let head = by(BPillarFirst::Head);
    in_order(&head, &["open-rear-door", "part-b-head", "part-b-foot"]);
    for school in [foot, head] {
        let belt = school.steps.iter().position(|s| s.act == Act::SeverBelt);
        assert!(belt.expect("the belt on the post") < at(&school, "part-b-head"));
        in_order(&school, &["expose-b-head", "part-b-head"]);
    }
}

#[test]
fn row_10_a_dash_is_lifted_from_a_crib_after_every_relief_cut() {
    let lift = of_sedan("dash-lift");
    in_order(
        &lift,
        &[
            "set-crib",
            "relief-upper",
            "relief-lower",
            "relief-fender-rail",
            "relief-a",
            "lift-dash",
        ],
    );
    let crib = &lift.steps[at(&lift, "set-crib")].contacts[0];
    assert_eq!(crib.kind, ContactKind::Crib);
    assert_eq!(crib.place.span, "rocker.left");
    let span = |id: &str| match &lift.steps[at(&lift, id)].target {
        Target::Place(place) => place.span.clone(),
        other => panic!("{id}: {other:?}"),
    };
    assert_eq!(span("relief-upper"), "hinge-pillar.left");
    assert_eq!(span("relief-lower"), "hinge-pillar.left");
    assert_eq!(span("relief-fender-rail"), "fender-rail.left");
    assert_eq!(span("relief-a"), "a-pillar.left");
    assert!(
        lift.steps[at(&lift, "relief-lower")]
            .crew
            .contains("fold the tab")
    );
}

#[test]
fn row_11_a_dash_is_rolled_from_the_foot_of_b_to_the_middle_of_the_hinge_pillar() {
    let roll = of_sedan("dash-roll");
    in_order(&roll, &["set-crib", "relief-foot", "push-dash"]);
    let push = &roll.steps[at(&roll, "push-dash")];
    let feet: Vec<(ContactKind, &str)> = push
        .contacts
        .iter()
        .map(|c| (c.kind, c.place.span.as_str()))
        .collect();
    assert_eq!(
        feet,
        [
            (ContactKind::RamFoot, "b-pillar.left"),
            (ContactKind::RamFoot, "hinge-pillar.left")
        ]
    );
}

#[test]
fn row_12_a_post_that_may_carry_high_voltage_is_not_given_a_relief_cut_unseen() {
    for (drive, cautioned) in [
        (Some(Drive::Battery), true),
        (None, true),
        (Some(Drive::Petrol), false),
    ] {
        let card = Card::unrecorded(Vehicle {
            drive,
            ..Vehicle::of_style(StyleId::Sedan)
        });
        for (opening, cut) in [("dash-lift", "relief-lower"), ("dash-roll", "relief-foot")] {
            let made = named(planned(&card, &ask(Resting::Wheels)), opening);
            let why = made.steps[at(&made, cut)].because.join("; ");
            assert_eq!(
                why.contains("use a way without a relief cut"),
                cautioned,
                "{drive:?}: {why}"
            );
        }
    }
}

/// The other half of the row: there is such a way.
#[test]
fn row_12_a_dash_can_be_pushed_without_any_cut() {
    let push = of_sedan("dash-push");
    in_order(&push, &["set-crib", "push-dash"]);
    assert_eq!(push.cuts, 0);
    let feet = &push.steps[at(&push, "push-dash")].contacts;
    assert_eq!(feet[0].place.span, "b-pillar.left");
    // Above the half of the post where the cable is expected.
    let (above, post) = (&feet[1].place, fitted_span("hinge-pillar.left"));
    assert_eq!(above.span, "hinge-pillar.left");
    assert!(
        above.range_mm[0] > post / 2.0,
        "{:?} of {post}",
        above.range_mm
    );
}

/// Length of a span of the unmeasured sedan, mm.
fn fitted_span(id: &str) -> f64 {
    let body = fit(style(StyleId::Sedan), &Measured::default()).expect("a body");
    body.span(id).expect("a span").line.length()
}

/// The reference names no place for them; where they are common practice they are
/// tested like any other, and hold back no opening.
#[test]
fn row_2_what_holds_the_car_is_tested_and_counts_against_no_opening() {
    let battery = Card::unrecorded(Vehicle {
        drive: Some(Drive::Battery),
        ..Vehicle::of_style(StyleId::Sedan)
    });
    for resting in Resting::ALL {
        let plan = planned(&battery, &ask(*resting));
        for opening in plan.openings.iter().filter(|o| o.id != "own-way-out") {
            let held = opening.steps.iter().filter(|s| s.act.holds_the_car());
            let places: Vec<_> = held.clone().flat_map(|s| &s.contacts).collect();
            let enough = if *resting == Resting::Wheels { 4 } else { 2 };
            assert!(places.len() >= enough, "{resting} {}", opening.id);
            // A pack is expected all along the rocker of this drive.
            let rocker = |c: &&&PlacedContact| c.place.span.starts_with("rocker.");
            assert!(places.iter().filter(rocker).count() >= 2);
            for crib in places.iter().filter(rocker) {
                assert_eq!(crib.place.status, CutStatus::Blocked, "{}", crib.name);
            }
            for step in held.filter(|s| s.contacts.iter().any(|c| rocker(&&c))) {
                let why = step.because.join("; ");
                assert!(why.contains("not counted"), "{why}");
            }
            let counted = opening.steps.iter().filter(|s| !s.act.holds_the_car());
            let blocked = counted
                .flat_map(|s| {
                    let own = match &s.target {
                        Target::Place(p) if s.act == Act::Cut => Some(p.status),
                        Target::Panel(p) if s.act == Act::Cut => Some(p.status),
                        _ => None,
                    };
                    own.into_iter()
                        .chain(s.contacts.iter().map(|c| c.place.status))
                })
                .filter(|s| *s == CutStatus::Blocked);
            assert_eq!(blocked.count(), opening.blocked, "{resting} {}", opening.id);
        }
    }
}

#[test]
fn row_13_sharp_ends_are_covered_after_each_cut() {
    for_each(|style, opening| {
        for (n, cut) in opening
            .steps
            .iter()
            .enumerate()
            .filter(|(_, s)| s.act == Act::Cut)
        {
            let covered = opening.steps[n..]
                .iter()
                .any(|s| s.act == Act::Cover && same_place(&s.target, &cut.target));
            let placed = matches!(cut.target, Target::Place(_) | Target::Panel(_));
            assert!(covered || !placed, "{style} {}: {}", opening.id, cut.id);
        }
    });
}

#[test]
fn row_14_beside_the_controlled_way_there_is_always_the_immediate_one() {
    for style in StyleId::ALL {
        for resting in Resting::ALL {
            for trapped in Trapped::ALL {
                let asked = Ask {
                    trapped: *trapped,
                    ..ask(*resting)
                };
                let plan = planned(&card(*style), &asked);
                let now = plan.openings.iter().filter(|o| o.immediate).count();
                assert_eq!(now, 1, "{style} {resting} {trapped}");
                let controlled = plan.openings.iter().any(|o| !o.immediate);
                assert!(controlled, "{style} {resting} {trapped}");
            }
        }
    }
}

#[test]
fn a_door_of_the_far_side_frees_nobody_from_the_near_one() {
    for (seat, near) in [("front-left", Side::Left), ("front-right", Side::Right)] {
        let ask = Ask {
            trapped: Trapped::Pinned,
            contact: vec![Contact::Door],
            ..Ask::of(seat, Care::Gentle)
        };
        let plan = planned(&card(StyleId::Sedan), &ask);
        let sided = plan.openings.iter().filter(|o| o.side.is_some());
        let doors: Vec<_> = sided.filter(|o| o.id.starts_with("door-")).collect();
        assert!(doors.iter().any(|o| o.side == Some(near)), "{seat}");
        assert!(doors.iter().any(|o| o.side != Some(near)), "{seat}");
        for door in doors {
            let said = door.reasons.join("; ");
            let frees = said.contains("makes room at the door");
            assert_eq!(frees, door.side == Some(near), "{seat}: {said}");
            assert_eq!(
                said.contains("does not free the patient from the door"),
                !frees
            );
        }
        assert_eq!(plan.openings[0].side, Some(near), "{seat}");
    }
}
