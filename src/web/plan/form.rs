//! What is asked before a plan: three touches, and under them everything that
//! has a default.

use super::address::Address;
use super::read::TOOLS;
use super::words;
use crate::domain::body::Seat;
use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::Bag;
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::{Answer, Care, Contact, Fired, Isolated, Reach, Resting, Trapped};
use crate::domain::vehicle::WheelSide;
use crate::web::form::{Choice, Field};
use crate::web::reading::Reading;
use crate::web::typed::Typed;
use askama::Template;

/// `/cards/{id}/plan` before anything, or when something cannot be read.
#[derive(Template)]
#[template(path = "plan/ask.html")]
pub struct AskPage {
    pub title: String,
    pub href: String,
    pub page: String,
    pub stand: String,
    pub generic: bool,
    pub typed: Typed,
    pub rows: Vec<SeatRow>,
    pub more: MoreChoices,
    /// An own order is kept, though not asked here.
    pub carried: Vec<Field>,
    pub looks: Vec<String>,
}

/// The seats of one row, from left to right; a place without a seat is `None`.
pub struct SeatRow {
    pub places: [Option<SeatChoice>; 3],
}

pub struct SeatChoice {
    pub id: String,
    pub name: String,
    pub picked: bool,
    pub wheel: bool,
}

/// Everything under the three touches.
pub struct MoreChoices {
    pub cares: Vec<(Choice, &'static str)>,
    pub trapped: Vec<Choice>,
    pub contacts: Vec<Tick>,
    pub also: Vec<Tick>,
    pub hands: Vec<Choice>,
    pub resting: Vec<Choice>,
    pub off: Vec<Tick>,
    pub sources: Vec<SourceRow>,
    pub bags: Vec<(Field, String)>,
    pub fired: Vec<Choice>,
    pub tools: Vec<usize>,
    pub kinds: Vec<Choice>,
    pub open: Open,
}

/// A box to tick, of several under one name.
pub struct Tick {
    pub value: String,
    pub label: String,
    pub ticked: bool,
}

/// One line of the isolation list.
pub struct SourceRow {
    pub word: &'static str,
    pub name: &'static str,
    pub state: Field,
    pub at: Field,
}

/// Which folds stand open: those with an answer or a fault.
pub struct Open {
    pub patient: bool,
    pub car: bool,
    pub power: bool,
    pub bags: bool,
    pub tools: bool,
}

impl AskPage {
    pub fn of(reading: &Reading, address: &Address, typed: Typed) -> Self {
        let kept = ["open", "order"];
        let carried = address.pairs().iter();
        let carried = carried.filter(|(n, _)| kept.contains(&n.as_str()) || n.starts_with("keep-"));
        Self {
            title: reading.title(),
            href: reading.subject.href(),
            page: address.page().to_owned(),
            stand: words::stand(reading),
            generic: reading.is_generic(),
            rows: seat_rows(reading, address),
            more: MoreChoices::of(reading, address, &typed),
            carried: carried.map(|(name, _)| typed.field(name)).collect(),
            looks: address.all("look").map(str::to_owned).collect(),
            typed,
        }
    }
}

fn seat_rows(reading: &Reading, address: &Address) -> Vec<SeatRow> {
    let style = reading.body.style;
    let last = style.seats.iter().map(|s| s.row).max().unwrap_or(1);
    let first = address.all("seat").next();
    let wheel_side = match reading.vehicle().wheel {
        Some(WheelSide::Left) => Some(Side::Left),
        Some(WheelSide::Right) => Some(Side::Right),
        None => None,
    };
    let choice = |seat: &Seat| SeatChoice {
        id: seat.id.clone(),
        name: seat.name.clone(),
        picked: first == Some(seat.id.as_str()),
        wheel: seat.row == 1 && Some(seat.side) == wheel_side,
    };
    let row = |n: u32| SeatRow {
        places: [Side::Left, Side::Centre, Side::Right].map(|side| {
            let mut seats = style.seats.iter();
            seats.find(|s| s.row == n && s.side == side).map(choice)
        }),
    };
    (1..=last).map(row).collect()
}

impl MoreChoices {
    fn of(reading: &Reading, address: &Address, typed: &Typed) -> Self {
        let tick = |name: &str, value: &str, label: String| Tick {
            value: value.to_owned(),
            label,
            ticked: address.all(name).any(|v| v == value),
        };
        let seats = reading.body.style.seats.iter();
        let first = address.all("seat").next();
        let also = seats
            .filter(|s| Some(s.id.as_str()) != first)
            .map(|s| tick("seat", &s.id, s.name.clone()));
        Self {
            cares: Care::ALL
                .iter()
                .map(|c| {
                    (
                        Choice::new(c.word(), words::care(*c)),
                        words::care_means(*c),
                    )
                })
                .collect(),
            trapped: choices(Trapped::ALL, |t| t.word(), words::trapped),
            contacts: Contact::ALL
                .iter()
                .map(|c| tick("contact", c.word(), words::contact(*c).to_owned()))
                .collect(),
            also: also.collect(),
            hands: choices(Answer::ALL, |a| a.word(), words::answer),
            resting: choices(Resting::ALL, |r| r.word(), words::resting),
            off: Reach::ALL
                .iter()
                .map(|r| tick("off", r.word(), r.word().to_owned()))
                .collect(),
            sources: PowerSource::ALL
                .iter()
                .map(|s| SourceRow::of(*s, typed))
                .collect(),
            bags: Bag::ALL
                .iter()
                .map(|b| (typed.field(&format!("fired-{b}")), words::bag(*b)))
                .collect(),
            fired: choices(&[Fired::No, Fired::Once], |f| f.word(), words::fired),
            tools: TOOLS.collect(),
            kinds: choices(ToolKind::ALL, |k| k.word(), ToolKind::name),
            open: Open::of(typed, address),
        }
    }
}

impl SourceRow {
    fn of(source: PowerSource, typed: &Typed) -> Self {
        Self {
            word: source.word(),
            name: words::source(source),
            state: typed.field(&format!("iso-{source}")),
            at: typed.field(&format!("iso-{source}-at")),
        }
    }

    /// What a source can be.
    pub fn states() -> Vec<Choice> {
        let known = Isolated::ALL.iter().filter(|i| **i != Isolated::Unknown);
        known
            .map(|i| Choice::new(i.word(), words::isolated(*i)))
            .collect()
    }
}

impl Open {
    fn of(typed: &Typed, address: &Address) -> Self {
        let any = |names: &[&str]| {
            let given = |name: &&str| !typed.value(name).is_empty() || typed.fault(name).is_some();
            names.iter().any(given)
        };
        let family = |start: &str| typed.beginning(start).next().is_some();
        Self {
            patient: any(&["trapped", "contact", "hand"]) || address.all("seat").count() > 1,
            car: any(&["resting", "off", "year", "drive", "wheel", "roof", "region"]),
            power: family("iso-"),
            bags: family("fired-"),
            tools: family("tool-"),
        }
    }
}

fn choices<T: Copy>(
    all: &[T],
    word: impl Fn(T) -> &'static str,
    name: impl Fn(T) -> &'static str,
) -> Vec<Choice> {
    all.iter()
        .map(|v| Choice::new(word(*v), name(*v)))
        .collect()
}
