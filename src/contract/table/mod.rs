//! Findings from a spreadsheet: a table as text (RFC 4180), one finding a row,
//! read with the checks of the card file and named by row and column where a cell
//! is at fault.
//!
//! Separators are the comma, the semicolon or the tab of pasted cells, whichever
//! the first row shows. With the last two a comma in a figure is a decimal comma.
//! What a figure could mean in two ways is refused, never guessed. A file says
//! what was found, never how it stands: there is no column for a status, a
//! resolution or a supersession.

mod cell;
mod column;
mod fault;
mod fields;
mod header;
mod place;
mod row;
mod template;
mod text;

pub use column::Column;
pub use fault::CellFault;
pub use row::{Part, TableRow};
pub use template::{escaped, template};
pub use text::{Separator, TableError};

use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::Report;
use fault::Faults;
use time::Date;

/// Bytes of a table.
pub const MOST_BYTES: usize = 512 * 1024;
/// Rows with findings.
pub const MOST_ROWS: usize = 1_000;
/// Columns, those that are passed over included.
pub const MOST_COLUMNS: usize = 60;

/// What a table is read for.
#[derive(Debug, Clone, Copy)]
pub struct Onto<'a> {
    /// The card that the findings go to; its parts are those a row can name.
    pub card: &'a Card,
    /// The body fitted to that card: its spans and seats.
    pub body: &'a FittedBody,
    /// The latest day that a row can name.
    pub today: Date,
}

/// A table as read.
#[derive(Debug)]
pub struct ReadTable {
    pub separator: Separator,
    /// Rows without a fault, in their order.
    pub rows: Vec<TableRow>,
    /// Every cell that cannot be taken, row by row.
    pub faults: Vec<CellFault>,
    /// Faults beyond those listed.
    pub more_faults: usize,
    /// Headers of columns that are passed over.
    pub passed_over: Vec<String>,
}

/// Reads a table.
///
/// # Errors
/// It is no table at all, or too large; faults of its cells are no error but part
/// of the answer.
pub fn read(bytes: &[u8], onto: &Onto<'_>) -> Result<ReadTable, TableError> {
    let sheet = text::read(bytes)?;
    let mut faults = Faults::default();
    let (first, others) = sheet.records.split_first().ok_or(TableError::Empty)?;
    let header = header::read(first, &mut faults);
    let mut rows = Vec::with_capacity(others.len());
    // Without its columns every row would only repeat that.
    if faults.is_empty() {
        let parts = parts(onto.card);
        for record in others {
            let reader = row::RowReader {
                header: &header,
                separator: sheet.separator,
                onto,
                parts: &parts,
            };
            rows.extend(reader.read(record, &mut faults));
        }
    }
    if others.is_empty() {
        return Err(TableError::NoRows);
    }
    let (faults, more_faults) = faults.into_listed();
    Ok(ReadTable {
        separator: sheet.separator,
        rows,
        faults,
        more_faults,
        passed_over: header.passed_over,
    })
}

/// Ids of the parts on a card, each once, in the order they came.
fn parts(card: &Card) -> Vec<&str> {
    let mut parts: Vec<&str> = Vec::new();
    for finding in &card.findings {
        if let Report::Component(report) = &finding.report
            && !parts.contains(&report.component.as_str())
        {
            parts.push(&report.component);
        }
    }
    parts
}
