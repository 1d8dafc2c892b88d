//! What is said of a spreadsheet that cannot be taken: each bad cell by row and
//! column, with what would be accepted.

use super::table::{HEAD, card, read_on, said};
use pillarbook::contract::table::{self, TableError};

#[test]
fn a_bad_cell_is_named_by_row_and_column_with_what_would_do() {
    let cases = [
        (
            "inflator,,b-pilar.left,,80,210,told,2026-03-04,,,",
            "Row 3, column C (Span)",
            "did you mean b-pillar.left",
        ),
        (
            "inflator,,b-pillar.left,,80,x,told,2026-03-04,,,",
            "Row 3, column F (To mm)",
            "is not a length",
        ),
        (
            "inflator,,b-pillar.left,,80,9000,told,2026-03-04,,,",
            "Row 3, column F (To mm)",
            "0 to its length",
        ),
        (
            "inflator,,b-pillar.left,,,210,told,2026-03-04,,,",
            "Row 3, column E (From mm)",
            "required",
        ),
        (
            "inflator,,b-pillar.left,,210,80,told,2026-03-04,,,",
            "Row 3, column E (From mm)",
            "swap",
        ),
        (
            "inflator,,b-pillar.left,top,80,210,told,2026-03-04,,,",
            "Row 3, column D (Taken from)",
            "foot, head",
        ),
        (
            "inflator,,b-pillar.left,,80,210,guessed,2026-03-04,,,",
            "Row 3, column G (How it was learnt)",
            "measured, photo",
        ),
        (
            "inflator,,b-pillar.left,,80,210,told,04.03.2026,,,",
            "Row 3, column H (Day)",
            "a day written 2026-03-05",
        ),
        (
            "inflator,,b-pillar.left,,80,210,told,2026-03-06,,,",
            "Row 3, column H (Day)",
            "has not come yet",
        ),
        (
            "inflator,,b-pillar.left,,80,210,measured,2026-03-04,,,",
            "Row 3, column I (Which car)",
            "has to be named",
        ),
        (
            "inflator,,b-pillar.left,,80,210,told,2026-03-04,,c7,",
            "Row 3, column J (Same part as)",
            "no such part",
        ),
        (
            "inflator,,b-pillar.left,,80,210,told,2026-03-04,,,0",
            "Row 3, column K (Thickness across mm)",
            "1 to 1000 mm",
        ),
        (
            "inflater,,b-pillar.left,,80,210,told,2026-03-04,,,",
            "Row 3, column A (Kind)",
            "did you mean inflator",
        ),
        (
            ",behind,b-pillar.left,,80,210,seen,2026-03-04,yard 1,,",
            "Row 3, column B (How deep)",
            "skin, through",
        ),
        (
            ",through,b-pillar.left,,80,210,told,2026-03-04,yard 1,,",
            "Row 3, column G (How it was learnt)",
            "measured, seen",
        ),
        (
            ",,b-pillar.left,,80,210,told,2026-03-04,,,",
            "no column for What was found",
            "part, bare",
        ),
        (
            "inflator,,b-pillar.left,,80,210,told,2026-03-04,,,,more",
            "Row 3",
            "more cells",
        ),
    ];
    for (row, place, what) in cases {
        let good = "inflator,,b-pillar.left,,80,210,told,2026-03-04,,,";
        let wrong = said(&format!("{HEAD}\n{good}\n{row}\n"));
        assert_eq!(wrong.len(), 1, "{row}: {wrong:?}");
        assert!(
            wrong[0].contains(place) && wrong[0].contains(what),
            "{row}: {wrong:?}"
        );
    }
}

#[test]
fn every_bad_cell_of_a_row_is_named_at_once() {
    let wrong = said(&format!("{HEAD}\ninflater,,nowhere,,x,210,guess,soon,,,\n"));
    for column in ["A (Kind)", "C (Span)", "E (From", "G (How", "H (Day)"] {
        assert!(
            wrong.iter().any(|w| w.contains(column)),
            "{column}: {wrong:?}"
        );
    }
}

#[test]
fn a_slip_in_a_header_is_refused_and_a_missing_one_named() {
    let wrong = said(
        "Kind,Sapn,From mm,To mm,How it was learnt,Day,Within\ninflator,x,1,2,told,2026-03-04,\n",
    );
    assert!(wrong[0].contains("did you mean “Span”"), "{wrong:?}");
    let wrong = said("Kind,Span,From mm,How it was learnt,Day\ninflator,x,1,told,2026-03-04\n");
    assert!(
        wrong[0].contains("no column is headed “To mm”"),
        "{wrong:?}"
    );
    let wrong = said("Kind,Span,From,From mm,To,Source,Date\ninflator,x,1,1,2,told,2026-03-04\n");
    assert!(wrong[0].contains("named twice"), "{wrong:?}");
}

#[test]
fn what_is_no_table_says_what_would_be_one() {
    let error = |bytes: &[u8]| read_on(&card(), bytes).unwrap_err();
    assert_eq!(error(b""), TableError::Empty);
    assert_eq!(error(b"\xef\xbb\xbf \r\n"), TableError::Empty);
    assert_eq!(error(b"PK\x03\x04rest"), TableError::Workbook);
    assert_eq!(
        error(b"Kind,Span\ninflator,\xe9\n"),
        TableError::NotUtf8 { line: 2 }
    );
    assert_eq!(error(b"\xff\xfeK\0i\0"), TableError::NotUtf8 { line: 1 });
    assert_eq!(error(b"K\0i\0n\0d\0"), TableError::NotUtf8 { line: 1 });
    assert_eq!(error(format!("{HEAD}\n").as_bytes()), TableError::NoRows);
    let open = format!(
        "{HEAD}\ninflator,,\"b-pillar.left,,80,210,told,2026-03-04,,,\ninflator,,,,,,,,,,\n"
    );
    assert_eq!(error(open.as_bytes()), TableError::OpenQuote { row: 2 });
    let rows = "inflator,,b-pillar.left,,80,210,told,2026-03-04,,,\n".repeat(table::MOST_ROWS + 1);
    assert_eq!(
        error(format!("{HEAD}\n{rows}").as_bytes()),
        TableError::TooManyRows
    );
    assert_eq!(
        error(&vec![b'x'; table::MOST_BYTES + 1]),
        TableError::TooLarge {
            bytes: table::MOST_BYTES + 1
        }
    );
    assert_eq!(
        error(",".repeat(60).as_bytes()),
        TableError::TooManyColumns { row: 1 }
    );
}
