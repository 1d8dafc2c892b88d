//! What a plan was asked, said back: every answer, and every default that stood
//! in for one; the looks at the car, each with a way to take it away.

use super::read::look_text;
use super::step::span_name;
use super::words;
use crate::domain::opening::{Ask, AskedTool, Fired, Look, LookFound};
use crate::domain::units::Rounding;
use crate::sketch::figures::Range;
use crate::web::figures::both;
use crate::web::reading::Reading;
use crate::web::say;
use form_urlencoded::Serializer;

/// One look at the car in front of the crew.
pub struct LookRow {
    /// As the address has it, to take it away.
    pub text: String,
    pub said: String,
    /// The finding form, filled in from it; only on a card of one's own.
    pub offer: Option<String>,
}

/// Every answer in words, in the order of the form.
pub fn echo(reading: &Reading, ask: &Ask) -> Vec<(&'static str, String)> {
    let held: Vec<String> = ask
        .contact
        .iter()
        .map(|c| words::contact(*c).to_owned())
        .collect();
    let reach: Vec<String> = ask.reach.iter().map(|r| r.word().to_owned()).collect();
    let none = |text: String, nothing: &str| match text.as_str() {
        "" => nothing.to_owned(),
        _ => text,
    };
    let tools: Vec<String> = ask.tools.iter().map(tool).collect();
    vec![
        ("Trapped", words::trapped(ask.trapped).to_owned()),
        ("Held by", none(say::list(&held), "nothing named")),
        (
            "Flat hand passes",
            words::answer(ask.hand_passes).to_owned(),
        ),
        ("Lies on", words::resting(ask.resting).to_owned()),
        ("Reached from", say::list(&reach)),
        ("Variant", variant(reading)),
        ("Bags", none(fired(ask), "which have fired: unknown")),
        ("Tools", none(tools.join("; "), "none named: fit unknown")),
    ]
}

fn variant(reading: &Reading) -> String {
    let facts = say::variant_facts(reading.vehicle()).into_iter().skip(1);
    let mut said = facts.collect::<Vec<_>>().join(", ");
    if reading.vehicle().drive.is_none() {
        said.push_str("; planned as battery drive");
    }
    said
}

fn fired(ask: &Ask) -> String {
    let known = ask.fired.iter().filter(|(_, f)| **f != Fired::Unknown);
    let known: Vec<String> = known
        .map(|(bag, f)| format!("{} {}", words::bag(*bag), words::fired(*f)))
        .collect();
    if known.is_empty() {
        return String::new();
    }
    format!("{}; the others unknown", known.join(", "))
}

fn tool(tool: &AskedTool) -> String {
    let force = match tool.force_kn {
        Some(kn) => format!("{kn:.0} kN"),
        None => "force unknown".to_owned(),
    };
    let blade = match tool.blade_half_width_mm {
        Some(mm) => format!(", blade half-width {}", both(mm, Rounding::Nearest)),
        None => String::new(),
    };
    format!("{} ({}), {force}{blade}", tool.name, tool.kind.name())
}

/// The looks of an ask.
pub fn looks(reading: &Reading, ask: &Ask, own: bool) -> Vec<LookRow> {
    let rows = ask.looks.iter().map(|look| row(reading, look, own));
    rows.collect()
}

fn row(reading: &Reading, look: &Look, own: bool) -> LookRow {
    let (range, found) = match look.found {
        LookFound::Bare => (Range::inward(look.from_mm, look.to_mm), "bare"),
        LookFound::Part(kind) => (Range::outward(look.from_mm, look.to_mm), kind.name()),
    };
    LookRow {
        text: look_text(look),
        said: format!(
            "{}, {} from the foot: {found}",
            say::sentence(&span_name(reading, &look.span)),
            say::range(range)
        ),
        offer: own.then(|| offer(reading, look)),
    }
}

/// The finding form with the look's place.
fn offer(reading: &Reading, look: &Look) -> String {
    let mm = |value: f64| format!("{value} mm");
    let mut query = Serializer::new(String::new());
    query
        .append_pair("span", &look.span)
        .append_pair("from", &mm(look.from_mm))
        .append_pair("to", &mm(look.to_mm));
    match look.found {
        LookFound::Bare => query.append_pair("what", "bare"),
        LookFound::Part(kind) => query
            .append_pair("what", "part")
            .append_pair("kind", kind.word()),
    };
    let query = query.finish();
    format!("{}/findings/new?{query}", reading.subject.href())
}
