//! Answers of an ask that cannot all be so, or that this car does not have. A plan
//! refuses them all at once, so that nobody corrects an ask error by error.

use super::ask::{Ask, Care, Isolated, Reach, Resting, Trapped};
use crate::domain::body::FittedBody;
use crate::domain::card::PowerSource;
use std::collections::BTreeSet;
use time::Duration;

/// One step to a field of the ask.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum To {
    Field(String),
    Item(usize),
}

/// An answer that cannot be so.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Contradiction {
    #[error("no seat is named; a plan is for a patient on a seat")]
    NoSeat { known: Vec<String> },
    #[error("this body style has no seat `{seat}`")]
    UnknownSeat {
        index: usize,
        seat: String,
        known: Vec<String>,
    },
    #[error("the seat `{seat}` is named twice")]
    SeatTwice { index: usize, seat: String },
    #[error("a car on its {side} side cannot be worked from the {side}")]
    ReachOnTheGround { index: usize, side: &'static str },
    #[error("nobody can work from anywhere; at least one side within reach is needed")]
    NoReach { resting: Resting },
    #[error("a pinned patient cannot get out unaided")]
    PinnedByOwnWay,
    #[error("`{what}` is said to be done after `now`")]
    IsolatedAheadOfNow { what: PowerSource },
    #[error("`{what}` has a time though it is not said to be done")]
    TimeOfNothing { what: PowerSource },
    #[error("this body style has no span `{span}`")]
    UnknownSpan {
        index: usize,
        span: String,
        known: Vec<String>,
    },
    #[error("{station_mm} mm is off the {span}, which is {length_mm:.0} mm long")]
    LookOffSpan {
        index: usize,
        end: &'static str,
        span: String,
        station_mm: f64,
        length_mm: f64,
    },
    #[error("a look reaches from {from_mm} mm to {to_mm} mm: its ends are swapped or equal")]
    LookEnds {
        index: usize,
        from_mm: f64,
        to_mm: f64,
    },
}

impl Contradiction {
    /// The field of the ask at fault.
    pub fn field(&self) -> Vec<To> {
        let name = |n: &str| To::Field(n.to_owned());
        match self {
            Self::NoSeat { .. } => vec![name("seats")],
            Self::UnknownSeat { index, .. } | Self::SeatTwice { index, .. } => {
                vec![name("seats"), To::Item(*index)]
            }
            Self::ReachOnTheGround { index, .. } => vec![name("reach"), To::Item(*index)],
            Self::NoReach { .. } => vec![name("reach")],
            Self::PinnedByOwnWay => vec![name("care")],
            Self::IsolatedAheadOfNow { what } | Self::TimeOfNothing { what } => {
                vec![name("isolation"), name(what.word()), name("at")]
            }
            Self::UnknownSpan { index, .. } => look(*index, "span"),
            Self::LookOffSpan { index, end, .. } => look(*index, end),
            Self::LookEnds { index, .. } => look(*index, "to_mm"),
        }
    }

    /// What would be accepted.
    pub fn accepted(&self) -> String {
        match self {
            Self::NoSeat { known } | Self::UnknownSeat { known, .. } => known.join(", "),
            Self::SeatTwice { .. } => "each seat once".to_owned(),
            Self::ReachOnTheGround { .. } => "the sides that do not lie on the ground".to_owned(),
            Self::NoReach { resting } => {
                let words: Vec<&str> = resting.reach().iter().map(|r| r.word()).collect();
                words.join(", ")
            }
            Self::PinnedByOwnWay => "gentle or now; or another answer to `trapped`".to_owned(),
            Self::IsolatedAheadOfNow { .. } => "a time not after `now`".to_owned(),
            Self::TimeOfNothing { .. } => "no time, or the state `yes`".to_owned(),
            Self::UnknownSpan { known, .. } => known.join(", "),
            Self::LookOffSpan { length_mm, .. } => {
                format!("a station from 0 to {length_mm:.0} mm, from the span's foot")
            }
            Self::LookEnds { .. } => "from_mm below to_mm, both from the span's foot".to_owned(),
        }
    }
}

