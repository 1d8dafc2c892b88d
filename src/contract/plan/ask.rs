//! Reading an ask: every field at fault is named; what is left out gets its
//! default.

use super::bounded;
use super::tools::read_asked;
use crate::contract::card_file::read_variant;
use crate::contract::reader::{Field, Limits};
use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::{Bag, Kind};
use crate::domain::opening::{
    Answer, Ask, Care, Contact, Fired, Isolated, Isolation, Look, LookFound, OwnOrder, Reach,
    Resting, Trapped,
};
use std::collections::BTreeMap;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

const FIELDS: &[&str] = &[
    "seats",
    "care",
    "trapped",
    "contact",
    "hand_passes",
    "resting",
    "reach",
    "fired",
    "isolation",
    "variant",
    "tools",
    "looks",
    "order",
    "now",
];

/// Characters of an id or a name.
const NAME: usize = 80;
/// Characters of an officer's reason.
const REASON: usize = 400;
/// A station along a span; whether it lies on the span is seen when it is fitted.
const STATION: Limits = Limits::new(0.0, 10_000.0, "mm");

/// Reads an ask. Of a field that was refused the value is a default; the refusals
/// are in the remarks.
pub(super) fn read_ask(ask: &Field<'_>) -> Option<Ask> {
    if !ask.object(FIELDS) {
        return None;
    }
    let resting = word(ask, "resting", Resting::ALL, Resting::word).unwrap_or(Resting::Wheels);
    let care = ask.get("care").required("own-way-out, gentle, now");
    let care = care.word(Care::ALL, Care::word);
    let seats = ask.get("seats").required("a list of seat ids");
    let seats = bounded(&seats)
        .iter()
        .filter_map(|item| item.clone().required_text(NAME))
        .collect();
    let reach = ask.get("reach");
    Some(Ask {
        seats,
        trapped: word(ask, "trapped", Trapped::ALL, Trapped::word).unwrap_or(Trapped::BySpace),
        contact: words(&ask.get("contact"), Contact::ALL, Contact::word),
        hand_passes: word(ask, "hand_passes", Answer::ALL, Answer::word).unwrap_or(Answer::Unknown),
        reach: if reach.is_given() {
            words(&reach, Reach::ALL, Reach::word)
        } else {
            resting.reach().to_vec()
        },
        resting,
        fired: keyed(&ask.get("fired"), Bag::ALL, Bag::word, |f| {
            f.word(Fired::ALL, Fired::word)
        }),
        isolation: keyed(
            &ask.get("isolation"),
            PowerSource::ALL,
            PowerSource::word,
            |f| read_isolation(&f),
        ),
        variant: read_variant_if_given(ask),
        tools: read_asked(&ask.get("tools")),
        looks: bounded(&ask.get("looks"))
            .iter()
            .filter_map(read_look)
            .collect(),
        order: read_order(&ask.get("order")),
        now: read_time(&ask.get("now")),
        // Last, so that every other field has been looked at for errors.
        care: care?,
    })
}

fn read_variant_if_given(ask: &Field<'_>) -> crate::domain::vehicle::Variant {
    let variant = ask.get("variant");
    if variant.is_given() {
        read_variant(&variant)
    } else {
        crate::domain::vehicle::Variant::default()
    }
}

fn word<T: Copy>(ask: &Field<'_>, name: &str, all: &[T], word: fn(T) -> &'static str) -> Option<T> {
    ask.get(name).word(all, word)
}

fn words<T: Copy>(list: &Field<'_>, all: &[T], word: fn(T) -> &'static str) -> Vec<T> {
    let items = bounded(list);
    let accepted = || all.iter().map(|w| word(*w)).collect::<Vec<_>>().join(", ");
    let read = |item: &Field<'_>| item.clone().required(&accepted()).word(all, word);
    items.iter().filter_map(read).collect()
}

