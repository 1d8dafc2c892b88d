//! Asks that have to be refused, each with the field named, what was given and
//! what would be accepted.

use super::EXAMPLE;
use pillarbook::contract::FieldError;
use pillarbook::contract::plan::plan_of_text;
use rstest::rstest;
use serde_json::{Value, json};

/// The errors of the example card asked about with one field put in.
fn errors(field: &str, value: &Value) -> Vec<FieldError> {
    let card: Value = serde_json::from_str(EXAMPLE).unwrap();
    let mut ask = json!({"seats": ["front-left"], "care": "gentle"});
    ask[field] = value.clone();
    let text = json!({"card": card, "ask": ask}).to_string();
    plan_of_text(text.as_bytes())
        .expect_err("the ask must be refused")
        .fields()
}

#[test]
fn the_ask_that_the_table_starts_from_is_accepted() {
    let card: Value = serde_json::from_str(EXAMPLE).unwrap();
    let ask = json!({"seats": ["front-left"], "care": "gentle"});
    let text = json!({"card": card, "ask": ask}).to_string();
    assert!(plan_of_text(text.as_bytes()).is_ok());
}

/// Each value gives exactly this one invalid field.
#[rstest]
#[case("seats", json!(null), "seats", "seat")]
#[case("seats", json!([]), "seats", "front-left")]
#[case("seats", json!("front-left"), "seats", "a list")]
#[case("seats", json!(["roof-rack"]), "seats[0]", "front-right")]
#[case("seats", json!(["front-left", "front-left"]), "seats[1]", "each seat once")]
#[case("seats", json!([7]), "seats[0]", "a text")]
#[case("seats", json!(["front-left", " "]), "seats[1]", "1 to 80 characters")]
#[case("contact", json!([null]), "contact[0]", "seat-back")]
#[case("care", json!(null), "care", "own-way-out, gentle, now")]
#[case("care", json!("fast"), "care", "own-way-out, gentle, now")]
#[case("trapped", json!("stuck"), "trapped", "not, by-space, pinned")]
#[case("contact", json!(["dash", "ceiling"]), "contact[1]", "seat-back")]
#[case("hand_passes", json!(true), "hand_passes", "yes, no, unknown")]
#[case("resting", json!("nose"), "resting", "wheels, left, right, roof")]
#[case("reach", json!([]), "reach", "left, right, front, rear")]
#[case("reach", json!(["below"]), "reach[0]", "left, right, front, rear")]
#[case("fired", json!({"boot": "no"}), "fired.boot", "driver")]
#[case("fired", json!({"driver": "twice"}), "fired.driver", "no, once, unknown")]
#[case("fired", json!(["driver"]), "fired", "an object")]
#[case("isolation", json!({"24v": {"state": "yes"}}), "isolation.24v", "12v-main")]
#[case("isolation", json!({"hv": {}}), "isolation.hv.state", "not-fitted")]
#[case("isolation", json!({"hv": {"state": "off"}}), "isolation.hv.state", "not-fitted")]
#[case(
    "isolation",
    json!({"hv": {"state": "yes", "at": "ten past"}}),
    "isolation.hv.at",
    "2026-03-05T10:02:00Z"
)]
#[case(
    "isolation",
    json!({"hv": {"state": "no", "at": "2026-03-05T10:02:00Z"}}),
    "isolation.hv.at",
    "the state `yes`"
)]
#[case("variant", json!({"year": 21}), "variant.year", "1900")]
#[case("variant", json!({"drive": "steam"}), "variant.drive", "hydrogen")]
#[case("tools", json!([{"kind": "cutter"}]), "tools[0].name", "a text")]
#[case("tools", json!([{"name": "a", "kind": "axe"}]), "tools[0].kind", "spreader")]
#[case("tools", json!([{"name": "a", "force_kn": -5}]), "tools[0].force_kn", "from 1 to 4999 kN")]
#[case("tools", json!([{"name": "a", "force_kn": "500"}]), "tools[0].force_kn", "a number")]
#[case(
    "tools",
    json!([{"name": "a", "blade_half_width_mm": 0}]),
    "tools[0].blade_half_width_mm",
    "from 1 to 200 mm"
)]
#[case(
    "tools",
    json!([{"name": "a", "kind": "saw", "force_kn": 50}]),
    "tools[0].force_kn",
    "null"
)]
#[case(
    "looks",
    json!([{"span": "b-pillar.middle", "from_mm": 1, "to_mm": 2, "found": "bare"}]),
    "looks[0].span",
    "b-pillar.left"
)]
#[case(
    "looks",
    json!([{"span": "b-pillar.left", "from_mm": 380, "to_mm": 2000, "found": "bare"}]),
    "looks[0].to_mm",
    "a station from 0 to"
)]
#[case(
    "looks",
    json!([{"span": "b-pillar.left", "from_mm": 520, "to_mm": 380, "found": "bare"}]),
    "looks[0].to_mm",
    "from_mm below to_mm"
)]
#[case(
    "looks",
    json!([{"span": "b-pillar.left", "from_mm": 380, "to_mm": 520, "found": "rust"}]),
    "looks[0].found",
    "bare"
)]
#[case("order", json!({"side": "left", "steps": []}), "order.opening", "a text")]
#[case(
    "order",
    json!({"opening": "side-removal", "side": "up", "steps": ["a"]}),
    "order.side",
    "left, right"
)]
#[case("now", json!("2026-03-05"), "now", "2026-03-05T10:02:00Z")]
#[case("now", json!(1_772_704_920), "now", "2026-03-05T10:02:00Z")]
fn a_bad_answer_is_named(
    #[case] field: &str,
    #[case] value: Value,
    #[case] named: &str,
    #[case] accepted: &str,
) {
    let errors = errors(field, &value);
    let [error] = errors.as_slice() else {
        panic!("one error about {named}, not {errors:?}");
    };
    assert_eq!(error.field.to_string(), format!("ask.{named}"), "{error}");
    assert!(error.accepted.contains(accepted), "{error:?}");
    assert!(!error.message.is_empty());
}

