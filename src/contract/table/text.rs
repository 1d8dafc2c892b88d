//! Bytes to rows of cells. The csv crate splits them; here is what it does not
//! say: which separator, which row of the sheet, and whether a quotation mark was
//! left open and swallowed the rows after it.

use super::{MOST_BYTES, MOST_COLUMNS, MOST_ROWS};
use std::fmt;

/// Why a file is no table of findings.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TableError {
    #[error("the file has {bytes} bytes; at most {MOST_BYTES} bytes (512 KiB) are accepted")]
    TooLarge { bytes: usize },
    #[error(
        "this is a workbook, not a table of text: save the sheet as CSV in UTF-8, or copy its cells and paste them"
    )]
    Workbook,
    #[error(
        "line {line} is not UTF-8, so letters in it cannot be told: save the sheet as CSV in UTF-8, or copy its cells and paste them"
    )]
    NotUtf8 { line: usize },
    #[error("there is nothing in it: the first row has to name the columns")]
    Empty,
    #[error("it names its columns and has no row below them: enter one finding a row")]
    NoRows,
    #[error(
        "row {row} opens a quotation mark that is never closed: close it, or write two of them for one inside a cell"
    )]
    OpenQuote { row: usize },
    #[error(
        "it has more than {MOST_ROWS} rows with findings: split it, at most {MOST_ROWS} at a time"
    )]
    TooManyRows,
    #[error(
        "row {row} has more than {MOST_COLUMNS} cells: at most {MOST_COLUMNS} columns are accepted"
    )]
    TooManyColumns { row: usize },
}

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    Comma,
    Semicolon,
    Tab,
}

impl Separator {
    const ALL: [Self; 3] = [Self::Comma, Self::Semicolon, Self::Tab];

    pub(super) const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    /// Whether a comma in a figure is a decimal comma: it separates no cells.
    pub const fn leaves_the_comma(self) -> bool {
        !matches!(self, Self::Comma)
    }

    /// The one that the first row names, or else shows most of, outside quotation
    /// marks.
    fn of(text: &str) -> Self {
        let named = text.strip_prefix(SEPARATOR_ROW);
        let named = named.and_then(|rest| rest.chars().next());
        let known = Self::ALL.into_iter();
        let mut known = known.filter(|s| named == Some(char::from(s.byte())));
        if let Some(named) = known.next() {
            return named;
        }
        let mut counts = [0_usize; 3];
        let mut quoted = false;
        for c in text.chars() {
            match c {
                '"' => quoted = !quoted,
                '\n' if !quoted => break,
                _ if quoted => {}
                _ => {
                    let place = Self::ALL.iter().position(|s| char::from(s.byte()) == c);
                    if let Some(place) = place {
                        counts[place] += 1;
                    }
                }
            }
        }
        let most = counts.iter().copied().max().unwrap_or(0);
        let place = counts.iter().position(|count| *count == most);
        place.map_or(Self::Comma, |place| Self::ALL[place])
    }
}

impl fmt::Display for Separator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
        })
    }
}

/// One row that is neither blank nor a comment.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Record {
    /// As a spreadsheet counts it, from 1.
    pub row: usize,
    /// Trimmed.
    pub cells: Vec<String>,
}

#[derive(Debug)]
pub(super) struct Sheet {
    pub separator: Separator,
    pub records: Vec<Record>,
}

/// How a first row begins by which a spreadsheet names the separator of its file.
const SEPARATOR_ROW: &str = "sep=";

/// A row no sheet has: where it does not come last, a quotation mark is open.
const END: &str = "\u{1}end\u{1}";

pub(super) fn read(bytes: &[u8]) -> Result<Sheet, TableError> {
    let text = decoded(bytes)?;
    let separator = Separator::of(text.trim_start());
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let (mut records, mut inside, mut ended, mut last) = (Vec::new(), 0, false, 0);
    for record in reader.records() {
        let record = record.expect("rows of any length of text in memory");
        let line = record.position().map_or(1, csv::Position::line);
        // Lines inside cells are no rows of the sheet.
        let row = usize::try_from(line).unwrap_or(usize::MAX) - inside;
        inside += record
            .iter()
            .map(|c| c.matches('\n').count())
            .sum::<usize>();
        if record.len() == 1 && record.get(0) == Some(END) {
            ended = true;
            break;
        }
        if record.len() > MOST_COLUMNS {
            return Err(TableError::TooManyColumns { row });
        }
        last = row;
        let cells: Vec<String> = record.iter().map(|c| c.trim().to_owned()).collect();
        let names_separator = row == 1 && cells[0].starts_with(SEPARATOR_ROW);
        if !names_separator && !is_passed_over(&cells) {
            records.push(Record { row, cells });
        }
        if records.len() > MOST_ROWS + 1 {
            return Err(TableError::TooManyRows);
        }
    }
    if !ended {
        return Err(TableError::OpenQuote { row: last });
    }
    Ok(Sheet { separator, records })
}

/// A blank row, or one that begins with `#`: a remark, such as the template's
/// example.
fn is_passed_over(cells: &[String]) -> bool {
    cells.iter().all(String::is_empty) || cells.first().is_some_and(|c| c.starts_with('#'))
}

/// The text with every line break as one character, and [`END`] as its last row.
fn decoded(bytes: &[u8]) -> Result<String, TableError> {
    if bytes.len() > MOST_BYTES {
        return Err(TableError::TooLarge { bytes: bytes.len() });
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xd0\xcf\x11\xe0") {
        return Err(TableError::Workbook);
    }
    let not_utf8 = |at: usize| TableError::NotUtf8 {
        line: bytes[..at].iter().filter(|b| **b == b'\n').count() + 1,
    };
    let text = std::str::from_utf8(bytes).map_err(|e| not_utf8(e.valid_up_to()))?;
    // UTF-16 of plain letters reads as UTF-8 with a NUL beside each.
    if let Some(at) = text.find('\0') {
        return Err(not_utf8(at));
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    if text.trim().is_empty() {
        return Err(TableError::Empty);
    }
    Ok(format!("{text}\n{END}\n"))
}
