//! What every plan holds (design sections 7 and 9), on random cards and asks over
//! all body styles.

use super::ask::{ask, look};
use crate::properties::cases;
use crate::properties::symmetry::{is_turned, mirrored, mirrored_id};
use crate::support::cards::{card, card_of};
use pillarbook::domain::body::StyleId;
use pillarbook::domain::card::Card;
use pillarbook::domain::card::Glass;
use pillarbook::domain::finding::{Finding, Report};
use pillarbook::domain::opening::plan::{Settings, plan};
use pillarbook::domain::opening::template::Act;
use pillarbook::domain::opening::{
    Answer, Ask, CutStatus, Look, Placement, Plan, PlannedOpening, Reach, Resting, Target,
};
use pillarbook::domain::vehicle::Drive;
use pillarbook::domain::zone::gap::BladeWidth;
use pillarbook::domain::zone::{Class, Zones, zones};
use proptest::prelude::*;
use proptest::sample::select;

fn planned(card: &Card, ask: &Ask) -> Plan {
    plan(card, ask, &Settings::default()).expect("a valid card and ask have a plan")
}

fn card_and_ask() -> impl Strategy<Value = (Card, Ask)> {
    card().prop_flat_map(|card| {
        let asked = ask(&card);
        (Just(card), asked)
    })
}

/// The card as a plan reads it: where the drive is unknown, what was seen bare on
/// a car known to have one does not count.
fn as_planned(card: &Card) -> Card {
    let mut card = card.clone();
    if card.vehicle.drive.is_none() {
        let of_one_drive =
            |f: &Finding| matches!(f.report, Report::Bare(_)) && f.observed.drive.is_some();
        card.findings.retain(|f| !of_one_drive(f));
    }
    card
}

/// Every cut on a span and every contact of an opening, with its blade.
fn places<'a>(
    opening: &'a PlannedOpening,
    ask: &'a Ask,
    zones: &'a Zones,
) -> impl Iterator<Item = (&'a Placement, BladeWidth)> {
    opening
        .steps
        .iter()
        .filter(|s| s.act == Act::Cut)
        .filter_map(move |s| {
            let Target::Place(place) = &s.target else {
                return None;
            };
            let named = s.tool.as_ref().and_then(|t| t.name.as_ref());
            let tool = named.and_then(|name| {
                ask.tools
                    .iter()
                    .find(|t| t.name == *name && Some(t.kind) == s.tool.as_ref().map(|t| t.kind))
            });
            let width =
                BladeWidth::of_tool(&zones.policy, tool.and_then(|t| t.blade_half_width_mm));
            Some((place, width))
        })
}

/// The classes that ± b′ around a place touch, from the zones themselves.
fn touched(place: &Placement, width: &BladeWidth, zones: &Zones) -> Vec<(f64, f64, Class)> {
    let span = zones
        .spans
        .iter()
        .find(|s| *s.id == place.span)
        .expect("a span of the card");
    let station = place.station_mm.expect("a place");
    let after = span
        .stations_mm
        .partition_point(|s| *s <= station)
        .clamp(1, span.stations_mm.len() - 1);
    let (a, b) = (span.stations_mm[after - 1], span.stations_mm[after]);
    let u = ((station - a) / (b - a)).clamp(0.0, 1.0);
    let depth = span.half_depth_mm[after - 1] * (1.0 - u) + span.half_depth_mm[after] * u;
    let half = width.touches_mm(depth);
    // A hundredth of rounding at each end.
    let (from, to) = (station - half + 0.01, station + half - 0.01);
    span.stretches
        .iter()
        .filter(|s| s.from_mm < to && from < s.to_mm)
        .map(|s| (s.from_mm.max(from), s.to_mm.min(to), s.class))
        .collect()
}

fn counts(o: &PlannedOpening) -> (usize, usize, usize, usize) {
    (o.blocked, o.likely_occupied, o.looks, o.unknowns)
}

/// The openings of a plan before and after, matched by id and side. One that was
/// offered and no longer is has become worse.
fn pairs<'a>(
    before: &'a Plan,
    after: &'a Plan,
) -> impl Iterator<Item = (&'a PlannedOpening, Option<&'a PlannedOpening>)> {
    before.openings.iter().map(|o| {
        (
            o,
            after
                .openings
                .iter()
                .find(|p| p.id == o.id && p.side == o.side),
        )
    })
}

