//! `zones` and `check`: what is printed, and how bad files end.

use super::{run, text};
use crate::contract::EXAMPLE;
use pillarbook::contract::{ZonesFile, zones_of_file};
use pillarbook::domain::vehicle::Variant;
use rstest::rstest;

#[test]
fn zones_prints_the_contract_s_bytes_from_a_file_and_from_standard_input() {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("card.json"), EXAMPLE).unwrap();
    let answer = zones_of_file(EXAMPLE.as_bytes(), &Variant::default()).unwrap();
    let expected = ZonesFile::from(&answer.zones).to_json();
    for (file, input) in [("card.json", ""), ("-", EXAMPLE)] {
        let done = run(directory.path(), &["zones", file], input);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        assert_eq!(text(&done.stdout), expected);
    }
}

#[rstest]
#[case(
    "\"radius_mm\":25",
    "\"radius_mm\":-1",
    "line 6, column 144: findings[0].radius_mm"
)]
#[case("\"petrol\"", "\"steam\"", "line 2, column 93: vehicle.drive")]
#[case("\"to_mm\":210", "\"to_mm\":4000", "findings[0].place.to_mm")]
#[case(
    "\"coverage\":0.99",
    "\"coverage\":0.5",
    "line 4, column 23: policy.coverage"
)]
#[case(
    "\"coverage\":0.99",
    "\"coverage\":NaN",
    "line 4, column 23: policy.coverage"
)]
#[case("\"reviews\":[]}", "\"reviews\":[]", "line 11")]
fn a_bad_file_ends_with_code_2_and_names_line_and_field(
    #[case] from: &str,
    #[case] to: &str,
    #[case] place: &str,
) {
    let directory = tempfile::tempdir().unwrap();
    assert!(EXAMPLE.contains(from), "{from}");
    std::fs::write(
        directory.path().join("bad.json"),
        EXAMPLE.replacen(from, to, 1),
    )
    .unwrap();
    for command in ["zones", "check"] {
        let done = run(directory.path(), &[command, "bad.json"], "");
        assert_eq!(done.status.code(), Some(2));
        assert!(
            done.stdout.is_empty(),
            "nothing is printed that could be taken for zones"
        );
        let said = text(&done.stderr);
        assert!(
            said.contains("bad.json: ") && said.contains(place),
            "{said}"
        );
        assert!(said.contains("accepted: "), "{said}");
    }
}

#[test]
fn files_that_cannot_be_read_end_with_code_2() {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("large.json"), vec![b' '; 10_000_000]).unwrap();
    for (file, input, said) in [
        (
            "missing.json",
            String::new(),
            "missing.json: cannot be read",
        ),
        (".", String::new(), "cannot be read"),
        ("-", " ".repeat(3 * 1024 * 1024), "2 MiB"),
        ("large.json", String::new(), "10000000"),
        ("-", String::new(), "standard input: line 1"),
    ] {
        let done = run(directory.path(), &["zones", file], &input);
        assert_eq!(done.status.code(), Some(2), "{file}");
        assert!(text(&done.stderr).contains(said), "{}", text(&done.stderr));
    }
}

#[test]
fn a_variant_that_is_no_variant_is_refused_with_what_is_accepted() {
    let directory = tempfile::tempdir().unwrap();
    for (flag, value, accepted) in [
        ("--year", "1850", "1900 to 2100"),
        ("--drive", "steam", "petrol"),
        ("--roof", "x", "glass"),
    ] {
        let done = run(directory.path(), &["zones", "-", flag, value], EXAMPLE);
        assert_eq!(done.status.code(), Some(2));
        assert!(
            text(&done.stderr).contains(accepted),
            "{}",
            text(&done.stderr)
        );
    }
    let done = run(directory.path(), &["zones", "-", "--year", "2021"], EXAMPLE);
    assert_eq!(done.status.code(), Some(0));
}

#[test]
fn check_lists_what_the_reader_of_the_card_has_to_know() {
    let directory = tempfile::tempdir().unwrap();
    let done = run(directory.path(), &["check", "-"], EXAMPLE);
    assert_eq!(done.status.code(), Some(0));
    assert!(
        text(&done.stdout).contains("single-source"),
        "{}",
        text(&done.stdout)
    );
}

#[test]
fn every_command_explains_itself() {
    let directory = tempfile::tempdir().unwrap();
    let help = text(&run(directory.path(), &["--help"], "").stdout);
    for command in [
        "serve", "zones", "sketch", "check", "import", "export", "backup", "restore",
    ] {
        assert!(
            help.contains(&format!("  {command} ")),
            "{command} is missing from:\n{help}"
        );
        let own = run(directory.path(), &[command, "--help"], "");
        assert_eq!(own.status.code(), Some(0));
        assert!(text(&own.stdout).contains("Usage: pillarbook"), "{command}");
    }
}
