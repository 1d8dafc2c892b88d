//! `plan`: the same answers as over HTTP, from options or a file, in JSON or to be
//! read aloud.

use super::{run, text};
use crate::contract::EXAMPLE;
use pillarbook::contract::plan::{PlanFile, plan_of_text};
use rstest::rstest;
use serde_json::{Value, json};

/// Everything that can be asked, as options.
const OPTIONS: &[&str] = &[
    "plan",
    "-",
    "--seat",
    "front-left",
    "--care",
    "gentle",
    "--trapped",
    "pinned",
    "--contact",
    "dash",
    "--contact",
    "door",
    "--hand-passes",
    "yes",
    "--resting",
    "left",
    "--reach",
    "front",
    "--reach",
    "rear",
    "--fired",
    "driver=once",
    "--isolation",
    "12v-main=yes@2026-03-05T10:02:00Z",
    "--isolation",
    "hv=not-fitted",
    "--year",
    "2021",
    "--tool",
    "big:cutter,force=500,blade=30",
    "--look",
    "b-pillar.left:380-520=bare",
    "--now",
    "2026-03-05T10:06:00Z",
];

/// The same as a document.
fn ask() -> Value {
    json!({
        "seats": ["front-left"], "care": "gentle", "trapped": "pinned",
        "contact": ["dash", "door"], "hand_passes": "yes", "resting": "left",
        "reach": ["front", "rear"], "fired": {"driver": "once"},
        "isolation": {
            "12v-main": {"state": "yes", "at": "2026-03-05T10:02:00Z"},
            "hv": {"state": "not-fitted"},
        },
        "variant": {"year": 2021},
        "tools": [{"name": "big", "kind": "cutter", "force_kn": 500, "blade_half_width_mm": 30}],
        "looks": [{"span": "b-pillar.left", "from_mm": 380, "to_mm": 520, "found": "bare"}],
        "now": "2026-03-05T10:06:00Z",
    })
}

#[test]
fn options_a_file_and_the_api_s_body_give_the_same_bytes() {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("ask.json"), ask().to_string()).unwrap();
    let card: Value = serde_json::from_str(EXAMPLE).unwrap();
    let body = json!({"card": card, "ask": ask()}).to_string();
    let planned = plan_of_text(body.as_bytes()).unwrap();
    let expected = PlanFile::from(&planned.plan).to_json();
    for arguments in [OPTIONS, &["plan", "-", "--ask", "ask.json"]] {
        let done = run(directory.path(), arguments, EXAMPLE);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        assert_eq!(text(&done.stdout), expected);
    }
}

#[test]
fn the_plan_to_read_aloud_carries_the_cautions_and_both_columns() {
    let directory = tempfile::tempdir().unwrap();
    let arguments = [OPTIONS, &["--format", "text"]].concat();
    let done = run(directory.path(), &arguments, EXAMPLE);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let said = text(&done.stdout);
    for caution in pillarbook::sketch::CAUTIONS {
        assert!(said.contains(caution), "{caution}");
    }
    assert!(said.contains("INSIDE:") && said.contains("OUT NOW:"));
    let low = said.to_lowercase();
    for word in ["is safe", "ready to", "recommended"] {
        assert!(!low.contains(word), "{word}");
    }
}

#[rstest]
#[case(&["--seat", "roof-rack", "--care", "gentle"], "seats[0]", "front-left")]
#[case(&["--seat", "front-left", "--care", "fast"], "care", "own-way-out, gentle, now")]
#[case(&["--seat", "front-left"], "care", "own-way-out, gentle, now")]
#[case(&["--care", "gentle"], "seats", "seat")]
#[case(&["--seat", "front-left", "--care", "now", "--fired", "driver"], "fired.driver", "once")]
#[case(
    &["--seat", "front-left", "--care", "now", "--tool", "big,force=500000"],
    "tools[0].force_kn",
    "500 kN"
)]
#[case(
    &["--seat", "front-left", "--care", "now", "--look", "b-pillar.left:380-x=bare"],
    "looks[0].to_mm",
    "a number"
)]
fn a_bad_option_ends_with_code_2_and_names_the_answer(
    #[case] options: &[&str],
    #[case] field: &str,
    #[case] accepted: &str,
) {
    let directory = tempfile::tempdir().unwrap();
    let arguments = [&["plan", "-"], options].concat();
    let done = run(directory.path(), &arguments, EXAMPLE);
    assert_eq!(done.status.code(), Some(2));
    assert!(done.stdout.is_empty());
    let said = text(&done.stderr);
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(
        said.contains(&format!("{field}: ")) && said.contains(accepted),
        "{said}"
    );
}

#[test]
fn a_bad_file_of_answers_or_openings_is_named_with_its_line() {
    let directory = tempfile::tempdir().unwrap();
    let write = |name: &str, content: &str| {
        std::fs::write(directory.path().join(name), content).unwrap();
    };
    write(
        "ask.json",
        "{\"seats\": [\"front-left\"],\n\"care\": \"fast\"}",
    );
    write(
        "own.json",
        "{\"openings\": [\n {\"id\": \"ours\",\n  \"name\": 7}]}",
    );
    let asked = ["plan", "-", "--ask", "ask.json"];
    let set = [
        "plan",
        "-",
        "--seat",
        "front-left",
        "--care",
        "now",
        "--department",
        "own.json",
    ];
    for (arguments, place) in [
        (&asked[..], "ask.json: line 2, column 9: care"),
        (&set[..], "own.json: line 3, column 11: openings[0].name"),
    ] {
        let done = run(directory.path(), arguments, EXAMPLE);
        assert_eq!(done.status.code(), Some(2));
        assert!(text(&done.stderr).contains(place), "{}", text(&done.stderr));
    }
}
