//! The first row: which column is which. A header close to a known one is refused
//! as a slip, since a bound that is overlooked changes zones; any other is passed
//! over and listed.

use super::cell::plain;
use super::column::Column;
use super::fault::{CellFault, Faults, letter, shortened};
use super::text::Record;
use crate::contract::reader::meant;

/// Headers that a file may have and that nothing is taken from: how a finding
/// stands is decided here, by people.
const NEVER_TAKEN: [&str; 6] = [
    "status",
    "resolved",
    "supersedes",
    "id",
    "reason",
    "accepted by",
];

/// Where each column stands.
#[derive(Debug)]
pub(super) struct Header {
    /// By place in the row.
    columns: Vec<Option<Column>>,
    /// As written, by place in the row.
    names: Vec<String>,
    pub passed_over: Vec<String>,
}

impl Header {
    /// How many columns the sheet has.
    pub fn width(&self) -> usize {
        self.names.len()
    }

    pub fn place(&self, column: Column) -> Option<usize> {
        self.columns.iter().position(|c| *c == Some(column))
    }

    /// Letter and header of a column of the sheet; the letter is empty where the
    /// sheet does not have it.
    pub fn named(&self, column: Column) -> (String, String) {
        match self.place(column) {
            Some(place) => (letter(place), self.names[place].clone()),
            None => (String::new(), column.word().to_owned()),
        }
    }
}

pub(super) fn read(first: &Record, faults: &mut Faults) -> Header {
    let mut header = Header {
        columns: Vec::with_capacity(first.cells.len()),
        names: first.cells.clone(),
        passed_over: Vec::new(),
    };
    for (place, name) in first.cells.iter().enumerate() {
        let mut column = column_named(name);
        let mut refuse = |message: String, accepted: &str| {
            faults.push(CellFault {
                row: first.row,
                column: Some((letter(place), String::new())),
                message,
                accepted: accepted.to_owned(),
                given: shortened(name),
            });
        };
        if let Some(twice) = column.filter(|c| header.columns.contains(&Some(*c))) {
            refuse(format!("“{twice}” is named twice"), "each column once");
            column = None;
        } else if column.is_none() && !name.is_empty() {
            match slip(name) {
                Some(near) => refuse(
                    format!("there is no column of that name; did you mean “{near}”?"),
                    "a header of the template, or one unlike any of them",
                ),
                None => header.passed_over.push(name.clone()),
            }
        }
        header.columns.push(column);
    }
    for column in Column::REQUIRED {
        if header.place(column).is_none() && faults.is_empty() {
            let missing = Column::REQUIRED.map(Column::word).join(", ");
            faults.push(CellFault {
                row: first.row,
                column: None,
                message: format!("no column is headed “{column}”"),
                accepted: format!("a first row with at least {missing}"),
                given: String::new(),
            });
        }
    }
    header
}

fn column_named(name: &str) -> Option<Column> {
    let name = plain(name);
    let is = |column: &Column| {
        let others = column.other_names().iter().copied();
        let mut all = std::iter::once(column.word()).chain(others);
        all.any(|known| plain(known) == name)
    };
    Column::ALL.iter().copied().find(is)
}

/// The header that was likely meant.
fn slip(name: &str) -> Option<&'static str> {
    if NEVER_TAKEN.iter().any(|never| plain(never) == plain(name)) {
        return None;
    }
    meant(name, Column::ALL.iter().map(|c| c.word()))
}