fn look(index: usize, field: &str) -> Vec<To> {
    let field = To::Field(field.to_owned());
    vec![To::Field("looks".to_owned()), To::Item(index), field]
}

/// Every answer of an ask that cannot be so on this car.
pub fn contradictions(ask: &Ask, body: &FittedBody) -> Vec<Contradiction> {
    let mut found = seats(ask, body);
    found.extend(reach(ask));
    if ask.care == Care::OwnWayOut && ask.trapped == Trapped::Pinned {
        found.push(Contradiction::PinnedByOwnWay);
    }
    found.extend(times(ask));
    found.extend(looks(ask, body));
    found
}

fn seats(ask: &Ask, body: &FittedBody) -> Vec<Contradiction> {
    let style = body.style;
    let known = || style.seats.iter().map(|s| s.id.to_string()).collect();
    if ask.seats.is_empty() {
        return vec![Contradiction::NoSeat { known: known() }];
    }
    let mut seen = BTreeSet::new();
    let one = |(index, seat): (usize, &String)| {
        let seat = seat.clone();
        if !style.seats.iter().any(|s| *s.id == *seat) {
            let known = known();
            return Some(Contradiction::UnknownSeat { index, seat, known });
        }
        (!seen.insert(seat.clone())).then_some(Contradiction::SeatTwice { index, seat })
    };
    ask.seats.iter().enumerate().filter_map(one).collect()
}

fn reach(ask: &Ask) -> Vec<Contradiction> {
    let (ground, side) = match ask.resting {
        Resting::Left => (Some(Reach::Left), "left"),
        Resting::Right => (Some(Reach::Right), "right"),
        Resting::Wheels | Resting::Roof => (None, ""),
    };
    if ask.reach.is_empty() {
        let resting = ask.resting;
        return vec![Contradiction::NoReach { resting }];
    }
    let on_ground = ask
        .reach
        .iter()
        .enumerate()
        .filter(|(_, r)| Some(**r) == ground);
    on_ground
        .map(|(index, _)| Contradiction::ReachOnTheGround { index, side })
        .collect()
}

fn times(ask: &Ask) -> Vec<Contradiction> {
    // Clocks of two phones differ a little.
    let slack = Duration::seconds(60);
    let one = |(what, isolation): (&PowerSource, &super::ask::Isolation)| {
        let at = isolation.at?;
        let what = *what;
        if isolation.state != Isolated::Yes {
            return Some(Contradiction::TimeOfNothing { what });
        }
        let ahead = ask.now.is_some_and(|now| at > now + slack);
        ahead.then_some(Contradiction::IsolatedAheadOfNow { what })
    };
    ask.isolation.iter().filter_map(one).collect()
}

