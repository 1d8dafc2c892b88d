//! Unit tests: each fault, at its field.

use super::*;
use crate::domain::opening::template::Opening;
use serde_json::{Value, json};

/// An opening without fault.
fn sound() -> Value {
    json!({
        "id": "own-way", "name": "Own way", "summary": "A way of our own.",
        "worked_from": "side", "source": "common practice, no source",
        "suits": {"care": ["gentle"], "trapped": ["not"], "resting": ["wheels"]},
        "needs": [{"what": {"span": "b-pillar.{side}"}, "because": "There is no post."}],
        "steps": [
            {"id": "part-foot", "act": "cut", "tool": "cutter", "crew": "Part it.", "inside": "Blade low.",
             "on": {"span": {"id": "b-pillar.{side}", "at": {"from-foot": {"at": 120.0, "range": [60.0, 450.0]}}}},
             "before": ["trim-off"], "beside": ["front-{side}"], "moves": ["b-pillar.{side}"]},
            {"id": "push", "act": "spread", "crew": "Push it.", "inside": "Post moves.", "before": ["part-foot"],
             "contacts": [{"kind": "spreader-tip", "name": "the foot", "half_width_mm": 40.0,
                "span": {"id": "b-pillar.{side}", "at": {"share": {"at": 0.3, "range": [0.2, 0.5]}}}}]}
        ]
    })
}

/// The faults, each as “path: what”, after one field was set.
fn faults(pointer: &str, value: Value) -> Vec<String> {
    let mut opening = sound();
    *opening
        .pointer_mut(pointer)
        .unwrap_or_else(|| panic!("{pointer}")) = value;
    let opening: Opening = serde_json::from_value(opening).unwrap();
    opening.check().iter().map(said).collect()
}

fn said(fault: &Fault) -> String {
    let path: String = fault.path.iter().map(ToString::to_string).collect();
    format!("{path}: {}", fault.wrong)
}

#[test]
fn an_opening_without_fault_has_none() {
    assert_eq!(faults("/name", json!("Own way")), Vec::<String>::new());
}

#[test]
fn the_catalogue_has_no_fault() {
    for opening in catalogue() {
        let found: Vec<String> = opening.check().iter().map(said).collect();
        assert_eq!(found, Vec::<String>::new(), "{}", opening.id);
    }
}

#[test]
fn each_fault_names_its_field() {
    let thirteen = "one two three four five six seven eight nine ten eleven twelve thirteen";
    let cases: Vec<(&str, Value, &str)> = vec![
        ("/id", json!("Own Way"), ".id: this is not an id"),
        ("/name", json!(" "), ".name: nothing is written here"),
        (
            "/suits/care",
            json!([]),
            ".suits.care: nothing is written here",
        ),
        (
            "/needs/0/what/span",
            json!("q-pillar.left"),
            ".needs[0].what.span: no body style has a span “q-pillar.left”",
        ),
        (
            "/steps/0/on/span/id",
            json!("b-pillar"),
            ".steps[0].on.span.id: no body style has a span “b-pillar”",
        ),
        (
            "/steps/0/on/span/at/from-foot/range",
            json!([450.0, 60.0]),
            ".steps[0].on.span.at.from-foot.range: the range runs from 450 to 60; its smaller end comes first",
        ),
        (
            "/steps/0/on/span/at/from-foot/at",
            json!(20.0),
            ".steps[0].on.span.at.from-foot.at: 20 lies outside the range of 60 to 450",
        ),
        (
            "/steps/1/contacts/0/span/at/share/at",
            json!(1.2),
            ".steps[1].contacts[0].span.at.share.at: 1.2 is not a number from 0 to 1",
        ),
        (
            "/steps/0/inside",
            json!(thirteen),
            ".steps[0].inside: 13 words; somebody has to read this aloud in a breath",
        ),
        (
            "/steps/0/crew",
            json!("At {wing}."),
            ".steps[0].crew: nothing stands for “{wing}”",
        ),
        (
            "/steps/1/id",
            json!("foot"),
            ".steps[1].id: a step “foot” is there already; a step's id stands once in an opening",
        ),
        (
            "/steps/0/before",
            json!(["moon-full"]),
            ".steps[0].before[0]: “moon-full” is no fact, and no step before this one",
        ),
        (
            "/steps/0/beside",
            json!(["porthole"]),
            ".steps[0].beside[0]: no body style has a pane “porthole”",
        ),
        (
            "/steps/1/contacts",
            json!([]),
            ".steps[1].contacts: it presses or lifts, and says nowhere where",
        ),
        (
            "/steps/0/on",
            json!("nothing"),
            ".steps[0].on: it cuts, and says nowhere where",
        ),
    ];
    for (pointer, value, expected) in cases {
        let found = faults(pointer, value);
        assert!(found.iter().any(|f| f == expected), "{expected}\n{found:?}");
    }
}

#[test]
fn a_step_may_not_wait_for_a_later_one_nor_take_an_added_steps_id() {
    let later = faults("/steps/0/before", json!(["push"]));
    assert_eq!(
        later,
        [".steps[0].before[0]: “push” is no fact, and no step before this one"]
    );
    let reserved = faults("/steps/1/id", json!("expose-b-foot"));
    assert!(reserved[0].starts_with(".steps[1].id: “expose-b-foot” is an id that steps added"));
}

#[test]
fn a_departments_own_opening_may_not_take_the_catalogues_id() {
    let mut own = sound();
    own["id"] = json!("dash-lift");
    let own: Opening = serde_json::from_value(own).unwrap();
    let found: Vec<String> = check_own(&[own]).iter().map(said).collect();
    assert_eq!(found, ["[0].id: an opening “dash-lift” is there already"]);
}
