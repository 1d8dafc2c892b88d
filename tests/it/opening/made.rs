//! Openings made for cars, over all body styles: each is made or says why not,
//! stands on what the body has, and is the same on both sides.

use pillarbook::domain::body::{FittedBody, SpanGroup, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::frame::Side;
use pillarbook::domain::opening::catalogue::catalogue;
use pillarbook::domain::opening::expand::{Car, Made, ways};
use pillarbook::domain::opening::order::{Rules, sort};
use pillarbook::domain::opening::template::{Act, At, On, Opening, SpanForm, StepForm};
use pillarbook::domain::opening::{Ask, Care, NotOffered};
use pillarbook::domain::policy::Policy;
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::{Zones, zones};
use std::collections::BTreeSet;

struct Owned {
    card: Card,
    body: FittedBody,
    zones: Zones,
}

impl Owned {
    fn of(id: StyleId) -> Self {
        let card = Card::unrecorded(Vehicle::of_style(id));
        let body = fit(style(id), &card.measured).unwrap();
        let zones = zones(&card, &Variant::default()).unwrap();
        Self { card, body, zones }
    }

    fn ways(&self, opening: &Opening, ask: &Ask) -> Vec<Result<Made, NotOffered>> {
        let car = Car {
            card: &self.card,
            body: &self.body,
            zones: &self.zones,
        };
        ways(opening, &car, ask)
    }
}

/// An ask that the opening suits, but for the body: its row, its resting.
fn ask_for(opening: &Opening, side: &str) -> Ask {
    let row_two = opening.suits.rows.first().is_some_and(|r| *r == 2);
    let row = if row_two { "rear" } else { "front" };
    let resting = opening.suits.resting[0];
    Ask {
        resting,
        reach: resting.reach().to_vec(),
        ..Ask::of(format!("{row}-{side}"), Care::Gentle)
    }
}

/// Every style whose body admits the opening.
fn made_on(opening: &Opening) -> Vec<&'static str> {
    StyleId::ALL
        .iter()
        .filter(|id| {
            // A car on its left side is opened from its right one.
            Owned::of(**id)
                .ways(opening, &ask_for(opening, "left"))
                .iter()
                .any(Result::is_ok)
        })
        .map(|id| id.word())
        .collect()
}

/// Thought through by hand, style by style, not printed from the program.
#[test]
fn each_opening_is_made_on_the_bodies_that_admit_it_and_on_no_other() {
    let all: Vec<&str> = StyleId::ALL.iter().map(|id| id.word()).collect();
    let but = |out: &[&str]| {
        all.iter()
            .copied()
            .filter(|s| !out.contains(s))
            .collect::<Vec<_>>()
    };
    let four_doors = vec!["sedan", "hatch-5", "estate", "suv", "pickup-crew"];
    let expected = |id: &str| match id {
        "own-way-out" | "door-latch-side" | "door-hinge-side" | "dash-lift" | "column-relief"
        | "pedal-relief" | "seat-back-relief" | "windscreen-entry" => all.clone(),
        "sliding-door" | "side-removal-sliding" => vec!["minivan"],
        "load-door" | "rear-doors" => vec!["cargo-van"],
        "half-doors" => vec!["pickup-extended"],
        "side-removal" | "side-drop" => four_doors.clone(),
        "third-door" => vec!["coupe", "hatch-3"],
        "roof-removal" | "roof-flap-sideways" | "roof-fold-down" => but(&["convertible"]),
        "roof-flap-forward" => but(&["convertible", "cargo-van"]),
        "roof-flap-rearward" => but(&["convertible", "cargo-van", "pickup-regular"]),
        "open-top" => vec!["convertible"],
        "dash-roll" | "dash-push" => but(&["pickup-extended"]),
        "rear-entry" => but(&["cargo-van"]),
        other => panic!("{other} has no line in this table"),
    };
    for opening in catalogue() {
        assert_eq!(made_on(opening), expected(&opening.id), "{}", opening.id);
    }
}

