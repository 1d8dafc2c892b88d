//! Notes of a card file that have to be refused, each with the field named.

use super::EXAMPLE;
use pillarbook::contract::card_file::read;
use rstest::rstest;

/// Each text replaced in the example gives exactly this one invalid field.
#[rstest]
#[case(
    r#""span":"b-pillar.left","at_mm":300"#,
    r#""span":"q-pillar.left","at_mm":300"#,
    "annotations[0].at.span",
    "b-pillar.left"
)]
#[case(
    r#""at_mm":300"#,
    r#""at_mm":30000"#,
    "annotations[0].at.at_mm",
    "10000"
)]
#[case(
    r#","at_mm":300"#,
    "",
    "annotations[0].at.at_mm",
    "from the span's foot"
)]
#[case(
    r#""at_mm":300"#,
    r#""at_mm":300,"finding":"f1""#,
    "annotations[0].at",
    "or a finding"
)]
#[case(
    r#""span":"b-pillar.left","at_mm":300"#,
    r#""finding":"f9""#,
    "annotations[0].at.finding",
    "the id of a finding"
)]
#[case(
    r#""id":"n2""#,
    r#""id":"n1""#,
    "annotations[0].replies[0].id",
    "no other note"
)]
#[case(r#""id":"n3","at""#, r#""at""#, "annotations[1].id", "1 to 64")]
#[case(
    r#""view":"left""#,
    r#""view":"frame-left""#,
    "annotations[1].at.view",
    "left, right, top, front"
)]
#[case(
    "[900,400]",
    "[900]",
    "annotations[1].at.arrow_mm[0]",
    "two coordinates"
)]
#[case("[900,400]", "[1250.5,600]", "annotations[1].at.arrow_mm", "elsewhere")]
#[case(r#","label":"wiring""#, "", "annotations[1].at.label", "24 characters")]
#[case(
    "wiring",
    "a label that has no room on a drawing",
    "annotations[1].at.label",
    "24 characters"
)]
#[case(
    r#""text":"Runs here","#,
    r#""text":"  ","#,
    "annotations[1].text",
    "2000"
)]
#[case(
    r#""standing":"offered""#,
    r#""standing":"resolved""#,
    "annotations[0].replies[0].standing",
    "withdrawn"
)]
#[case(
    r#""standing":"resolved""#,
    r#""standing":"gone""#,
    "annotations[1].standing",
    "open, offered"
)]
#[case(r#""text":"Runs here""#, r#""text":"Runs here","photos":[{"name":"../../etc/passwd","alt":"x","width_px":1,"height_px":1}]"#, "annotations[1].photos[0].name", "a to z")]
#[case(
    r#""text":"Runs here""#,
    r#""text":"Runs here","photos":[{"name":"aa","width_px":1,"height_px":1}]"#,
    "annotations[1].photos[0].alt",
    "200"
)]
#[case(
    r#""standing":"resolved","settled":{"by":"P. Lunn","on":"2026-03-06"}"#,
    r#""settled":{"on":"2026-03-06"}"#,
    "annotations[1].settled.by",
    "80"
)]
fn one_invalid_field_of_a_note_is_named_with_what_is_accepted(
    #[case] from: &str,
    #[case] to: &str,
    #[case] path: &str,
    #[case] accepted: &str,
) {
    assert!(EXAMPLE.contains(from), "the example holds no {from}");
    let text = EXAMPLE.replacen(from, to, 1);
    let errors = read(text.as_bytes())
        .expect_err("it must be refused")
        .fields();
    let [error] = errors.as_slice() else {
        panic!("{errors:?}")
    };
    assert_eq!(error.field.to_string(), path);
    assert!(error.accepted.contains(accepted), "{}", error.accepted);
}

#[test]
fn more_notes_than_a_card_holds_are_refused_as_one_error() {
    let note = r#"{"id":"N","text":"x","on":"2026-03-04"}"#;
    let notes: Vec<String> = (0..501)
        .map(|n| note.replace('N', &format!("n{n}")))
        .collect();
    let all = format!("\"annotations\":[{}],\"reviews\"", notes.join(","));
    let at = EXAMPLE.find("\"annotations\"").unwrap();
    let text = format!("{}{all}:[]}}", &EXAMPLE[..at]);
    let errors = read(text.as_bytes())
        .expect_err("it must be refused")
        .fields();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert!(errors[0].accepted.contains("500"));
}