fn mirrored_ask(ask: &Ask) -> Ask {
    let seat = |id: &String| match id.strip_suffix("-left") {
        Some(stem) => format!("{stem}-right"),
        None => id
            .strip_suffix("-right")
            .map_or(id.clone(), |stem| format!("{stem}-left")),
    };
    Ask {
        seats: ask.seats.iter().map(seat).collect(),
        resting: match ask.resting {
            Resting::Left => Resting::Right,
            Resting::Right => Resting::Left,
            other => other,
        },
        reach: ask
            .reach
            .iter()
            .map(|r| match r {
                Reach::Left => Reach::Right,
                Reach::Right => Reach::Left,
                other => *other,
            })
            .collect(),
        ..ask.clone()
    }
}

fn with_looks(ask: &Ask, looks: Vec<Look>) -> Ask {
    Ask {
        looks,
        ..ask.clone()
    }
}

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn every_card_and_ask_has_a_plan_that_names_a_way_or_says_why_not((card, ask) in card_and_ask()) {
        let plan = planned(&card, &ask);
        prop_assert!(!plan.openings.is_empty() || !plan.not_offered.is_empty());
        for opening in &plan.openings {
            prop_assert!(!opening.steps.is_empty(), "{}", opening.id);
            for (i, step) in opening.steps.iter().enumerate() {
                prop_assert_eq!(step.n, i + 1);
                prop_assert!(!step.crew.is_empty() && !step.exit_now.is_empty(), "{} {}", opening.id, step.id);
                prop_assert!(step.inside.split_whitespace().count() <= 12, "{}", step.inside);
                prop_assert!(!step.crew.contains('{') && !step.id.contains('{'), "{}", step.crew);
            }
        }
        prop_assert!(plan.openings.iter().filter(|o| o.immediate).count() <= 1);
    }

    #[test]
    fn a_seen_bare_cut_touches_nothing_but_bare_and_no_placed_cut_a_no_cut((card, ask) in card_and_ask()) {
        let zones = zones(&as_planned(&card), &ask.variant).unwrap();
        for opening in &planned(&card, &ask).openings {
            for (place, width) in places(opening, &ask, &zones) {
                if place.status == CutStatus::Blocked {
                    prop_assert_eq!(place.station_mm, None);
                    continue;
                }
                for (from, to, class) in touched(place, &width, &zones) {
                    prop_assert!(class != Class::NoCut, "{} {from}-{to}", opening.id);
                    if place.status == CutStatus::SeenBare {
                        prop_assert_eq!(class, Class::Bare, "{} {}-{}", &opening.id, from, to);
                    }
                    if place.status == CutStatus::LookFirst {
                        prop_assert!(class != Class::Expected, "{} {from}-{to}", opening.id);
                    }
                }
                let station = place.station_mm.unwrap();
                prop_assert!(place.range_mm[0] <= station && station <= place.range_mm[1]);
            }
        }
    }

    #[test]
    fn nothing_is_cut_pressed_or_lifted_on_a_pack_or_a_floor_nobody_has_seen_bare(
        ((card, ask), looks) in card_and_ask().prop_flat_map(|(card, ask)| {
            let looks = proptest::collection::vec(look(&card), 0..3);
            (Just((card, ask)), looks)
        })
    ) {
        let zones = zones(&as_planned(&card), &ask.variant).unwrap();
        let style = pillarbook::domain::body::style(card.vehicle.body_style);
        let packs: Vec<_> = style.expectations.iter()
            .filter(|e| e.id.starts_with("hv-") && zones.expectations.iter().any(|h| h.id == e.id))
            .collect();
        let looked = with_looks(&ask, looks.clone());
        for opening in &planned(&card, &looked).openings {
            let cuts = places(opening, &looked, &zones).map(|(place, _)| place);
            let contacts = opening.steps.iter().flat_map(|s| &s.contacts).map(|c| &c.place);
            for place in cuts.chain(contacts) {
                let Some(station) = place.station_mm else { continue };
                let span = zones.spans.iter().find(|s| s.id == place.span).unwrap();
                let bare = span.stretches.iter().any(|s| s.class == Class::Bare && s.from_mm <= station && station <= s.to_mm);
                let shown = looks.iter().any(|l| l.span == place.span && l.from_mm <= station && station <= l.to_mm);
                if bare || shown {
                    continue;
                }
                let floor = place.span.starts_with("floor") || place.span == "tunnel";
                prop_assert!(!floor, "{} on {}", &opening.id, &place.span);
                let reached = packs.iter().find(|e| e.span == place.span
                    && (e.from_share * span.length_mm..=e.to_share * span.length_mm).contains(&station));
                prop_assert!(reached.is_none(), "{} on {} at {}: {:?}", &opening.id, &place.span, station, reached);
            }
        }
    }

    #[test]
    fn a_look_at_bare_metal_opens_no_no_cut_and_makes_nothing_worse(
        ((card, ask), looks) in card_and_ask().prop_flat_map(|(card, ask)| {
            let looks = proptest::collection::vec(look(&card), 1..4);
            (Just((card, ask)), looks)
        })
    ) {
        let zones = zones(&as_planned(&card), &ask.variant).unwrap();
        let looked = with_looks(&ask, looks.clone());
        let (before, after) = (planned(&card, &ask), planned(&card, &looked));
        for (was, is) in pairs(&before, &after) {
            // The immediate way may be another one after a look; else each stays.
            let Some(is) = is else {
                prop_assert!(was.immediate, "{} is gone", was.id);
                continue;
            };
            prop_assert!(counts(is) <= counts(was), "{}: {:?} {:?}", was.id, counts(was), counts(is));
            for (place, width) in places(is, &looked, &zones) {
                if place.status == CutStatus::Blocked {
                    continue;
                }
                for (from, to, class) in touched(place, &width, &zones) {
                    prop_assert!(class != Class::NoCut);
                    let shown = |s: f64| looks.iter().any(|l| l.span == place.span && l.from_mm - 0.01 <= s && s <= l.to_mm + 0.01);
                    if place.status == CutStatus::SeenBare && class != Class::Bare {
                        // Only a look's own place may be other than bare on the card.
                        let step = |i: i32| from + (to - from) * f64::from(i) / 8.0;
                        prop_assert!((0..=8).all(|i| shown(step(i))), "{} {from}-{to}", is.id);
                    }
                }
            }
        }
    }

    #[test]
    fn an_accepted_finding_on_a_new_component_makes_no_plan_better(
        (card, other, ask) in select(StyleId::ALL).prop_flat_map(|id| (card_of(id, 0..6), card_of(id, 1..3)))
            .prop_flat_map(|(card, other)| { let asked = ask(&card); (Just(card), Just(other), asked) })
    ) {
        let mut card = card;
        card.measured = Default::default();
        let mut more = card.clone();
        for finding in &other.findings {
            let mut new = finding.clone();
            let Report::Component(c) = &mut new.report else { continue };
            c.component = format!("new-{}", c.component);
            new.id = format!("new-{}", new.id);
            new.status = pillarbook::domain::finding::Status::Accepted;
            more.findings.push(new);
        }
        prop_assume!(zones(&more, &ask.variant).is_ok() && zones(&card, &ask.variant).is_ok());
        let (before, after) = (planned(&card, &ask), planned(&more, &ask));
        for (was, is) in pairs(&before, &after) {
            if let Some(is) = is {
                prop_assert!(counts(is) >= counts(was), "{}: {:?} {:?}", was.id, counts(was), counts(is));
            }
        }
    }

    #[test]
    fn every_plan_keeps_every_rule_in_force((card, ask) in card_and_ask()) {
        let plan = planned(&card, &ask);
        for opening in &plan.openings {
            let order = opening.steps.iter().map(|s| s.id.clone()).collect();
            let own = pillarbook::domain::opening::OwnOrder {
                opening: opening.id.clone(), side: opening.side, steps: order, kept: Default::default(),
            };
            let asked = Ask { order: Some(own), ..ask.clone() };
            let again = planned(&card, &asked);
            let same = again.openings.iter().find(|o| o.id == opening.id && o.side == opening.side).unwrap();
            prop_assert_eq!(&same.flags, &Vec::new(), "{}", opening.id);
        }
    }

    #[test]
    fn the_order_of_findings_and_answers_does_not_matter((card, ask) in card_and_ask(), turn in any::<bool>()) {
        let (mut card_2, mut ask_2) = (card.clone(), ask.clone());
        card_2.findings.reverse();
        ask_2.tools.reverse();
        ask_2.contact.reverse();
        ask_2.reach.reverse();
        if turn {
            ask_2.seats.reverse();
        }
        let (one, two) = (planned(&card, &ask), planned(&card_2, &ask_2));
        prop_assert_eq!(one.openings, two.openings);
        prop_assert_eq!(one.not_offered, two.not_offered);
    }

    #[test]
    fn the_mirror_image_of_a_car_has_the_mirror_image_of_its_plan((card, ask) in card_and_ask()) {
        // From the middle both sides are near, and the left one is taken first.
        prop_assume!(!ask.seats[0].ends_with("middle"));
        let zones = zones(&card, &ask.variant).unwrap();
        let image = mirrored(&card, &zones);
        let (plan, across) = (planned(&card, &ask), planned(&image, &mirrored_ask(&ask)));
        prop_assert_eq!(plan.openings.len(), across.openings.len());
        prop_assert_eq!(plan.not_offered.len(), across.not_offered.len());
        for opening in &plan.openings {
            let side = opening.side.map(|s| s.mirrored());
            let other = across.openings.iter().find(|o| o.id == opening.id && o.side == side);
            let Some(other) = other else {
                return Err(TestCaseError::fail(format!("{} {:?} has no image", opening.id, opening.side)));
            };
            prop_assert_eq!(counts(opening), counts(other), "{}", &opening.id);
            prop_assert_eq!(opening.immediate, other.immediate, "{}", &opening.id);
            for (a, b) in opening.steps.iter().zip(&other.steps) {
                prop_assert_eq!(a.act, b.act, "{} {}", &opening.id, &a.id);
                let (Target::Place(a), Target::Place(b)) = (&a.target, &b.target) else { continue };
                prop_assert_eq!(mirrored_id(&a.span), b.span.clone());
                prop_assert_eq!(a.status, b.status);
                let span = zones.spans.iter().find(|s| *s.id == a.span).unwrap();
                let station = |p: &Placement, turned: bool| if turned { p.from_head_mm } else { p.station_mm };
                let (x, y) = (station(a, is_turned(span)), station(b, false));
                prop_assert_eq!(x.is_some(), y.is_some());
                if let (Some(x), Some(y)) = (x, y) {
                    prop_assert!((x - y).abs() <= 0.05, "{} {}: {x} {y}", opening.id, a.span);
                }
            }
        }
    }

    #[test]
    fn an_unknown_never_counts_better_than_the_worst_known_value((card, ask) in card_and_ask()) {
        let worse_or_equal = |unknown: &Plan, known: &Plan| {
            pairs(known, unknown).find_map(|(known, unknown)| {
                let unknown = unknown?;
                (counts(unknown) < counts(known)).then(|| format!("{}: {:?} {:?}", known.id, counts(unknown), counts(known)))
            })
        };
        // Glass of every pane, the drive, whether a hand passes, each tool's force.
        let with_glass = |glass: Glass| {
            let panes = pillarbook::domain::body::style(card.vehicle.body_style).panes.iter();
            Card { glass: panes.map(|p| (p.id.to_string(), glass)).collect(), ..card.clone() }
        };
        let unknown = planned(&with_glass(Glass::Unknown), &ask);
        for glass in [Glass::Laminated, Glass::Tempered] {
            prop_assert_eq!(worse_or_equal(&unknown, &planned(&with_glass(glass), &ask)), None);
        }
        let driven = |drive| Card { vehicle: pillarbook::domain::vehicle::Vehicle { drive, ..card.vehicle.clone() }, ..card.clone() };
        let unknown = planned(&driven(None), &ask);
        for drive in Drive::ALL {
            prop_assert_eq!(worse_or_equal(&unknown, &planned(&driven(Some(*drive)), &ask)), None);
        }
        let forces = |force_kn: Option<f64>| {
            let tools = ask.tools.iter().map(|t| pillarbook::domain::opening::AskedTool { force_kn, ..t.clone() });
            Ask { tools: tools.collect(), ..ask.clone() }
        };
        let unknown = planned(&card, &forces(None));
        for kn in [1.0, 300.0, 4_000.0] {
            prop_assert_eq!(worse_or_equal(&unknown, &planned(&card, &forces(Some(kn)))), None);
        }
        let hand = |hand_passes| planned(&card, &Ask { hand_passes, ..ask.clone() });
        prop_assert_eq!(worse_or_equal(&hand(Answer::Unknown), &hand(Answer::Yes)), None);
    }
}
