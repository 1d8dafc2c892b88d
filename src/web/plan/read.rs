//! From the address of a plan to what is asked. What is left out gets its
//! default; what cannot be read is said at its field and kept as typed.

use super::address::Address;
use crate::domain::body::BodyStyle;
use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::{Bag, Kind};
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::tool::{BLADE_HALF_WIDTH, FORCE};
use crate::domain::opening::{
    Answer, Ask, AskedTool, Care, Contact, Fired, Isolated, Isolation, Look, LookFound, OwnOrder,
    Reach, Resting, Trapped,
};
use crate::domain::units::Unit;
use crate::domain::zone::SpanZones;
use crate::web::typed::{Asked, Typed};
use crate::web::variant::variant_of;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

/// Tools the form has room for.
pub const TOOLS: std::ops::RangeInclusive<usize> = 1..=3;
/// Looks an address may carry.
const MOST_LOOKS: usize = 60;
/// Minutes ago that an isolation may have been done: a day.
const MOST_MINUTES: i64 = 24 * 60;
/// Characters of a reason to keep an order.
const LONGEST_REASON: usize = 400;

pub const SEAT: Asked<'static> = Asked::new("seat", "Seat");
pub const CARE: Asked<'static> = Asked::new("care", "Care");
const REACH: Asked<'static> = Asked::new("off", "Out of reach");

/// What was typed, with what is wrong, and the ask where nothing is.
pub fn read(
    address: &Address,
    style: &BodyStyle,
    spans: &[SpanZones],
    now: OffsetDateTime,
) -> (Typed, Option<Ask>) {
    let mut typed = Typed::sent(address.pairs().iter().cloned());
    let ask = ask(&mut typed, address, style, spans, now);
    let ask = ask.filter(|_| typed.is_valid());
    (typed, ask)
}

fn ask(
    typed: &mut Typed,
    address: &Address,
    style: &BodyStyle,
    spans: &[SpanZones],
    now: OffsetDateTime,
) -> Option<Ask> {
    let seats = seats(typed, address, style);
    let care = care(typed);
    let trapped = typed.word(Asked::new("trapped", "Trapped"), Trapped::from_word);
    let contact = words(
        typed,
        address,
        Asked::new("contact", "Held by"),
        Contact::from_word,
    );
    let hand = typed.word(Asked::new("hand", "A flat hand passes"), Answer::from_word);
    let resting = typed.word(Asked::new("resting", "The car lies on"), Resting::from_word);
    let resting = resting.unwrap_or(Resting::Wheels);
    let reach = reach(typed, address, resting);
    let mut ask = Ask::of(seats.first()?.clone(), care?);
    ask.seats = seats;
    ask.trapped = trapped.unwrap_or(ask.trapped);
    ask.contact = contact;
    ask.hand_passes = hand.unwrap_or(ask.hand_passes);
    ask.resting = resting;
    ask.reach = reach;
    for bag in Bag::ALL {
        let name = format!("fired-{bag}");
        if let Some(fired) = typed.word(Asked::new(&name, "Fired"), Fired::from_word) {
            ask.fired.insert(*bag, fired);
        }
    }
    for source in PowerSource::ALL {
        if let Some(done) = isolation(typed, *source, now) {
            ask.isolation.insert(*source, done);
        }
    }
    ask.tools = TOOLS.filter_map(|n| tool(typed, n)).collect();
    ask.looks = looks(typed, address, spans);
    ask.order = own_order(typed, address);
    ask.now = Some(now);
    match variant_of(address.pairs()) {
        Ok(variant) => ask.variant = variant,
        Err(errors) => {
            for error in errors {
                let name = error.field.to_string();
                typed.refuse(Asked::new(&name, "The car"), error.message.clone());
            }
        }
    }
    Some(ask)
}

fn seats(typed: &mut Typed, address: &Address, style: &BodyStyle) -> Vec<String> {
    let mut seats: Vec<String> = Vec::new();
    for id in address.all("seat") {
        if !style.seats.iter().any(|s| s.id == id) {
            let all: Vec<&str> = style.seats.iter().map(|s| s.id.as_str()).collect();
            let said = format!(
                "this car has no such seat: touch one, of {}",
                all.join(", ")
            );
            typed.refuse(SEAT, said);
        } else if !seats.iter().any(|s| s == id) {
            seats.push(id.to_owned());
        }
    }
    if seats.is_empty() {
        typed.refuse(SEAT, "touch the seat the patient is in");
    }
    seats
}

fn care(typed: &mut Typed) -> Option<Care> {
    let care = typed.word(CARE, Care::from_word);
    if care.is_none() {
        typed.refuse(CARE, "choose one of the three");
    }
    care
}

