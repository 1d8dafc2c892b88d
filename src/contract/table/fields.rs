//! The cells of a row as fields of a finding, one by one: words, texts, figures.

use super::cell;
use super::column::Column;
use super::row::Reading;
use crate::domain::finding::{Depth, Source};
use crate::domain::kind::{Bag, Kind};
use crate::domain::vehicle::{Drive, Roof, WheelSide};
use serde_json::{Map, Value, json};

/// Thickness across that a part may have, mm.
const ACROSS_MM: std::ops::RangeInclusive<f64> = 1.0..=1_000.0;

/// The fields that have a value.
fn given(fields: impl IntoIterator<Item = (&'static str, Option<Value>)>) -> Map<String, Value> {
    let given = |(name, value): (&str, Option<Value>)| Some((name.to_owned(), value?));
    fields.into_iter().filter_map(given).collect()
}

impl Reading<'_> {
    /// Every field that the row fills but its report, place and part.
    pub(super) fn fields(&mut self) -> Map<String, Value> {
        let mut all: Vec<(&str, Option<Value>)> = self.words().into();
        all.extend(self.texts());
        all.extend(self.figures());
        let observed = given(self.observed());
        let mut fields = given(all);
        fields.insert("observed".to_owned(), Value::Object(observed));
        fields
    }

    fn words(&mut self) -> [(&'static str, Option<Value>); 5] {
        use Column::{Bag as WhichBag, Depth as HowDeep, Source as Learnt};
        [
            (
                "kind",
                self.word(Column::Kind, Kind::ALL, Kind::word, Kind::name),
            ),
            (
                "source",
                self.word(Learnt, Source::ALL, Source::word, Source::word),
            ),
            (
                "depth",
                self.word(HowDeep, Depth::ALL, Depth::word, Depth::word),
            ),
            ("bag", self.word(WhichBag, Bag::ALL, Bag::word, Bag::word)),
            ("belt_seat", self.seat()),
        ]
    }

    fn texts(&self) -> [(&'static str, Option<Value>); 5] {
        [
            ("observed_on", self.text(Column::Day)),
            ("by", self.text(Column::By)),
            ("car", self.text(Column::Car)),
            ("gas", self.text(Column::Gas)),
            ("note", self.text(Column::Note)),
        ]
    }

    fn figures(&mut self) -> [(&'static str, Option<Value>); 8] {
        [
            ("radius_mm", self.radius()),
            ("within_mm", self.length(Column::Within)),
            ("uts_mpa", self.number(Column::Strength)),
            ("thickness_mm", self.length(Column::Sheet)),
            ("layers", self.number(Column::Layers)),
            ("perimeter_mm", self.length(Column::Round)),
            ("pressure_mpa", self.number(Column::Pressure)),
            ("volume_cm3", self.number(Column::Volume)),
        ]
    }

    /// The variant of the car looked at.
    fn observed(&mut self) -> [(&'static str, Option<Value>); 5] {
        let wheels = (WheelSide::ALL, WheelSide::word as fn(WheelSide) -> _);
        [
            ("year", self.number(Column::Year)),
            (
                "drive",
                self.word(Column::Drive, Drive::ALL, Drive::word, Drive::word),
            ),
            (
                "wheel",
                self.word(Column::Wheel, wheels.0, wheels.1, wheels.1),
            ),
            (
                "roof",
                self.word(Column::Roof, Roof::ALL, Roof::word, Roof::word),
            ),
            ("region", self.text(Column::Region)),
        ]
    }

    fn text(&self, column: Column) -> Option<Value> {
        let cell = self.cell(column);
        (!cell.is_empty()).then(|| json!(cell))
    }

    fn word<T: Copy>(
        &self,
        column: Column,
        all: &[T],
        word: fn(T) -> &'static str,
        name: fn(T) -> &'static str,
    ) -> Option<Value> {
        let cell = self.cell(column);
        (!cell.is_empty()).then(|| json!(cell::word(cell, all, word, name)))
    }

    fn seat(&mut self) -> Option<Value> {
        let said = cell::plain(self.cell(Column::Seat));
        if said.is_empty() {
            return None;
        }
        let seats = &self.with.onto.body.style.seats;
        let seat = seats.iter().find(|s| cell::plain(&s.id) == said);
        if seat.is_none() {
            let known: Vec<&str> = seats.iter().map(|s| s.id.as_str()).collect();
            self.refuse(
                Column::Seat,
                "this body style has no such seat",
                known.join(", "),
            );
        }
        seat.map(|seat| json!(seat.id))
    }

    fn number(&mut self, column: Column) -> Option<Value> {
        self.figure(column, cell::number)
            .map(|number| json!(number))
    }

    fn length(&mut self, column: Column) -> Option<Value> {
        self.figure(column, cell::length).map(|mm| json!(mm))
    }

    /// Half of the thickness across.
    fn radius(&mut self) -> Option<Value> {
        let across = self.figure(Column::Across, cell::length)?;
        if !ACROSS_MM.contains(&across) {
            let accepted = format!("{} to {} mm, or blank", ACROSS_MM.start(), ACROSS_MM.end());
            self.refuse(Column::Across, "no part of a car is that thick", accepted);
        }
        Some(json!(across / 2.0))
    }
}
