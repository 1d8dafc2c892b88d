//! Buttons of a plan that change its address: a look added or taken away, power
//! made dead now, a step moved. Each leads to the new address; what cannot be
//! read stays in its form, with what is wrong.

use super::address::Address;
use super::read::{look_text, moment_text, with_moments};
use crate::domain::kind::Kind;
use crate::domain::opening::{Look, LookFound};
use crate::web::figures::first;
use crate::web::reading::Reading;
use crate::web::typed::{Asked, Typed};
use time::OffsetDateTime;

const FROM: Asked<'static> = Asked::new("look_from", "From");
const TO: Asked<'static> = Asked::new("look_to", "To");
const KIND: Asked<'static> = Asked::new("look_kind", "What is there");

/// What came of a button.
pub enum Acted {
    /// None was pressed.
    Nothing,
    /// Go on at this address.
    Go(String),
    /// A look that cannot be read, as typed.
    Wrong(Typed),
}

/// Does what a button asks for.
pub fn act(
    reading: &Reading,
    address: &Address,
    asked: &[(String, String)],
    now: OffsetDateTime,
) -> Acted {
    let value = |name: &str| {
        let mut own = asked.iter().filter(|(n, v)| n == name && !v.is_empty());
        own.next_back().map(|(_, v)| v.as_str())
    };
    if let Some(word) = value("done") {
        return Acted::Go(done_now(address, word, now));
    }
    if let Some(look) = value("drop") {
        return Acted::Go(address.less("look", look).href() + "#looks");
    }
    if let (Some(steps), Some(to)) = (value("steps"), value("move")) {
        return Acted::Go(moved(address, steps, to));
    }
    if value("look_span").is_some() {
        return looked(reading, address, asked);
    }
    Acted::Nothing
}

fn done_now(address: &Address, word: &str, now: OffsetDateTime) -> String {
    let done = with_moments(address, now)
        .with(&format!("iso-{word}"), "yes")
        .with(&format!("iso-{word}-at"), &moment_text(now));
    done.href() + "#restraints"
}

/// `part-b-foot:up` swaps a step with the one before it.
fn moved(address: &Address, steps: &str, to: &str) -> String {
    let mut order: Vec<&str> = steps.split(',').collect();
    let (id, way) = to.rsplit_once(':').unwrap_or((to, ""));
    if let Some(at) = order.iter().position(|s| *s == id) {
        match way {
            "up" if at > 0 => order.swap(at, at - 1),
            "down" if at + 1 < order.len() => order.swap(at, at + 1),
            _ => {}
        }
    }
    format!("{}#s-{id}", address.with("order", &order.join(",")).href())
}

fn looked(reading: &Reading, address: &Address, asked: &[(String, String)]) -> Acted {
    let mut typed = Typed::sent(asked.iter().cloned());
    let span = typed.value("look_span").to_owned();
    let Some(length) = reading.body.span(&span).map(|s| s.line.length()) else {
        typed.refuse(FROM, "this car has no such pillar, rail or sill");
        return Acted::Wrong(typed);
    };
    let from = station(&mut typed, FROM, length);
    let to = station(&mut typed, TO, length);
    let found = found(&mut typed);
    if let (Some(from), Some(to)) = (from, to)
        && from >= to
    {
        typed.refuse(
            TO,
            "not beyond where it begins: enter the end nearer to the head",
        );
    }
    match (from, to, found) {
        (Some(from_mm), Some(to_mm), Some(found)) if typed.is_valid() => {
            let look = Look {
                span,
                from_mm,
                to_mm,
                found,
            };
            let new = address.clone().and("look", &look_text(&look));
            let step = typed.value("look_step");
            Acted::Go(format!("{}#s-{step}", new.href()))
        }
        _ => Acted::Wrong(typed),
    }
}

/// A station from the foot, mm, typed in any unit; from the head where said so.
fn station(typed: &mut Typed, field: Asked<'_>, length_mm: f64) -> Option<f64> {
    let mm = typed.required_length(field, first().unit())?;
    if !(0.0..=length_mm + 0.5).contains(&mm) {
        let said = format!("not on it: enter 0 to {length_mm:.0} mm");
        typed.refuse(field, said);
        return None;
    }
    let mm = mm.min(length_mm);
    Some(match typed.value("look_end") {
        "head" => length_mm - mm,
        _ => mm,
    })
}

fn found(typed: &mut Typed) -> Option<LookFound> {
    if typed.chosen("look_found", "bare") {
        return Some(LookFound::Bare);
    }
    let kind = typed.word(KIND, Kind::from_word);
    if kind.is_none() {
        typed.refuse(KIND, "choose what is there");
    }
    kind.map(LookFound::Part)
}