/// Every value of a name that may be given more than once.
fn words<T: PartialEq>(
    typed: &mut Typed,
    address: &Address,
    field: Asked<'_>,
    from_word: fn(&str) -> Option<T>,
) -> Vec<T> {
    let mut all = Vec::new();
    for word in address.all(field.name) {
        match from_word(word) {
            Some(value) if !all.contains(&value) => all.push(value),
            Some(_) => {}
            None => typed.refuse(field, "not one of the choices: choose from the list"),
        }
    }
    all
}

/// Every side that can be worked from as the car lies, less those named.
fn reach(typed: &mut Typed, address: &Address, resting: Resting) -> Vec<Reach> {
    let off = words(typed, address, REACH, Reach::from_word);
    let within = resting.reach().iter().copied();
    let within: Vec<Reach> = within.filter(|side| !off.contains(side)).collect();
    if within.is_empty() {
        typed.refuse(
            REACH,
            "no side is within reach: nothing can be planned until one is. Untick a side, or say again how the car lies",
        );
    }
    within
}

fn isolation(typed: &mut Typed, source: PowerSource, now: OffsetDateTime) -> Option<Isolation> {
    let (name, at_name) = (format!("iso-{source}"), format!("iso-{source}-at"));
    let state = typed.word(Asked::new(&name, "Isolated"), Isolated::from_word);
    let field = Asked::new(&at_name, "Isolated at");
    let text = typed.value(&at_name).to_owned();
    let at = if text.is_empty() {
        None
    } else {
        moment(typed, field, &text, now)
    };
    match (state, at) {
        (Some(Isolated::Yes) | None, Some(at)) => Some(Isolation {
            state: Isolated::Yes,
            at: Some(at),
        }),
        (Some(state), None) => Some(Isolation { state, at: None }),
        (Some(_), Some(_)) => {
            typed.refuse(
                field,
                "a time is only for what is done: choose yes, or clear the time",
            );
            None
        }
        (None, None) => None,
    }
}

/// A whole moment, as the address keeps it and “done now” writes it, or how many
/// minutes ago: nobody works out UTC beside a car. A clock time says nothing without
/// its zone; where the browser knows that, it sends the moment.
fn moment(
    typed: &mut Typed,
    field: Asked<'_>,
    text: &str,
    now: OffsetDateTime,
) -> Option<OffsetDateTime> {
    let whole = OffsetDateTime::parse(text, &Rfc3339).ok();
    match whole.or_else(|| minutes_ago(text, now)) {
        None => typed.refuse(
            field,
            format!(
                "no time: enter how many minutes ago, from 0 to {MOST_MINUTES}, or press “done now”"
            ),
        ),
        Some(at) if at > now => {
            typed.refuse(field, "has not come yet: enter how many minutes ago it was");
        }
        Some(at) => return Some(at),
    }
    None
}

/// `7`, `7 min` or `7 min ago` before now.
fn minutes_ago(text: &str, now: OffsetDateTime) -> Option<OffsetDateTime> {
    let text = text.trim().trim_end_matches("ago").trim_end();
    let number = text.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '.');
    let unit = &text[number.len()..];
    let minutes: i64 = number.trim().parse().ok()?;
    let known = matches!(unit, "" | "m" | "min" | "min." | "minute" | "minutes");
    (known && (0..=MOST_MINUTES).contains(&minutes)).then(|| now - time::Duration::minutes(minutes))
}

/// The address with every isolation at its moment: minutes ago would wander with
/// each look at the page.
pub fn with_moments(address: &Address, now: OffsetDateTime) -> Address {
    let mut kept = address.clone();
    for source in PowerSource::ALL {
        let name = format!("iso-{source}-at");
        let at = address.value(&name).and_then(|text| minutes_ago(text, now));
        if let Some(at) = at {
            kept = kept.with(&name, &moment_text(at));
        }
    }
    kept
}

/// A moment as an address has it, to the second.
pub fn moment_text(at: OffsetDateTime) -> String {
    let at = at.replace_nanosecond(0).unwrap_or(at);
    at.format(&Rfc3339).unwrap_or_default()
}

