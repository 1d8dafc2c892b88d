//! The template to fill in, and how cells are written so that no spreadsheet
//! takes one for a formula.

use super::column::Column;

/// An example of the template: invented, and passed over when read.
type Example = [(Column, &'static str); 12];

/// A part on a span.
const ON_SPAN: Example = [
    (Column::What, "# example, invented, passed over: part"),
    (Column::Kind, "pretensioner"),
    (Column::Span, "b-pillar.left"),
    (Column::End, "foot"),
    (Column::From, "80"),
    (Column::To, "210"),
    (Column::Across, "50"),
    (Column::Source, "measured"),
    (Column::Day, "2026-03-04"),
    (Column::By, "A. Example"),
    (Column::Car, "yard 14"),
    (Column::Seat, "front-left"),
];

/// A part beside the spans, by two points.
const BY_POINTS: Example = [
    (Column::What, "# example, invented, passed over: part"),
    (Column::Kind, "gas-cylinder"),
    (Column::FirstX, "2900"),
    (Column::FirstY, "-560"),
    (Column::FirstZ, "1380"),
    (Column::SecondX, "3150"),
    (Column::SecondY, "-560"),
    (Column::SecondZ, "1360"),
    (Column::Across, "40"),
    (Column::Source, "seen"),
    (Column::Day, "2026-03-04"),
    (Column::Car, "yard 14"),
];

/// The table to fill in: its headers and two examples that are passed over.
pub fn template() -> String {
    let headers = Column::ALL.iter().map(|c| c.word());
    let example = |of: Example| -> Vec<&'static str> {
        let cell = move |column: &Column| {
            let cell = of.iter().find(|(c, _)| c == column);
            cell.map_or("", |(_, text)| *text)
        };
        Column::ALL.iter().map(cell).collect()
    };
    let rows = [headers.collect(), example(ON_SPAN), example(BY_POINTS)];
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    for row in rows {
        let row: Vec<String> = row.into_iter().map(escaped).collect();
        writer.write_record(&row).expect("memory takes every row");
    }
    let bytes = writer.into_inner().expect("memory takes every row");
    // With the mark spreadsheets know UTF-8 by.
    format!(
        "\u{feff}{}",
        String::from_utf8(bytes).expect("written from text")
    )
}

/// A cell as text: with an apostrophe in front where a spreadsheet would take it
/// for a formula (OWASP, CSV Injection; from memory). Figures stay figures. A cell
/// that has such an apostrophe already gets one more, so that `unescaped` gives
/// back every cell as it was.
pub fn escaped(cell: &str) -> String {
    if is_formula(cell) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// A cell as it was before [`escaped`].
pub(super) fn unescaped(cell: &str) -> &str {
    cell.strip_prefix('\'')
        .filter(|rest| is_formula(rest))
        .unwrap_or(cell)
}

/// What a cell that is worked out begins with; the wide ones where Japanese is
/// typed.
const BEGINS_FORMULA: [char; 11] = [
    '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
];

/// Whether a cell would be worked out, were there no apostrophes in front.
fn is_formula(cell: &str) -> bool {
    let plain = cell.trim_start_matches('\'');
    plain.starts_with(BEGINS_FORMULA) && plain.parse::<f64>().is_err()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_is_written_as_text_and_reads_back() {
        for cell in [
            "=1+1", "+cmd", "-x", "@sum(A1)", "\t=1", "\n=1", "＝1", "'=1", "''-x",
        ] {
            assert_eq!(escaped(cell), format!("'{cell}"));
            assert_eq!(unescaped(&escaped(cell)), cell);
        }
        for cell in ["-12.5", "+3", "yard 14", "", "'tis"] {
            assert_eq!(escaped(cell), cell);
            assert_eq!(unescaped(cell), cell);
        }
    }
}
