//! The two pages of a table: the one that asks for it and says what is wrong, and
//! the one that shows what its rows become.

use super::words::WordList;
use super::{Bench, save};
use crate::contract::table::{Part, ReadTable, TableRow};
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Report, Status};
use crate::store::Revision;
use crate::web::findings::in_words;
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::CardHead;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;

/// Asks for a table.
#[derive(Template, WebTemplate)]
#[template(path = "spreadsheet/sheet.html")]
pub struct SheetPage {
    pub head: CardHead,
    pub words: Vec<WordList>,
    /// The table that was just sent, with its faults.
    pub read: Option<ReadPage>,
    /// An earlier one waits to be recorded.
    pub waits: bool,
    pub text_hint: String,
    pub typed: Typed,
}

/// Shows what a table does before it is recorded.
#[derive(Template, WebTemplate)]
#[template(path = "spreadsheet/preview.html")]
pub struct PreviewPage {
    pub head: CardHead,
    pub name: String,
    pub version: Revision,
    pub read: ReadPage,
    pub changes: Vec<ChangeRow>,
    pub shrinks: bool,
    pub warnings: Vec<String>,
    /// Why it is shown again.
    pub moved: Option<&'static str>,
    pub typed: Typed,
}

/// A table as read, in words.
pub struct ReadPage {
    pub separator: String,
    pub faults: Vec<FaultRow>,
    pub more_faults: usize,
    pub rows: Vec<GoodRow>,
    pub passed_over: String,
    /// Rows that wait for a second person once recorded.
    pub bare: usize,
}

/// What is wrong with a cell.
pub struct FaultRow {
    pub place: String,
    pub message: String,
    pub accepted: String,
    pub given: String,
}

/// What a good row becomes.
pub struct GoodRow {
    pub number: usize,
    pub id: String,
    pub said: String,
    pub part: String,
    pub learnt: String,
    pub offered: bool,
    /// The finding on the card that states the same already.
    pub known: Option<String>,
}

impl ReadPage {
    pub(super) fn new(bench: &Bench, read: &ReadTable) -> Self {
        let card = &bench.stored.card;
        let all = save::findings(&read.rows, card);
        let rows: Vec<GoodRow> = read
            .rows
            .iter()
            .zip(&all)
            .map(|(row, finding)| good(row, finding, bench))
            .collect();
        let faults = read.faults.iter().map(|fault| FaultRow {
            place: fault.place(),
            message: fault.message.clone(),
            accepted: fault.accepted.clone(),
            given: fault.given.clone(),
        });
        Self {
            separator: read.separator.to_string(),
            faults: faults.collect(),
            more_faults: read.more_faults,
            bare: rows.iter().filter(|row| row.offered).count(),
            rows,
            passed_over: read.passed_over.join(", "),
        }
    }

    /// The rows at fault, by number.
    pub fn bad_rows(&self) -> usize {
        let mut places: Vec<&str> = self
            .faults
            .iter()
            .map(|fault| fault.place.split(',').next().unwrap_or_default())
            .collect();
        places.dedup();
        places.len()
    }
}

fn good(row: &TableRow, finding: &Finding, bench: &Bench) -> GoodRow {
    let part = match (&row.part, &finding.report) {
        (Part::SameAs(id), _) => format!("the same part as {id}"),
        (Part::Shared(label), Report::Component(report)) => {
            format!("new part {}, “{label}” in the table", report.component)
        }
        (Part::New, Report::Component(report)) => format!("new part {}", report.component),
        _ => String::new(),
    };
    GoodRow {
        number: row.number,
        id: finding.id.clone(),
        said: in_words(finding, &bench.body),
        part,
        learnt: crate::web::findings::learnt(finding),
        offered: finding.status == Status::Offered,
        known: known(finding, &bench.stored.card),
    }
}

fn known(finding: &Finding, card: &Card) -> Option<String> {
    let on_card = card
        .findings
        .iter()
        .find(|f| f.acts() && f.repeats(finding));
    on_card.map(|f| f.id.clone())
}