#[test]
fn what_is_not_made_says_why() {
    for id in StyleId::ALL {
        let car = Owned::of(*id);
        for (opening, side) in catalogue().iter().flat_map(|o| [(o, "left"), (o, "right")]) {
            let ways = car.ways(opening, &ask_for(opening, side));
            assert!(!ways.is_empty(), "{id} {}", opening.id);
            for why in ways.into_iter().filter_map(Result::err) {
                assert!(
                    why.because.len() > 15,
                    "{id} {}: {}",
                    opening.id,
                    why.because
                );
                assert!(
                    !why.because.contains('{'),
                    "{id} {}: {}",
                    opening.id,
                    why.because
                );
            }
        }
    }
}

fn spans(form: &StepForm) -> Vec<&str> {
    let on: Vec<&str> = match &form.on {
        On::Span(s) => vec![&s.id],
        On::Panel(p) => vec![&p.from.span, &p.to.span],
        On::Nothing | On::Part(_) => Vec::new(),
    };
    let pressed = form.contacts.iter().map(|c| c.span.id.as_str());
    on.into_iter()
        .chain(pressed)
        .chain(form.moves.iter().map(String::as_str))
        .collect()
}

/// Every opening made on every style from both sides.
fn for_each_made(check: impl Fn(&Owned, &Opening, &Made)) {
    for id in StyleId::ALL {
        let car = Owned::of(*id);
        for opening in catalogue() {
            for side in ["left", "right"] {
                for made in car
                    .ways(opening, &ask_for(opening, side))
                    .into_iter()
                    .flatten()
                {
                    check(&car, opening, &made);
                }
            }
        }
    }
}

#[test]
fn every_step_stands_on_what_the_body_has_and_no_id_stands_twice() {
    for_each_made(|car, opening, made| {
        let mut ids = BTreeSet::new();
        for step in &made.steps {
            let form = &step.form;
            assert!(ids.insert(&form.id), "{}: {} twice", opening.id, form.id);
            assert!(
                (1..=12).contains(&form.inside.split_whitespace().count()),
                "{}",
                form.inside
            );
            for text in [&form.id, &form.crew, &form.inside] {
                assert!(!text.contains('{'), "{}: {text}", opening.id);
            }
            for span in spans(form) {
                let style = car.body.style.id;
                assert!(
                    car.body.span(span).is_some(),
                    "{style} {}: {span}",
                    opening.id
                );
            }
        }
    });
}

/// A range may end past the end of a short span, the default may not.
#[test]
fn every_default_lies_on_its_span() {
    let on_span = |body: &FittedBody, form: &SpanForm| {
        let length = body.span(&form.id).unwrap().line.length();
        match form.at {
            At::FromFoot { at, .. } | At::FromHead { at, .. } => at < length,
            At::Share { at, .. } => (0.0..=1.0).contains(&at),
        }
    };
    for_each_made(|car, opening, made| {
        for form in made.steps.iter().map(|s| &s.form) {
            if let On::Span(span) = &form.on {
                assert!(on_span(&car.body, span), "{} {}", opening.id, form.id);
            }
            for contact in &form.contacts {
                assert!(
                    on_span(&car.body, &contact.span),
                    "{} {}",
                    opening.id,
                    contact.name
                );
            }
        }
    });
}

#[test]
fn every_rule_can_be_kept_whichever_end_of_the_b_pillar_comes_first() {
    use pillarbook::domain::policy::BPillarFirst;
    for first in BPillarFirst::ALL {
        let policy = Policy {
            b_pillar_first: *first,
            ..Policy::default()
        };
        let rules = Rules::in_force(&policy, &BTreeSet::new()).expect("none is switched off");
        for_each_made(|_, opening, made| {
            let sorted = sort(made.steps.clone(), &rules);
            assert!(sorted.is_ok(), "{}: {:?}", opening.id, sorted.err());
        });
    }
}

