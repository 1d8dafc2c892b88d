//! One row to one finding: its cells as a finding of the card file, read by that
//! file's own checks, every refusal put back at the cell it came from.

use super::Onto;
use super::cell;
use super::column::Column;
use super::fault::{CellFault, Faults, shortened};
use super::header::Header;
use super::template::unescaped;
use super::text::{Record, Separator};
use crate::contract::FieldError;
use crate::contract::card_file::read_row;
use crate::contract::path::Segment;
use crate::domain::finding::{Finding, Report};
use serde_json::{Value, json};

/// Characters of a label that rows share.
const LABEL: usize = 64;

/// Which part a row is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// None: the row states a bare stretch.
    None,
    /// A part of its own.
    New,
    /// A part on the card already.
    SameAs(String),
    /// A new part that every row with this label is about.
    Shared(String),
}

/// A row that can be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct TableRow {
    /// Row of the sheet, from 1.
    pub number: usize,
    /// Its id is blank, and so is its part's unless it is one on the card; parts
    /// are accepted, bare stretches offered.
    pub finding: Finding,
    pub part: Part,
}

/// What every row is read with.
pub(super) struct RowReader<'a> {
    pub header: &'a Header,
    pub separator: Separator,
    pub onto: &'a Onto<'a>,
    /// Ids of the parts on the card.
    pub parts: &'a [&'a str],
}

/// A row under way.
pub(super) struct Reading<'a> {
    pub(super) with: &'a RowReader<'a>,
    record: &'a Record,
    faults: Vec<(Option<Column>, CellFault)>,
}

impl RowReader<'_> {
    /// The row's finding, or what is wrong with each of its cells.
    pub fn read(&self, record: &Record, faults: &mut Faults) -> Option<TableRow> {
        let mut reading = Reading {
            with: self,
            record,
            faults: Vec::new(),
        };
        let row = reading.read();
        let taken = row.filter(|_| reading.faults.is_empty());
        let mut refused = reading.faults;
        refused.sort_by_key(|(column, _)| column.and_then(|c| self.header.place(c)));
        for (_, fault) in refused {
            faults.push(fault);
        }
        taken
    }
}

impl Reading<'_> {
    fn read(&mut self) -> Option<TableRow> {
        let width = self.with.header.width();
        if let Some(cell) = self.record.cells.iter().skip(width).find(|c| !c.is_empty()) {
            let said = format!("it has more cells than the first row names columns ({width})");
            let given = shortened(cell);
            self.refuse_row(
                said,
                "one cell a column; a cell with a separator in quotation marks",
                given,
            );
            return None;
        }
        let report = self.report();
        let place = self.place(report == Some("bare"));
        let part = self.part();
        let mut finding = self.fields();
        if let Some(report) = report {
            finding.insert("report".to_owned(), json!(report));
        }
        if let Some(place) = place {
            finding.insert("place".to_owned(), place);
        }
        if let Part::SameAs(id) | Part::Shared(id) = &part {
            finding.insert("component".to_owned(), json!(id));
        }
        let read = read_row(&Value::Object(finding), self.with.onto.body.style.id);
        let mut finding = match read {
            Ok(finding) => finding,
            Err(errors) => {
                errors.iter().for_each(|error| self.put_back(error));
                return None;
            }
        };
        self.check_day(&finding);
        let part = match (&mut finding.report, part) {
            (Report::Bare(_), _) => Part::None,
            (Report::Component(report), part) => {
                if !matches!(part, Part::SameAs(_)) {
                    report.component = String::new();
                }
                part
            }
        };
        Some(TableRow {
            number: self.record.row,
            finding,
            part,
        })
    }

    /// What stands in a column; empty where the sheet has none of it.
    pub(super) fn cell(&self, column: Column) -> &str {
        let place = self.with.header.place(column);
        let cell = place.and_then(|place| self.record.cells.get(place));
        unescaped(cell.map_or("", String::as_str))
    }

    pub(super) fn refuse(
        &mut self,
        column: Column,
        message: impl Into<String>,
        accepted: impl Into<String>,
    ) {
        // One fault a cell: the first is the nearest to what was typed.
        if self.faults.iter().any(|(at, _)| *at == Some(column)) {
            return;
        }
        let fault = CellFault {
            row: self.record.row,
            column: Some(self.with.header.named(column)),
            message: message.into(),
            accepted: accepted.into(),
            given: shortened(self.cell(column)),
        };
        self.faults.push((Some(column), fault));
    }

    fn refuse_row(&mut self, message: String, accepted: &str, given: String) {
        let fault = CellFault {
            row: self.record.row,
            column: None,
            message,
            accepted: accepted.to_owned(),
            given,
        };
        self.faults.push((None, fault));
    }

    /// A refusal of the card file's checks, at the cell it is about.
    fn put_back(&mut self, error: &FieldError) {
        // Places are checked here, with their ends and units.
        if error.field.segments().first() == Some(&Segment::Field("place".to_owned())) {
            return;
        }
        match Column::of_field(&error.field) {
            Some(column) => {
                // Marks of a file's text, not of a sheet's.
                let message = error.message.replace('`', "");
                self.refuse(column, message, error.accepted.clone());
            }
            None => self.refuse_row(error.message.clone(), &error.accepted, String::new()),
        }
    }

    /// `component` or `bare`, said or shown by what only one of them has.
    fn report(&mut self) -> Option<&'static str> {
        let said = cell::plain(self.cell(Column::What));
        let has = |column| !self.cell(column).is_empty();
        match (said.as_str(), has(Column::Kind), has(Column::Depth)) {
            ("part" | "component", ..) | ("", true, _) => Some("component"),
            ("bare", ..) | ("", false, true) => Some("bare"),
            _ => {
                self.refuse(Column::What, "say what was found", "part, bare");
                None
            }
        }
    }

    fn part(&mut self) -> Part {
        let said = self.cell(Column::Part).to_owned();
        let known = self
            .with
            .parts
            .iter()
            .find(|id| id.eq_ignore_ascii_case(&said));
        if said.is_empty() {
            return Part::New;
        }
        if let Some(id) = known {
            return Part::SameAs((*id).to_owned());
        }
        let numbered = said
            .strip_prefix(['c', 'C'])
            .is_some_and(|rest| !rest.is_empty() && rest.chars().all(|c| c.is_ascii_digit()));
        if numbered || said.chars().count() > LABEL {
            let known = match self.with.parts {
                [] => "this card has no part yet".to_owned(),
                parts => format!("this card has {}", parts.join(", ")),
            };
            let accepted = format!(
                "{known}; one word of your own, at most {LABEL} characters, for rows about one new part; or blank"
            );
            self.refuse(Column::Part, "there is no such part on this card", accepted);
        }
        Part::Shared(said)
    }

    pub(super) fn figure(
        &mut self,
        column: Column,
        read: fn(&str, Separator) -> Result<f64, String>,
    ) -> Option<f64> {
        let cell = self.cell(column);
        if cell.is_empty() {
            return None;
        }
        match read(cell, self.with.separator) {
            Ok(figure) => Some(figure),
            Err(said) => {
                self.refuse(column, said, "");
                None
            }
        }
    }

    /// The day is not still to come.
    fn check_day(&mut self, finding: &Finding) {
        let (day, today) = (finding.observed_on, self.with.onto.today);
        if day > today {
            let said = format!("{day} has not come yet");
            self.refuse(Column::Day, said, format!("{today} or a day before"));
        }
    }
}
