//! What is wrong with a cell, named as its spreadsheet names it.

use std::fmt;

/// Faults listed for one table; more help nobody.
const MOST_FAULTS: usize = 200;

/// Characters of a cell that a fault repeats.
const GIVEN_CHARS: usize = 60;

/// One cell, or one row, that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// Row of the sheet, from 1.
    pub row: usize,
    /// Letter of the column as spreadsheets count, and its header; `None` where
    /// no column of the sheet is meant.
    pub column: Option<(String, String)>,
    pub message: String,
    /// What would be accepted; empty where the message says it.
    pub accepted: String,
    /// What stands in the cell, shortened; empty where it is blank.
    pub given: String,
}

impl fmt::Display for CellFault {
    /// `Row 7, column D (From mm): …; accepted: …; given: …`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place(), self.message)?;
        if !self.accepted.is_empty() {
            write!(f, "; accepted: {}", self.accepted)?;
        }
        if !self.given.is_empty() {
            write!(f, "; given: “{}”", self.given)?;
        }
        Ok(())
    }
}

impl CellFault {
    /// `Row 7, column D (From mm)`.
    pub fn place(&self) -> String {
        match &self.column {
            Some((letter, header)) if header.is_empty() => {
                format!("Row {}, column {letter}", self.row)
            }
            Some((letter, header)) if letter.is_empty() => {
                format!("Row {}, no column for {header}", self.row)
            }
            Some((letter, header)) => format!("Row {}, column {letter} ({header})", self.row),
            None => format!("Row {}", self.row),
        }
    }
}

/// Faults found so far.
#[derive(Debug, Default)]
pub(super) struct Faults {
    listed: Vec<CellFault>,
    more: usize,
}

impl Faults {
    pub fn is_empty(&self) -> bool {
        self.listed.is_empty()
    }

    pub fn push(&mut self, fault: CellFault) {
        if self.listed.len() < MOST_FAULTS {
            self.listed.push(fault);
        } else {
            self.more += 1;
        }
    }

    /// Those listed, and how many more there are.
    pub fn into_listed(self) -> (Vec<CellFault>, usize) {
        (self.listed, self.more)
    }
}

/// `A`, `B` … `Z`, `AA` … of a column counted from 0.
pub(super) fn letter(index: usize) -> String {
    let mut letters = String::new();
    let mut rest = index + 1;
    while rest > 0 {
        let place = u8::try_from((rest - 1) % 26).expect("below 26");
        letters.insert(0, char::from(b'A' + place));
        rest = (rest - 1) / 26;
    }
    letters
}

/// The start of a cell, for a message.
pub(super) fn shortened(cell: &str) -> String {
    let mut chars = cell.chars();
    let start: String = chars.by_ref().take(GIVEN_CHARS).collect();
    match chars.next() {
        Some(_) => start + "…",
        None => start,
    }
}
