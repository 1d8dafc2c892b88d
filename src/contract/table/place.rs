//! Where a row's finding lies: a span by id or name, two stations from either
//! end, each in any unit.

use super::cell;
use super::column::Column;
use super::row::Reading;
use crate::contract::reader::meant;
use crate::domain::body::Span;
use serde_json::{Value, json};

/// How far outside its span a recorded station may lie, mm.
const OUTSIDE_MM: f64 = 100.0;

impl<'a> Reading<'a> {
    /// The place as the card file writes it.
    pub(super) fn place(&mut self) -> Option<Value> {
        let span = self.span();
        let from = self.station(Column::From, span);
        let to = self.station(Column::To, span);
        let from_head = self.is_from_head();
        let (span, from, to, from_head) = (span?, from?, to?, from_head?);
        if from > to {
            let end = if from_head { "head" } else { "foot" };
            let said = format!("farther from the {end} than where it ends: swap the two figures");
            self.refuse(Column::From, said, "a figure up to the one in To mm");
            return None;
        }
        let whole = span.line.length();
        let (from_mm, to_mm) = match from_head {
            true => (whole - to, whole - from),
            false => (from, to),
        };
        Some(json!({"span": span.id.as_str(), "from_mm": from_mm, "to_mm": to_mm}))
    }

    fn is_from_head(&mut self) -> Option<bool> {
        match cell::plain(self.cell(Column::End)).as_str() {
            "" | "foot" => Some(false),
            "head" => Some(true),
            _ => {
                self.refuse(Column::End, "this is no end of a span", "foot, head");
                None
            }
        }
    }

    fn span(&mut self) -> Option<&'a Span> {
        let spans: &'a [Span] = &self.with.onto.body.spans;
        let said = self.cell(Column::Span).to_owned();
        let plain = cell::plain(&said);
        if plain.is_empty() {
            self.refuse(Column::Span, "this cell is required", "a span of the list");
            return None;
        }
        let found = spans
            .iter()
            .find(|s| cell::plain(&s.id) == plain || cell::plain(&s.name) == plain);
        if found.is_none() {
            let near = meant(&said, spans.iter().map(|s| s.id.as_str()));
            let hint = near.map_or(String::new(), |near| format!("; did you mean {near}?"));
            let known: Vec<&str> = spans.iter().map(|s| s.id.as_str()).collect();
            let said = format!("this body style has no such span{hint}");
            self.refuse(Column::Span, said, known.join(", "));
        }
        found
    }

    fn station(&mut self, column: Column, span: Option<&Span>) -> Option<f64> {
        if self.cell(column).is_empty() {
            self.refuse(column, "this cell is required", "a figure in mm");
            return None;
        }
        let mm = self.figure(column, cell::length)?;
        let Some(span) = span else {
            return Some(mm);
        };
        let whole = span.line.length();
        if !(-OUTSIDE_MM..=whole + OUTSIDE_MM).contains(&mm) {
            let said = format!("outside the {}", span.name);
            self.refuse(column, said, format!("0 to its length, {whole:.0} mm"));
            return None;
        }
        Some(mm)
    }
}
