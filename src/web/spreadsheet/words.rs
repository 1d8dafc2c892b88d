//! The words that a table takes, as the page lists them.

use crate::contract::table::Column;
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::{Depth, Report, Source};
use crate::domain::kind::{Bag, Kind};
use crate::domain::vehicle::{Drive, Roof, WheelSide};

/// The words of one column, each with what it means; empty where any text or
/// figure goes.
pub struct WordList {
    pub column: &'static str,
    pub meaning: &'static str,
    pub words: Vec<(String, String)>,
}

impl WordList {
    /// Of every column, in the template's order.
    pub fn all(card: &Card, body: &FittedBody) -> Vec<Self> {
        let list = |column: &Column| Self {
            column: column.word(),
            meaning: column.meaning(),
            words: words(*column, card, body),
        };
        Column::ALL.iter().map(list).collect()
    }
}

fn words(column: Column, card: &Card, body: &FittedBody) -> Vec<(String, String)> {
    match column {
        Column::Kind => of(Kind::ALL, Kind::word, Kind::name),
        Column::Span => {
            let named =
                |span: &crate::domain::body::Span| (span.id.to_string(), span.name.to_string());
            body.spans.iter().map(named).collect()
        }
        Column::Source => of(Source::ALL, Source::word, Source::meaning),
        Column::Depth => of(Depth::ALL, Depth::word, plain),
        Column::Bag => of(Bag::ALL, Bag::word, plain),
        Column::Seat => {
            let seats = body.style.seats.iter();
            seats.map(|seat| (seat.id.clone(), String::new())).collect()
        }
        Column::Part => parts(card),
        Column::Drive => of(Drive::ALL, Drive::word, plain),
        Column::Wheel => of(WheelSide::ALL, WheelSide::word, plain),
        Column::Roof => of(Roof::ALL, Roof::word, plain),
        _ => Vec::new(),
    }
}

/// The parts on the card, each once.
fn parts(card: &Card) -> Vec<(String, String)> {
    let mut parts: Vec<(String, String)> = Vec::new();
    for finding in &card.findings {
        if let Report::Component(report) = &finding.report
            && !parts.iter().any(|(id, _)| *id == report.component)
        {
            parts.push((report.component.clone(), report.kind.name().to_owned()));
        }
    }
    parts
}

fn of<T: Copy>(
    all: &[T],
    word: fn(T) -> &'static str,
    name: fn(T) -> &'static str,
) -> Vec<(String, String)> {
    let pair = |w: &T| {
        let (word, name) = (word(*w), name(*w));
        let name = if name == word { "" } else { name };
        (word.to_owned(), name.to_owned())
    };
    all.iter().map(pair).collect()
}

/// A word that says what it means.
fn plain<T>(_: T) -> &'static str {
    ""
}
