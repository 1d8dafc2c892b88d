//! Sorting and checking by hand-made rules and by the rules of the program.

use super::*;
use crate::domain::opening::step::Step;
use crate::domain::opening::template::{Act, At, On, SpanForm, StepForm};
use crate::domain::policy::{BPillarFirst, Policy};
use std::collections::BTreeSet;

fn step(id: &str, act: Act, before: &[&str]) -> Step {
    let form = StepForm {
        id: id.into(),
        act,
        on: On::Nothing,
        contacts: Vec::new(),
        tool: None,
        only: Vec::new(),
        before: before.iter().map(|f| (*f).to_owned()).collect(),
        moves: Vec::new(),
        beside: Vec::new(),
        gate: false,
        opens: None,
        crew: "crew".into(),
        inside: "inside".into(),
        stop: None,
    };
    Step::from(form)
}

fn at(mut step: Step, span: &str, at: f64) -> Step {
    step.form.on = On::Span(SpanForm {
        id: span.into(),
        at: if at < 500.0 {
            At::FromFoot {
                at,
                range: [0.0, 900.0],
            }
        } else {
            At::FromHead {
                at: 1000.0 - at,
                range: [0.0, 900.0],
            }
        },
        apart_mm: 150.0,
    });
    step
}

fn foot_first() -> Rules {
    Rules::in_force(&Policy::default(), &BTreeSet::new()).expect("none is switched off")
}

fn ids(steps: &[Step]) -> Vec<&str> {
    steps.iter().map(|s| s.form.id.as_str()).collect()
}

/// A side removal written in about the worst order there is.
fn worst() -> Vec<Step> {
    vec![
        at(step("cut-head", Act::Cut, &[]), "b-pillar.left", 900.0),
        at(step("cut-foot", Act::Cut, &[]), "b-pillar.left", 120.0),
        step("isolate-hv", Act::Isolate, &[]),
        step("isolate-12v-main", Act::Isolate, &[]),
        at(
            step("expose-foot", Act::Expose, &[]),
            "b-pillar.left",
            120.0,
        ),
        at(
            step("expose-head", Act::Expose, &[]),
            "b-pillar.left",
            900.0,
        ),
        step("use-power", Act::Displace, &[]),
        step("stabilise", Act::Stabilise, &[]),
    ]
}

#[test]
fn sorting_keeps_every_rule_and_else_the_order_given() {
    let sorted = sort(worst(), &foot_first()).expect("no circle");
    assert_eq!(check(&sorted, &foot_first()), []);
    // By hand: of the steps that wait for none, always the one written first.
    assert_eq!(
        ids(&sorted),
        [
            "stabilise",
            "expose-foot",
            "expose-head",
            "use-power",
            "isolate-12v-main",
            "isolate-hv",
            "cut-foot",
            "cut-head"
        ]
    );
}

#[test]
fn a_checked_order_is_left_alone_and_each_broken_rule_named_with_both_steps() {
    let steps = worst();
    let broken = check(&steps, &foot_first());
    let named = |rule: &str| broken.iter().find(|b| b.rule == rule);
    let school = named("foot-before-head").expect("the head was first");
    assert_eq!((school.first, school.then), (1, 0));
    let trim = named("trim-before-cut").expect("cut before trim");
    assert_eq!((trim.first, trim.then), (5, 0));
    assert!(named("twelve-volt-first").is_some());
    assert_eq!(ids(&steps), ids(&worst()));
}

#[test]
fn the_b_pillars_school_is_the_departments() {
    let policy = Policy {
        b_pillar_first: BPillarFirst::Head,
        ..Policy::default()
    };
    let head_first = Rules::in_force(&policy, &BTreeSet::new()).expect("none is switched off");
    let sorted = sort(worst(), &head_first).expect("no circle");
    let position = |id: &str| ids(&sorted).iter().position(|s| *s == id);
    assert!(position("cut-head") < position("cut-foot"));
    assert!(
        check(&sorted, &foot_first())
            .iter()
            .any(|b| b.rule == "foot-before-head")
    );
}

