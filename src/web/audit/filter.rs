//! Which lines of the audit an address asks for.

use crate::store::{ACTIONS, AuditFilter, CardId, MemberId};
use crate::web::typed::{Asked, Typed};
use time::macros::format_description;
use time::{Date, Duration, OffsetDateTime};

const CARD: Asked<'static> = Asked::new("card", "Card");
const MEMBER: Asked<'static> = Asked::new("member", "Who");
const ACTION: Asked<'static> = Asked::new("action", "What");
const FROM: Asked<'static> = Asked::new("from", "From");
const TO: Asked<'static> = Asked::new("to", "To");
/// The last line already read.
pub const AFTER: Asked<'static> = Asked::new("after", "Older than");

/// What a card's id may be, for a message.
pub const CARD_ID: &str = "the id of a card of this department";
/// What a member's id may be, for a message.
pub const MEMBER_ID: &str = "the id of somebody of this department";

/// Reads the filter of an address, or says beside each field what is wrong with
/// it. Days are UTC's, both ends included.
pub fn asked_filter(typed: &mut Typed) -> AuditFilter {
    let card = id(typed, CARD, CARD_ID).map(CardId::new);
    let member = id(typed, MEMBER, MEMBER_ID).map(MemberId::new);
    let action = action(typed);
    let (from, to) = (day(typed, FROM), day(typed, TO));
    if let (Some(first), Some(last)) = (from, to)
        && first > last
    {
        typed.refuse(
            TO,
            format!("is before the first day: enter {first} or later"),
        );
    }
    AuditFilter {
        card,
        member,
        action,
        from: from.map(begins),
        before: to.map(|day| begins(day) + Duration::days(1)),
    }
}

/// One of the actions there are.
fn action(typed: &mut Typed) -> Option<String> {
    let given = typed.value(ACTION.name).trim().to_owned();
    let known = ACTIONS.iter().any(|(known, _)| *known == given);
    if !given.is_empty() && !known {
        let all: Vec<&str> = ACTIONS.iter().map(|(known, _)| *known).collect();
        typed.refuse(
            ACTION,
            format!("is no action here: enter one of {}", all.join(", ")),
        );
    }
    known.then_some(given)
}

/// The moment a day begins.
fn begins(day: Date) -> OffsetDateTime {
    day.midnight().assume_utc()
}

/// An id of ours; that there is such a thing is the store's to say.
pub fn id(typed: &mut Typed, field: Asked<'_>, accepted: &str) -> Option<String> {
    let given = typed.value(field.name).trim().to_owned();
    if !given.is_empty() && uuid::Uuid::try_parse(&given).is_err() {
        typed.refuse(field, format!("is no id: enter {accepted}"));
        return None;
    }
    (!given.is_empty()).then_some(given)
}

/// A day of any year a clock has shown; `None` where none is typed.
fn day(typed: &mut Typed, field: Asked<'_>) -> Option<Date> {
    let given = typed.value(field.name).trim();
    if given.is_empty() {
        return None;
    }
    let day = Date::parse(given, format_description!("[year]-[month]-[day]")).ok();
    let day = day.filter(|day| (1970..=9998).contains(&day.year()));
    if day.is_none() {
        let said = "is no day here: enter year-month-day from 1970 on, for example 2026-03-04";
        typed.refuse(field, said);
    }
    day
}
