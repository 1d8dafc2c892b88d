//! Card files that have to be refused, each with the field named. Long, because
//! it is one table of every rule.

use super::EXAMPLE;
use pillarbook::contract::FieldError;
use pillarbook::contract::card_file::{CardFileError, MOST_BYTES, read};
use rstest::rstest;

fn errors(text: &str) -> Vec<FieldError> {
    read(text.as_bytes())
        .expect_err("the file must be refused")
        .fields()
}

/// Each text replaced in the example gives exactly this one invalid field.
#[rstest]
#[case(
    "yard 14",
    "a label that is longer than any label on any car in any yard of any department should be",
    "findings[0].car",
    "80 characters"
)]
#[case(
    "pillarbook-card/1",
    "pillarbook-card/9",
    "format",
    "pillarbook-card/1"
)]
#[case("\"sedan\"", "\"hovercraft\"", "vehicle.body_style", "hatch-5")]
#[case("\"body_style\":\"sedan\",", "", "vehicle.body_style", "sedan")]
#[case("\"petrol\"", "\"steam\"", "vehicle.drive", "hydrogen")]
#[case("[2019,2023]", "[1850,2023]", "vehicle.years[0]", "1900")]
#[case("[2019,2023]", "[2023,2019]", "vehicle.years", "first not after last")]
#[case("[2019,2023]", "[2019]", "vehicle.years", "[first, last]")]
#[case("[2019,2023]", "[2019.5,2023]", "vehicle.years[0]", "whole number")]
#[case(
    "\"hold_time_s\":null",
    "\"hold_time_s\":-1",
    "vehicle.hold_time_s",
    "86400"
)]
#[case(
    "\"length_mm\":4700",
    "\"length_mm\":47000",
    "measured.length_mm",
    "12000"
)]
#[case(
    "\"wheelbase_mm\":2700",
    "\"wheelbase_mm\":4800",
    "measured.wheelbase_mm",
    "smaller than length_mm"
)]
#[case(
    "[1250,null,null]",
    "[1250]",
    "measured.landmarks[\"b-pillar-foot.left\"]",
    "[x, y, z]"
)]
#[case(
    "\"coverage\":0.99",
    "\"coverage\":0.5",
    "policy.coverage",
    "0.95, 0.99 or 0.999"
)]
#[case(
    "\"coverage\":0.99",
    "\"coverage\":\"0.99\"",
    "policy.coverage",
    "0.999"
)]
#[case(
    "\"blade_half_width_mm\":30",
    "\"blade_half_width_mm\":201",
    "policy.blade_half_width_mm",
    "200"
)]
#[case(
    "\"tip_reach_mm\":50",
    "\"tip_reach_mm\":-1",
    "policy.tip_reach_mm",
    "0 to 300"
)]
#[case(
    "\"lean_deg\":10",
    "\"lean_deg\":45",
    "policy.lean_deg",
    "less than 45"
)]
#[case(
    "\"car_to_car_mm\":10",
    "\"car_to_car_mm\":1e300",
    "policy.car_to_car_mm",
    "200"
)]
#[case(
    "{\"inflator\":75}",
    "{\"inflator\":1001}",
    "policy.clearance_mm.inflator",
    "1000"
)]
#[case(
    "{\"inflator\":75}",
    "{\"magnesium\":75}",
    "policy.clearance_mm.magnesium",
    "inflator"
)]
#[case(
    "\"cushion\":\"no-cut\"",
    "\"cushion\":\"maybe\"",
    "policy.cushion",
    "no-cut, expected"
)]
#[case("\"id\":\"f1\",", "", "findings[0].id", "1 to 64")]
#[case("\"id\":\"f3\"", "\"id\":\"f1\"", "findings[2].id", "no other finding")]
#[case(
    "\"id\":\"f3\"",
    "\"id\":\" f1 \"",
    "findings[2].id",
    "no other finding"
)]
#[case(
    "\"report\":\"component\",\"component\":\"c1\"",
    "\"report\":\"rumour\",\"component\":\"c1\"",
    "findings[0].report",
    "component, bare"
)]
#[case("\"component\":\"c1\",", "", "findings[0].component", "1 to 64")]
#[case("\"kind\":\"pretensioner\",", "", "findings[0].kind", "")]
#[case(
    "\"pretensioner\"",
    "\"flux-capacitor\"",
    "findings[0].kind",
    "ultracapacitor"
)]
#[case(
    "\"from_mm\":80",
    "\"from_mm\":800",
    "findings[0].place.from_mm",
    "210"
)]
#[case(
    "\"from_mm\":80",
    "\"from_mm\":\"80\"",
    "findings[0].place.from_mm",
    "a number"
)]
#[case("\"to_mm\":210", "\"to_mm\":1e9", "findings[0].place.to_mm", "10000")]
#[case(
    "\"place\":{\"span\":\"b-pillar.left\",\"from_mm\":80,\"to_mm\":210},",
    "",
    "findings[0].place",
    "two points"
)]
#[case(
    "{\"span\":\"b-pillar.left\",\"from_mm\":80,\"to_mm\":210}",
    "[]",
    "findings[0].place",
    "an object"
)]
#[case(
    "[3150,-560,1360]",
    "[3150,-560]",
    "findings[1].place.points[1]",
    "[x, y, z]"
)]
#[case(
    "[3150,-560,1360]",
    "[3150,-560,null]",
    "findings[1].place.points[1][2]",
    "[x, y, z]"
)]
#[case(
    "[3150,-560,1360]",
    "[3150,-560,99999]",
    "findings[1].place.points[1][2]",
    "10000"
)]
#[case(",[3150,-560,1360]", "", "findings[1].place.points", "[x, y, z]")]
#[case(
    "{\"points\":",
    "{\"span\":\"b-pillar.left\",\"points\":",
    "findings[1].place",
    "two points"
)]
#[case(
    "\"radius_mm\":25",
    "\"radius_mm\":-1",
    "findings[0].radius_mm",
    "0 to 1000"
)]
#[case(
    "\"radius_mm\":25",
    "\"radius_mm\":1e6",
    "findings[0].radius_mm",
    "0 to 1000"
)]
#[case(
    "\"source\":\"seen\"",
    "\"source\":\"guess\"",
    "findings[1].source",
    "schematic"
)]
#[case("\"source\":\"seen\",", "", "findings[1].source", "")]
#[case(
    "\"within_mm\":60",
    "\"within_mm\":4.9",
    "findings[1].within_mm",
    "5 to 1000"
)]
#[case(
    "\"within_mm\":60",
    "\"within_mm\":1001",
    "findings[1].within_mm",
    "5 to 1000"
)]
#[case(
    "\"within_mm\":60",
    "\"with_in_mm\":60",
    "findings[1].with_in_mm",
    "within_mm"
)]
#[case(
    "\"observed_on\":\"2026-03-04\"",
    "\"observed_on\":\"2026-02-30\"",
    "findings[0].observed_on",
    "2026-03-05"
)]
#[case(
    "\"observed_on\":\"2026-03-04\"",
    "\"observed_on\":\"1850-03-04\"",
    "findings[0].observed_on",
    "1900"
)]
#[case(
    "\"observed_on\":\"2026-03-04\",\"by\"",
    "\"by\"",
    "findings[0].observed_on",
    "a day"
)]
#[case(
    "\"car\":\"yard 14\",\"status\":\"accepted\",\"belt",
    "\"status\":\"accepted\",\"belt",
    "findings[0].car",
    "yard 14"
)]
#[case(
    ",\"car\":\"yard 14\"},",
    ",\"car\":\"  \"},",
    "findings[1].car",
    "yard 14"
)]
#[case(
    "\"car\":\"yard 14\",\"status\":\"accepted\"}]",
    "\"status\":\"accepted\"}]",
    "findings[2].car",
    "yard 14"
)]
#[case(
    "\"status\":\"accepted\"",
    "\"status\":\"maybe\"",
    "findings[0].status",
    "superseded"
)]
#[case(
    "\"source\":\"measured\",\"depth\"",
    "\"source\":\"photo\",\"depth\"",
    "findings[2].source",
    "measured, seen"
)]
#[case("\"depth\":\"through\",", "", "findings[2].depth", "skin, through")]
#[case(
    "\"depth\":\"through\"",
    "\"depth\":\"through\",\"radius_mm\":5",
    "findings[2].radius_mm",
    "leave it out"
)]
#[case(
    "\"radius_mm\":25",
    "\"radius_mm\":25,\"depth\":\"skin\"",
    "findings[0].depth",
    "leave it out"
)]
#[case(
    "\"belt_seat\"",
    "\"observed\":{\"year\":1850},\"belt_seat\"",
    "findings[0].observed.year",
    "1900"
)]
#[case(
    "\"belt_seat\"",
    "\"layers\":0,\"belt_seat\"",
    "findings[0].layers",
    "1 to 50"
)]
#[case(
    "\"belt_seat\"",
    "\"bag\":\"paper\",\"belt_seat\"",
    "findings[0].bag",
    "curtain"
)]
#[case(
    "\"what\":\"12v-main\"",
    "\"what\":\"mains\"",
    "power_off[0].what",
    "12v-main"
)]
#[case("\"laminated\"", "\"sugar\"", "glass.front-left", "tempered")]
#[case(
    "\"findings\":[",
    "\"finding\":[],\"findings\":[",
    "finding",
    "findings"
)]
fn one_invalid_field_is_named_with_what_is_accepted(
    #[case] from: &str,
    #[case] to: &str,
    #[case] field: &str,
    #[case] accepted: &str,
) {
    assert!(EXAMPLE.contains(from), "the example has no {from}");
    let errors = errors(&EXAMPLE.replacen(from, to, 1));
    let fields: Vec<String> = errors.iter().map(|error| error.field.to_string()).collect();
    assert_eq!(fields, [field], "{errors:#?}");
    assert!(errors[0].accepted.contains(accepted), "{}", errors[0]);
    assert!(
        errors[0].line.is_some() && !errors[0].message.is_empty(),
        "{:?}",
        errors[0]
    );
}