#[test]
fn people_hold_a_roof_before_it_moves_and_the_medic_says_go_before_anybody_is_moved() {
    for_each_made(|_, opening, made| {
        let at = |id: &str| made.steps.iter().position(|s| s.form.id == id);
        let moves_roof = made
            .steps
            .iter()
            .position(|s| s.form.moves.iter().any(|m| m.starts_with("roof-rail")));
        if let Some(moves) = moves_roof {
            assert!(
                at("hold-roof").is_some_and(|hold| hold < moves),
                "{}",
                opening.id
            );
        }
        for step in &made.steps {
            let moved = matches!(step.form.act, Act::SeverBelt | Act::Displace | Act::Lift);
            assert!(!moved || step.form.gate, "{}: {}", opening.id, step.form.id);
        }
    });
}

/// Left for right and right for left, as whole words: “upright” stays.
fn swapped(text: &str) -> String {
    let swap = |word: &str| match word {
        "left" => "right".to_owned(),
        "right" => "left".to_owned(),
        other => other.to_owned(),
    };
    let mut out = String::new();
    let mut word = String::new();
    for c in text.chars() {
        if c.is_alphabetic() {
            word.push(c);
        } else {
            out += &swap(&std::mem::take(&mut word));
            out.push(c);
        }
    }
    out + &swap(&word)
}

fn mirrored_span(form: &SpanForm, body: &FittedBody) -> SpanForm {
    let on = body.span(&form.id).unwrap();
    let across = on.group == SpanGroup::Cross && on.side == Side::Centre;
    let at = match form.at {
        At::FromFoot { at, range } if across => At::FromHead { at, range },
        At::FromHead { at, range } if across => At::FromFoot { at, range },
        At::Share { at, range: [a, b] } if across => At::Share {
            at: 1.0 - at,
            range: [1.0 - b, 1.0 - a],
        },
        same => same,
    };
    SpanForm {
        id: swapped(&form.id),
        at,
        apart_mm: form.apart_mm,
    }
}

/// What a step says of itself, mirrored if asked.
fn told(form: &StepForm, body: &FittedBody, mirror: bool) -> String {
    let text = |t: &str| if mirror { swapped(t) } else { t.to_owned() };
    let place = |s: &SpanForm| {
        format!(
            "{:?}",
            if mirror {
                mirrored_span(s, body)
            } else {
                s.clone()
            }
        )
    };
    let on = match &form.on {
        On::Span(s) => place(s),
        On::Panel(p) => format!(
            "{} {} {}",
            text(&p.name),
            text(&p.from.span),
            text(&p.to.span)
        ),
        On::Part(p) => text(p),
        On::Nothing => String::new(),
    };
    let pressed: Vec<String> = form
        .contacts
        .iter()
        .map(|c| text(&c.name) + &place(&c.span))
        .collect();
    let lists = [&form.before, &form.moves, &form.beside]
        .map(|l| l.iter().map(|t| text(t)).collect::<Vec<_>>());
    format!(
        "{} {on} {pressed:?} {lists:?} {} {} {}",
        text(&form.id),
        text(&form.crew),
        text(&form.inside),
        form.gate
    )
}

#[test]
fn made_on_the_right_for_a_right_seat_is_the_mirror_image_of_the_left() {
    use pillarbook::domain::opening::Resting;
    for id in StyleId::ALL {
        let car = Owned::of(*id);
        for opening in catalogue() {
            let left = ask_for(opening, "left");
            let mut right = ask_for(opening, "right");
            if left.resting == Resting::Left {
                right.resting = Resting::Right;
                right.reach = Resting::Right.reach().to_vec();
            }
            let steps = |ask: &Ask, mirror: bool| {
                let of_way = |made: Made| {
                    let side = if mirror {
                        made.side.map(Side::mirrored)
                    } else {
                        made.side
                    };
                    let steps: Vec<String> = made
                        .steps
                        .iter()
                        .map(|s| told(&s.form, &car.body, mirror))
                        .collect();
                    (side, steps)
                };
                car.ways(opening, ask)
                    .into_iter()
                    .map(|w| w.ok().map(of_way))
                    .collect::<Vec<_>>()
            };
            assert_eq!(
                steps(&left, false),
                steps(&right, true),
                "{id} {}",
                opening.id
            );
        }
    }
}
