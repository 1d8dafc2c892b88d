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

    /// A column that the sheet has to have and does not: of a place on a span where it
    /// has none of a point, else of the points.
    fn missing(&self) -> Option<Column> {
        let lacks = |columns: &[Column]| {
            let mut columns = columns.iter().copied();
            columns.find(|column| self.place(*column).is_none())
        };
        let points = Column::POINTS.as_flattened();
        let of_place = lacks(&Column::ON_SPAN).zip(lacks(points));
        let has_a_point = points.iter().any(|column| self.place(*column).is_some());
        let of_place = of_place.map(|(span, point)| match has_a_point {
            true => point,
            false => span,
        });
        of_place.or_else(|| lacks(&Column::REQUIRED))
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
    if let Some(missing) = header.missing().filter(|_| faults.is_empty()) {
        let names = |columns: &[Column]| {
            let words = columns.iter().map(|c| c.word());
            words.collect::<Vec<_>>().join(", ")
        };
        let (required, on_span) = (names(&Column::REQUIRED), names(&Column::ON_SPAN));
        let points = names(Column::POINTS.as_flattened());
        faults.push(CellFault {
            row: first.row,
            column: None,
            message: format!("no column is headed “{missing}”"),
            accepted: format!(
                "a first row with at least {required}, and {on_span} or, for parts given by two points, {points}"
            ),
            given: String::new(),
        });
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