#[test]
fn all_invalid_fields_are_named_at_once_each_with_its_own_line() {
    let text = EXAMPLE
        .replacen("\"petrol\"", "\"steam\"", 1)
        .replacen("\"coverage\":0.99", "\"coverage\":0.5", 1)
        .replacen("\"radius_mm\":25", "\"radius_mm\":-1", 1)
        .replacen("\"within_mm\":60", "\"within_mm\":0", 1);
    let found: Vec<(String, Option<usize>)> = errors(&text)
        .iter()
        .map(|e| (e.field.to_string(), e.line))
        .collect();
    let expected = [
        ("vehicle.drive", 2),
        ("policy.coverage", 4),
        ("findings[0].radius_mm", 6),
        ("findings[1].within_mm", 8),
    ];
    assert_eq!(
        found,
        expected.map(|(field, line)| (field.to_owned(), Some(line)))
    );
}

#[test]
fn the_value_given_is_given_back() {
    let text = EXAMPLE.replacen("\"radius_mm\":25", "\"radius_mm\":-1.5", 1);
    assert_eq!(errors(&text)[0].given, -1.5);
    let long = "x".repeat(5_000);
    let text = EXAMPLE.replacen("yard 14", &long, 1);
    let given = errors(&text)[0].given.as_str().unwrap().chars().count();
    assert_eq!(given, 81, "a long value is shortened");
}