fn tool(typed: &mut Typed, n: usize) -> Option<AskedTool> {
    let own = |what: &str| format!("tool-{n}-{what}");
    let (name, kind, force, blade) = (own("name"), own("kind"), own("force"), own("blade"));
    let named = typed.text(Asked::new(&name, "Tool"), 80);
    let kind_given = typed.word(Asked::new(&kind, "What the tool is"), ToolKind::from_word);
    let force_field = Asked::new(&force, "Rated force");
    let newtons = typed
        .value(&force)
        .parse::<f64>()
        .is_ok_and(|f| f > FORCE.most);
    let force_kn = if newtons {
        let said = "too strong for any tool: enter kN, not N; 500 000 N is 500 kN";
        typed.refuse(force_field, said);
        None
    } else {
        typed.number(force_field, FORCE.least..=FORCE.most, FORCE.unit)
    };
    let blade = Asked::new(&blade, "Half of the blade’s width");
    let blade_half_width_mm = typed.length_within(
        blade,
        BLADE_HALF_WIDTH.least..=BLADE_HALF_WIDTH.most,
        Unit::Mm,
    );
    let said = named.is_some() || force_kn.is_some() || blade_half_width_mm.is_some();
    if kind_given.is_none() {
        if said {
            typed.refuse(Asked::new(&kind, "What the tool is"), "choose what it is");
        }
        return None;
    }
    let kind = kind_given?;
    Some(AskedTool {
        name: named.unwrap_or_else(|| kind.to_string()),
        kind,
        force_kn,
        blade_half_width_mm,
    })
}

fn looks(typed: &mut Typed, address: &Address, spans: &[SpanZones]) -> Vec<Look> {
    let field = Asked::new("look", "Looks");
    let mut looks = Vec::new();
    for text in address.all("look") {
        let look = look_of(text);
        let span = look
            .as_ref()
            .and_then(|l| spans.iter().find(|s| s.id == l.span));
        match (look, span) {
            (Some(look), Some(span)) if fits(&look, span) => looks.push(look),
            (Some(look), Some(span)) => typed.refuse(
                field,
                format!(
                    "{} to {} mm is not on the {}, which is {:.0} mm long: look again there",
                    look.from_mm, look.to_mm, span.name, span.length_mm
                ),
            ),
            (Some(look), None) => {
                typed.refuse(field, format!("this car has no span {:?}", look.span));
            }
            _ => typed.refuse(
                field,
                "not readable: a look reads span:from:to:found, for example b-pillar.left:380:520:bare",
            ),
        }
    }
    if looks.len() > MOST_LOOKS {
        typed.refuse(
            field,
            format!("more than {MOST_LOOKS} looks: take some away"),
        );
    }
    looks
}

fn fits(look: &Look, span: &SpanZones) -> bool {
    0.0 <= look.from_mm && look.from_mm < look.to_mm && look.to_mm <= span.length_mm + 0.5
}

/// `b-pillar.left:380:520:bare`
fn look_of(text: &str) -> Option<Look> {
    let mut parts = text.split(':');
    let (span, from, to, found) = (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
    let mm = |text: &str| text.parse::<f64>().ok().filter(|mm| mm.is_finite());
    parts.next().is_none().then_some(())?;
    Some(Look {
        span: span.to_owned(),
        from_mm: mm(from)?,
        to_mm: mm(to)?,
        found: match found {
            "bare" => LookFound::Bare,
            kind => LookFound::Part(Kind::from_word(kind)?),
        },
    })
}

/// A look as its address has it.
pub fn look_text(look: &Look) -> String {
    let found = match look.found {
        LookFound::Bare => "bare",
        LookFound::Part(kind) => kind.word(),
    };
    let mm = |value: f64| (value * 10.0).round() / 10.0;
    format!(
        "{}:{}:{}:{found}",
        look.span,
        mm(look.from_mm),
        mm(look.to_mm)
    )
}

/// The steps of the open opening in a member's own order.
fn own_order(typed: &mut Typed, address: &Address) -> Option<OwnOrder> {
    let steps = address.value("order")?;
    // Without its opening it is of nothing.
    let open = address.value("open")?;
    let (opening, side) = opening_of(open);
    let kept = address.pairs().iter().filter_map(|(name, reason)| {
        let rule = name.strip_prefix("keep-")?;
        Some((rule.to_owned(), reason.clone()))
    });
    let kept: std::collections::BTreeMap<String, String> = kept.collect();
    for (rule, reason) in &kept {
        if reason.chars().count() > LONGEST_REASON {
            let name = format!("keep-{rule}");
            let said = format!("too long: enter at most {LONGEST_REASON} characters");
            typed.refuse(Asked::new(&name, "Reason to keep the order"), said);
        }
    }
    Some(OwnOrder {
        opening,
        side,
        steps: steps.split(',').map(str::to_owned).collect(),
        kept,
    })
}

/// `side-removal.left` as its id and side.
pub fn opening_of(open: &str) -> (String, Option<Side>) {
    let sided = [(".left", Side::Left), (".right", Side::Right)];
    let found = sided
        .iter()
        .find_map(|(end, side)| Some((open.strip_suffix(end)?, *side)));
    match found {
        Some((id, side)) => (id.to_owned(), Some(side)),
        None => (open.to_owned(), None),
    }
}