/// An object whose names are words.
fn keyed<K: Copy + Ord, V>(
    object: &Field<'_>,
    all: &[K],
    word: fn(K) -> &'static str,
    read: impl Fn(Field<'_>) -> Option<V>,
) -> BTreeMap<K, V> {
    let mut found = BTreeMap::new();
    for (name, field) in object.entries() {
        match all.iter().find(|k| word(**k) == name) {
            Some(key) => {
                if let Some(value) = read(field) {
                    found.insert(*key, value);
                }
            }
            None => {
                let known: Vec<&str> = all.iter().map(|k| word(*k)).collect();
                field.refuse(format!("`{name}` is not known here"), known.join(", "));
            }
        }
    }
    found
}

fn read_isolation(isolation: &Field<'_>) -> Option<Isolation> {
    if !isolation.object(&["state", "at"]) {
        return None;
    }
    let state = isolation
        .get("state")
        .required("yes, no, unknown, not-fitted");
    let state = state.word(Isolated::ALL, Isolated::word);
    let at = read_time(&isolation.get("at"));
    Some(Isolation { state: state?, at })
}

fn read_time(field: &Field<'_>) -> Option<OffsetDateTime> {
    let value = field.value()?;
    let read = value
        .as_str()
        .and_then(|text| OffsetDateTime::parse(text, &Rfc3339).ok());
    let known = read.filter(|t| (2000..=2100).contains(&t.year()));
    if known.is_none() {
        field.refuse(
            "this is not a time",
            "a time as in RFC 3339, for example 2026-03-05T10:02:00Z, years 2000 to 2100",
        );
    }
    known
}

fn read_look(item: &Field<'_>) -> Option<Look> {
    let item = item
        .clone()
        .required("an object with span, from_mm, to_mm, found");
    if !item.object(&["span", "from_mm", "to_mm", "found"]) {
        return None;
    }
    let station = |name: &str| {
        let field = item
            .get(name)
            .required("a station in mm from the span's foot");
        field.number(&STATION)
    };
    let span = item.get("span").required_text(NAME);
    let (from_mm, to_mm) = (station("from_mm"), station("to_mm"));
    let found = read_found(
        &item
            .get("found")
            .required("bare, or the kind of what is there"),
    );
    Some(Look {
        span: span?,
        from_mm: from_mm?,
        to_mm: to_mm?,
        found: found?,
    })
}

/// `bare`, or the kind of something that keeps a blade off.
fn read_found(found: &Field<'_>) -> Option<LookFound> {
    let value = found.value()?;
    if value == "bare" {
        return Some(LookFound::Bare);
    }
    let kind = value.as_str().and_then(Kind::from_word);
    match kind.filter(|k| k.default_clearance_mm().is_some()) {
        Some(kind) => Some(LookFound::Part(kind)),
        None => {
            let kinds = Kind::ALL
                .iter()
                .filter(|k| k.default_clearance_mm().is_some());
            let words: Vec<&str> = std::iter::once("bare")
                .chain(kinds.map(|k| k.word()))
                .collect();
            found.refuse("this is nothing a look can find", words.join(", "));
            None
        }
    }
}

fn read_order(order: &Field<'_>) -> Option<OwnOrder> {
    if !order.is_given() || !order.object(&["opening", "side", "steps", "kept"]) {
        return None;
    }
    let opening = order.get("opening").required_text(NAME);
    let side = order
        .get("side")
        .word(&[Side::Left, Side::Right], |side| match side {
            Side::Right => "right",
            Side::Left | Side::Centre => "left",
        });
    let steps = order.get("steps").required("every step's id, once");
    let steps = bounded(&steps)
        .iter()
        .filter_map(|item| item.clone().required_text(NAME))
        .collect();
    let kept = order.get("kept").entries().into_iter();
    let kept = kept
        .filter_map(|(rule, reason)| Some((rule.to_owned(), reason.required_text(REASON)?)))
        .collect();
    Some(OwnOrder {
        opening: opening?,
        side,
        steps,
        kept,
    })
}