#[test]
fn a_force_in_newtons_says_what_was_likely_meant() {
    let errors = errors("tools", &json!([{"name": "big", "force_kn": 500_000}]));
    assert!(errors[0].message.contains("500 kN"), "{:?}", errors[0]);
}

#[test]
fn a_slip_in_a_name_says_which_field_was_meant() {
    let errors = errors("seat", &json!(["front-left"]));
    assert!(errors[0].message.contains("`seats`"), "{:?}", errors[0]);
}

#[test]
fn a_list_without_end_is_refused_as_a_whole() {
    let look = json!({"span": "b-pillar.left", "from_mm": 1, "to_mm": 2, "found": "bare"});
    for (field, item) in [
        ("seats", json!("front-left")),
        ("contact", json!("dash")),
        ("tools", json!({"name": "a"})),
        ("looks", look),
    ] {
        let errors = errors(field, &Value::from(vec![item; 5000]));
        let one = errors
            .iter()
            .find(|e| e.field.to_string() == format!("ask.{field}"));
        assert!(one.unwrap().accepted.contains("at most 100"), "{errors:?}");
        assert!(errors.len() <= 2, "{} errors", errors.len());
    }
}

#[test]
fn every_bad_answer_is_named_at_once_with_what_was_given_and_its_line() {
    let text = format!(
        "{{\"card\": {},\n\"ask\": {{\n\"seats\": [\"front-left\"],\n\"care\": \"fast\",\n\"resting\": \"nose\"}}}}",
        EXAMPLE.replace('\n', " ")
    );
    let errors = plan_of_text(text.as_bytes()).unwrap_err().fields();
    let said: Vec<String> = errors.iter().map(ToString::to_string).collect();
    assert_eq!(errors.len(), 2, "{said:?}");
    for (field, given, line) in [("ask.care", "fast", 4), ("ask.resting", "nose", 5)] {
        let error = errors
            .iter()
            .find(|e| e.field.to_string() == field)
            .unwrap();
        assert_eq!(error.line, Some(line), "{error}");
        assert!(error.to_string().contains(given), "{error}");
    }
}