#[test]
fn only_a_rule_that_may_be_switched_off_can_be() {
    let off = |ids: &[&str]| {
        ids.iter()
            .map(|id| (*id).to_owned())
            .collect::<BTreeSet<_>>()
    };
    for rule in all() {
        let left = Rules::in_force(&Policy::default(), &off(&[&rule.id]));
        match (left, rule.switchable) {
            (Ok(left), true) => assert!(left.iter().all(|r| r.id != rule.id), "{}", rule.id),
            (Err(refused), false) => assert_eq!(refused, NotSwitchable(rule.id.clone())),
            (left, _) => panic!("{}: {left:?}", rule.id),
        }
    }
    let both = Rules::in_force(
        &Policy::default(),
        &off(&["power-used-first", "trim-before-cut"]),
    );
    assert_eq!(
        both.err(),
        Some(NotSwitchable("trim-before-cut".to_owned()))
    );
}

#[test]
fn a_cut_moved_to_the_other_half_of_its_pillar_counts_for_that_end() {
    let placed = |id: &str, form: f64, station: f64| Step {
        station_mm: Some(station),
        span_mm: Some(1000.0),
        ..at(step(id, Act::Cut, &[]), "b-pillar.left", form)
    };
    // By its form the second one is at the foot; it had to go above the middle.
    let steps = vec![placed("low", 900.0, 480.0), placed("high", 120.0, 560.0)];
    assert_eq!(check(&steps, &foot_first()), []);
    let turned: Vec<Step> = steps.into_iter().rev().collect();
    let broken = check(&turned, &foot_first());
    assert_eq!((broken[0].first, broken[0].then), (1, 0));
    assert_eq!(broken[0].rule, "foot-before-head");
}

#[test]
fn a_step_that_waits_for_another_says_so_in_the_words_of_both() {
    let mut foot = step("part-b-foot", Act::Cut, &[]);
    foot.form.crew = "Part the B-pillar at its foot; mind the belt.".into();
    let mut fold = step("move-b-foot", Act::Spread, &["part-b-foot"]);
    fold.form.crew = "Spread the foot out and clear. Crib as it goes.".into();
    let broken = check(&[fold, foot], &foot_first());
    let said: Vec<&str> = broken.iter().map(|b| b.because.as_str()).collect();
    assert_eq!(
        said,
        ["“Spread the foot out and clear” waits for “Part the B-pillar at its foot”"]
    );
}

#[test]
fn steps_that_wait_for_each_other_are_named() {
    let one = step("one", Act::Support, &["two"]);
    let two = step("two", Act::Support, &["one"]);
    let free = step("free", Act::Support, &[]);
    let circle = sort(vec![one, free, two], &foot_first());
    assert_eq!(circle, Err(Cycle(vec!["one".into(), "two".into()])));
}

#[test]
fn a_belt_is_severed_before_what_carries_it_moves() {
    let mut moving = step("spread", Act::Spread, &[]);
    moving.form.moves = vec!["b-pillar.left".into()];
    let mut belt = step("belt", Act::SeverBelt, &[]);
    belt.belt_spans = vec!["b-pillar.left".into()];
    let mut other = step("other-belt", Act::SeverBelt, &[]);
    other.belt_spans = vec!["b-pillar.right".into()];
    let sorted = sort(vec![moving, belt, other], &foot_first()).expect("no circle");
    assert_eq!(ids(&sorted), ["belt", "spread", "other-belt"]);
}

#[test]
fn every_rule_says_why_and_where_it_is_from() {
    let ids: BTreeSet<&str> = all().iter().map(|r| r.id.as_str()).collect();
    assert_eq!(ids.len(), all().len());
    for rule in all() {
        assert!(
            rule.because.len() > 20 && !rule.source.is_empty(),
            "{}",
            rule.id
        );
        assert_ne!(rule.first, Selector::default(), "{}", rule.id);
        assert_ne!(rule.then, Selector::default(), "{}", rule.id);
    }
}
