//! Where a row's finding lies: a span by id or name, two stations from either
//! end, each in any unit; or two points in the car's frame.

use super::cell;
use super::column::Column;
use super::row::Reading;
use crate::contract::reader::meant;
use crate::domain::body::Span;
use serde_json::{Value, json};

/// How far outside its span a recorded station may lie, mm.
const OUTSIDE_MM: f64 = 100.0;
/// A coordinate that a point of a car may have, mm.
const COORDINATE_MM: std::ops::RangeInclusive<f64> = -10_000.0..=10_000.0;

impl<'a> Reading<'a> {
    /// The place as the card file writes it.
    pub(super) fn place(&mut self, is_bare: bool) -> Option<Value> {
        let given = |column: &Column| !self.cell(*column).is_empty();
        let first = Column::POINTS.as_flattened().iter().copied().find(given);
        if let Some(first) = first {
            return self.points(first, is_bare);
        }
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

    /// Two points, both whole, and nothing of a span beside them.
    fn points(&mut self, first: Column, is_bare: bool) -> Option<Value> {
        if is_bare {
            let said = "what is bare lies on a span, not between two points";
            self.refuse(first, said, "blank; Span, From mm and To mm filled in");
            return None;
        }
        let on_span = [Column::Span, Column::End, Column::From, Column::To];
        let beside = on_span.into_iter().find(|c| !self.cell(*c).is_empty());
        if let Some(column) = beside {
            let said = "a part lies on a span or between two points, not both";
            self.refuse(column, said, "blank where the points are filled in");
        }
        let mut coordinate = |column| self.coordinate(column);
        let ends = Column::POINTS.map(|end| end.map(&mut coordinate));
        let [[Some(a), Some(b), Some(c)], [Some(d), Some(e), Some(f)]] = ends else {
            return None;
        };
        let points = json!({"points": [[a, b, c], [d, e, f]]});
        beside.is_none().then_some(points)
    }

    fn coordinate(&mut self, column: Column) -> Option<f64> {
        const ACCEPTED: &str = "-10000 to 10000 mm";
        if self.cell(column).is_empty() {
            let said = "two points take x, y and z of both ends";
            self.refuse(column, said, ACCEPTED);
            return None;
        }
        let mm = self.figure(column, cell::length)?;
        if !COORDINATE_MM.contains(&mm) {
            self.refuse(column, "that is far off the car", ACCEPTED);
            return None;
        }
        Some(mm)
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
            let accepted = "a span of the list; or x, y and z of two points";
            self.refuse(Column::Span, "this cell is required", accepted);
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