#[rstest]
#[case(
    "{\"format\":\"pillarbook-card/1\",\n \"findings\": [NaN]}",
    2,
    "findings[0]"
)]
#[case(
    "{\"findings\":[{\"radius_mm\":Infinity}]}",
    1,
    "findings[0].radius_mm"
)]
#[case("{\"findings\":[{\"radius_mm\":-1e999}]}", 1, "findings[0].radius_mm")]
#[case("{\"findings\":[\n\n{\"id\":\"f1\"", 3, "findings[0]")]
#[case("{\"findings\":[],\"findings\":[]}", 1, "")]
#[case("", 1, "")]
fn text_that_is_no_json_is_refused_with_line_and_field(
    #[case] text: &str,
    #[case] line: usize,
    #[case] field: &str,
) {
    let error = read(text.as_bytes()).expect_err("no JSON");
    assert!(matches!(error, CardFileError::Syntax(_)), "{error:?}");
    let fields = error.fields();
    assert_eq!(fields[0].line, Some(line), "{error}");
    assert!(fields[0].column.is_some());
    assert_eq!(fields[0].field.to_string(), field, "{error}");
}

#[test]
fn documents_that_are_no_object_are_refused() {
    for text in ["[]", "null", "3", "\"card\""] {
        assert!(!errors(text).is_empty(), "{text}");
    }
    let nested = "[".repeat(100_000);
    assert!(matches!(
        read(nested.as_bytes()),
        Err(CardFileError::Syntax(_))
    ));
}

#[test]
fn more_findings_than_a_card_holds_are_refused_as_one_error() {
    let one = r#"{"id":"f","report":"bare"}"#;
    let many = vec![one; 10_000].join(",");
    let text = format!(
        r#"{{"format":"pillarbook-card/1","vehicle":{{"body_style":"suv"}},"findings":[{many}]}}"#
    );
    let errors = errors(&text);
    assert_eq!(errors.len(), 1);
    assert_eq!(errors[0].field.to_string(), "findings");
    assert_eq!(errors[0].given, "a list of 10000");
    assert!(errors[0].accepted.contains("2000"));
}

#[test]
fn a_file_larger_than_two_mebibytes_is_refused_unread() {
    let text = " ".repeat(MOST_BYTES + 1);
    let error = read(text.as_bytes()).expect_err("too large");
    assert_eq!(
        error,
        CardFileError::TooLarge {
            bytes: MOST_BYTES + 1
        }
    );
}