fn looks(ask: &Ask, body: &FittedBody) -> Vec<Contradiction> {
    let mut found = Vec::new();
    for (index, look) in ask.looks.iter().enumerate() {
        let Some(span) = body.span(&look.span) else {
            let known = body.spans.iter().map(|s| s.id.to_string()).collect();
            let span = look.span.clone();
            found.push(Contradiction::UnknownSpan { index, span, known });
            continue;
        };
        let length_mm = span.line.length();
        for (end, station_mm) in [("from_mm", look.from_mm), ("to_mm", look.to_mm)] {
            // The rounded length of a span may pass its head by half a hundredth.
            if !(0.0..=length_mm + 0.01).contains(&station_mm) {
                let span = span.name.to_string();
                found.push(Contradiction::LookOffSpan {
                    index,
                    end,
                    span,
                    station_mm,
                    length_mm,
                });
            }
        }
        if look.from_mm >= look.to_mm {
            found.push(Contradiction::LookEnds {
                index,
                from_mm: look.from_mm,
                to_mm: look.to_mm,
            });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::{Measured, StyleId, fit, style};
    use crate::domain::opening::ask::{Isolation, Look, LookFound};
    use time::macros::datetime;

    fn of(change: impl Fn(&mut Ask)) -> Vec<Contradiction> {
        let body = fit(style(StyleId::Sedan), &Measured::default()).expect("a template");
        let mut ask = Ask::of("front-left", Care::Gentle);
        change(&mut ask);
        contradictions(&ask, &body)
    }

    #[test]
    fn an_ask_with_nothing_but_a_seat_and_care_stands() {
        assert_eq!(of(|_| ()), []);
    }

    #[test]
    fn seats_are_the_cars_own_and_each_named_once() {
        let unknown = of(|a| a.seats = vec!["row-9".into()]);
        assert!(matches!(
            unknown[..],
            [Contradiction::UnknownSeat { index: 0, .. }]
        ));
        assert!(unknown[0].accepted().contains("rear-middle"));
        let twice = of(|a| a.seats = vec!["front-left".into(), "front-left".into()]);
        assert!(matches!(
            twice[..],
            [Contradiction::SeatTwice { index: 1, .. }]
        ));
        assert!(matches!(
            of(|a| a.seats.clear())[..],
            [Contradiction::NoSeat { .. }]
        ));
    }

    #[test]
    fn the_side_a_car_lies_on_is_out_of_reach() {
        let found = of(|a| (a.resting, a.reach) = (Resting::Left, Reach::ALL.to_vec()));
        assert!(matches!(
            found[..],
            [Contradiction::ReachOnTheGround {
                index: 0,
                side: "left"
            }]
        ));
        assert!(matches!(
            of(|a| a.reach.clear())[..],
            [Contradiction::NoReach { .. }]
        ));
    }

    #[test]
    fn nobody_pinned_gets_out_unaided() {
        let found = of(|a| (a.care, a.trapped) = (Care::OwnWayOut, Trapped::Pinned));
        assert_eq!(found, [Contradiction::PinnedByOwnWay]);
    }

    #[test]
    fn nothing_is_isolated_after_now_or_without_being_done() {
        let at = Some(datetime!(2026-03-05 10:02:00 UTC));
        let with = |state, now| {
            of(move |a| {
                a.now = Some(now);
                a.isolation
                    .insert(PowerSource::Main12v, Isolation { state, at });
            })
        };
        assert_eq!(with(Isolated::Yes, datetime!(2026-03-05 10:06:00 UTC)), []);
        assert!(matches!(
            with(Isolated::Yes, datetime!(2026-03-05 09:00:00 UTC))[..],
            [Contradiction::IsolatedAheadOfNow { .. }]
        ));
        assert!(matches!(
            with(Isolated::No, datetime!(2026-03-05 10:06:00 UTC))[..],
            [Contradiction::TimeOfNothing { .. }]
        ));
    }

    #[test]
    fn a_look_lies_on_its_span_foot_end_first() {
        let with = |span: &str, from_mm, to_mm| {
            let look = Look {
                span: span.into(),
                from_mm,
                to_mm,
                found: LookFound::Bare,
            };
            of(move |a| a.looks = vec![look.clone()])
        };
        assert_eq!(with("b-pillar.left", 380.0, 520.0), []);
        assert!(matches!(
            with("b-pillar.left", 520.0, 380.0)[..],
            [Contradiction::LookEnds { .. }]
        ));
        assert!(matches!(
            with("b-pillar.left", 380.0, 5200.0)[..],
            [Contradiction::LookOffSpan { .. }]
        ));
        assert!(matches!(
            with("b-pillar.left", f64::NAN, 520.0)[..],
            [Contradiction::LookOffSpan { .. }]
        ));
        assert!(matches!(
            with("q-pillar.left", 0.0, 1.0)[..],
            [Contradiction::UnknownSpan { .. }]
        ));
    }
}
