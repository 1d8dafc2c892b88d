//! Rows of a part by two points, and tables as spreadsheets really save them.

use super::table::{HEAD, card, findings, read, read_on, said};
use pillarbook::contract::table::{Separator, TableError};
use pillarbook::domain::finding::{Finding, Place, Report};

const HEAD_OF_POINTS: &str = "Kind,First x mm,First y mm,First z mm,Second x mm,Second y mm,Second z mm,How it was learnt,Day,Which car";

fn points(finding: &Finding) -> [[f64; 3]; 2] {
    let Report::Component(part) = &finding.report else {
        panic!("a part")
    };
    match &part.place {
        Place::Points(ends) => ends.map(|p| [p.x, p.y, p.z]),
        Place::OnSpan { .. } => panic!("two points"),
    }
}

#[test]
fn a_part_beside_the_spans_is_given_by_two_points() {
    let text = format!(
        "{HEAD_OF_POINTS}\ngas-cylinder,2900,-560,1380,3150,−560,53 1/2 in,seen,2026-03-04,yard 1\n"
    );
    let ends = [[2900.0, -560.0, 1380.0], [3150.0, -560.0, 1358.9]];
    let read = points(&findings(&text)[0]);
    let pairs = read.as_flattened().iter().zip(ends.as_flattened());
    assert!(
        pairs.into_iter().all(|(a, b)| (a - b).abs() < 1e-9),
        "{read:?}"
    );
}

#[test]
fn a_sheet_saved_with_semicolons_holds_both_kinds_of_places() {
    let head = "Kind;Span;From mm;To mm;First x mm;First y mm;First z mm;Second x mm;Second y mm;Second z mm;How it was learnt;Day;Note";
    let text = format!(
        "\u{feff}sep=;\r\n{head}\r\n\
         inflator;b-pillar.left;80,5;210;;;;;;;told;2026-03-04;\"two\r\nlines; one \"\"cell\"\"\"\r\n\
         inflator;;;;2900,5;-560;1380;3150;-560;1360;told;2026-03-04;\r\n;;;;;;;;;;;;\r\n"
    );
    let read = read(&text);
    assert_eq!(read.faults, []);
    assert_eq!(read.separator, Separator::Semicolon);
    let numbers: Vec<usize> = read.rows.iter().map(|row| row.number).collect();
    assert_eq!(numbers, [3, 4], "as the sheet counts them");
    let note = read.rows[0].finding.note.as_deref();
    assert_eq!(note, Some("two\nlines; one \"cell\""));
    assert_eq!(points(&read.rows[1].finding)[0], [2900.5, -560.0, 1380.0]);
    let thousands = text.replace("2900,5", "2.900");
    assert!(said(&thousands)[0].contains("column E (First x mm): its comma or point can mean"));
}

#[test]
fn what_two_points_lack_or_have_too_much_is_said_at_its_cell() {
    let rest = "told,2026-03-04,";
    for (text, words) in [
        (
            format!("{HEAD_OF_POINTS}\ninflator,2900,-560,,3150,-560,1360,{rest}\n"),
            "column D (First z mm): two points take x, y and z of both ends",
        ),
        (
            format!("{HEAD_OF_POINTS}\ninflator,2900,-560,1380,15000,-560,1360,{rest}\n"),
            "column E (Second x mm): that is far off the car",
        ),
        (
            format!(
                "Span,{HEAD_OF_POINTS}\nb-pillar.left,inflator,2900,-560,1380,3150,-560,1360,{rest}\n"
            ),
            "column A (Span): a part lies on a span or between two points",
        ),
        (
            format!(
                "How deep,{HEAD_OF_POINTS}\nthrough,,2900,-560,1380,3150,-560,1360,seen,2026-03-04,yard 1\n"
            ),
            "column C (First x mm): what is bare lies on a span",
        ),
        (
            format!(
                "{}\ninflator,2900,-560,1380,3150,-560,{rest}\n",
                HEAD_OF_POINTS.replace(",Second z mm", "")
            ),
            "no column is headed “Second z mm”",
        ),
        (
            "Kind,How it was learnt,Day\ninflator,told,2026-03-04\n".to_owned(),
            "no column is headed “Span”",
        ),
    ] {
        let said = said(&text);
        assert!(
            said.iter().any(|s| s.contains(words)),
            "{words} is not in {said:?}"
        );
    }
}

#[test]
fn a_thousand_rows_are_read_and_one_more_is_not() {
    let row = "inflator,,b-pillar.left,,80,210,told,2026-03-04,,,\n";
    let text = |rows: usize| format!("{HEAD}\n{}", row.repeat(rows));
    assert_eq!(findings(&text(1_000)).len(), 1_000);
    let refused = read_on(&card(), text(1_001).as_bytes());
    assert_eq!(refused.unwrap_err(), TableError::TooManyRows);
}
