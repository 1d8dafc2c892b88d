//! A card's facts in words, each phrased once for every page.

use super::figures::{self, First, amount};
use crate::domain::body::{self, FittedBody};
use crate::domain::finding::{Finding, Place};
use crate::domain::frame::Point;
use crate::domain::review::Review;
use crate::domain::units::Rounding;
use crate::domain::vehicle::{Drive, Roof, Variant, Vehicle, WheelSide, Years};
use crate::sketch::figures::Range;
use time::{Date, OffsetDateTime};

/// `4 Mar 2026`.
pub fn day(date: Date) -> String {
    let month = date.month().to_string();
    format!("{} {} {}", date.day(), &month[..3], date.year())
}

/// `4 Mar 2026, 10:02 UTC`.
pub fn moment(at: OffsetDateTime) -> String {
    format!(
        "{}, {:02}:{:02} UTC",
        day(at.date()),
        at.hour(),
        at.minute()
    )
}

/// `2019–2023`, or one year.
pub fn years(years: Years) -> String {
    if years.first == years.last {
        years.first.to_string()
    } else {
        format!("{}–{}", years.first, years.last)
    }
}

/// `Corvel Tarn, 2019–2023`; what is unknown is left out, down to the style.
pub fn title(vehicle: &Vehicle) -> String {
    let names: Vec<&str> = [&vehicle.make, &vehicle.model]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    let name = if names.is_empty() {
        format!("Unnamed {}", style_name(vehicle))
    } else {
        names.join(" ")
    };
    match vehicle.years {
        Some(of) => format!("{name}, {}", years(of)),
        None => name,
    }
}

/// The body style's name in small letters, for the middle of a sentence.
pub fn style_name(vehicle: &Vehicle) -> &'static str {
    &body::style(vehicle.body_style).name
}

/// Body style, drive, wheel, roof, region; what is unknown says so.
pub fn variant_facts(vehicle: &Vehicle) -> Vec<String> {
    let or_unknown = |known: Option<String>, what: &str| known.unwrap_or(format!("{what} unknown"));
    vec![
        style_name(vehicle).to_owned(),
        or_unknown(vehicle.drive.map(|d| drive(d).to_owned()), "drive"),
        or_unknown(vehicle.wheel.map(|w| wheel(w).to_owned()), "wheel side"),
        or_unknown(vehicle.roof.map(|r| roof(r).to_owned()), "roof"),
        or_unknown(
            vehicle.region.as_ref().map(|r| format!("region {r}")),
            "region",
        ),
    ]
}

/// `2021, battery electric, wheel on the right`: what is known of a variant.
pub fn variant(variant: &Variant) -> String {
    let known = [
        variant.year.map(|y| y.to_string()),
        variant.drive.map(|d| drive(d).to_owned()),
        variant.wheel.map(|w| wheel(w).to_owned()),
        variant.roof.map(|r| roof(r).to_owned()),
        variant.region.as_ref().map(|r| format!("region {r}")),
    ];
    let known: Vec<String> = known.into_iter().flatten().collect();
    known.join(", ")
}

pub const fn drive(drive: Drive) -> &'static str {
    match drive {
        Drive::Petrol => "petrol",
        Drive::Diesel => "diesel",
        Drive::Hybrid => "hybrid",
        Drive::Battery => "battery electric",
        Drive::Gas => "gas",
        Drive::Hydrogen => "hydrogen",
    }
}

const fn wheel(wheel: WheelSide) -> &'static str {
    match wheel {
        WheelSide::Left => "wheel on the left",
        WheelSide::Right => "wheel on the right",
    }
}

const fn roof(roof: Roof) -> &'static str {
    match roof {
        Roof::Fixed => "fixed roof",
        Roof::Sunroof => "sunroof",
        Roof::Glass => "glass roof",
        Roof::Folding => "folding roof",
    }
}

/// `80–210 mm (3⅛–8⅜ in)`.
pub fn range(range: Range) -> String {
    figures::range(range)
}

/// Where something is, on a span or in the car, in words.
pub fn place(place: &Place, body: &FittedBody) -> String {
    match place {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => {
            let name = body.span(span).map_or(span.as_str(), |s| s.name.as_str());
            format!(
                "{name}, {} from the foot",
                range(Range::outward(*from_mm, *to_mm))
            )
        }
        Place::Points([a, b]) => between(*a, *b, body),
    }
}

/// The same in few words and mm alone: `roof rail, left 900–1150`.
pub fn place_short(place: &Place, body: &FittedBody) -> String {
    match place {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => {
            let name = body.span(span).map_or(span.as_str(), |s| s.name.as_str());
            let range = Range::outward(*from_mm, *to_mm);
            match figures::first() {
                First::Mm => format!("{name} {}", range.mm()),
                First::Inches => format!("{name} {}", figures::range(range)),
            }
        }
        Place::Points([a, b]) => between(*a, *b, body),
    }
}

/// In which part of the car something lies: `rear right`.
pub fn part_of_car(place: &Place, body: &FittedBody) -> String {
    match place {
        Place::OnSpan { span, .. } => body.span(span).map_or(span.clone(), |s| s.name.to_string()),
        Place::Points([a, b]) => part_around(a.towards(*b, 0.5), body),
    }
}

fn part_around(middle: Point, body: &FittedBody) -> String {
    let part = match middle.x / body.style.dimensions.wheelbase_mm {
        u if u < 0.25 => "front",
        u if u > 0.8 => "rear",
        _ => "middle",
    };
    let side = match middle.y {
        y if y < -150.0 => "left",
        y if y > 150.0 => "right",
        _ => "centre",
    };
    format!("{part} {side}")
}

/// Where a straight thing lies: in which part of the car, then as a tape finds
/// it, along, across and up.
fn between(a: Point, b: Point, body: &FittedBody) -> String {
    let middle = a.towards(b, 0.5);
    let part = part_around(middle, body);
    let ahead = |x: f64| if x < 0.0 { "ahead of" } else { "behind" };
    let off = |y: f64| if y < 0.0 { "left" } else { "right" };
    let along = if (a.x < 0.0) == (b.x < 0.0) {
        format!(
            "{}{} {} the front axle",
            between_figures(a.x.abs(), b.x.abs()),
            mm_word(),
            ahead(middle.x)
        )
    } else {
        let (x, y) = (amount(a.x.min(b.x).abs()), amount(a.x.max(b.x)));
        let mm = mm_word();
        format!("{x}{mm} ahead of to {y}{mm} behind the front axle")
    };
    let across = if a.y.abs().max(b.y.abs()) < 1.0 {
        "in the middle".to_owned()
    } else if (a.y < 0.0) == (b.y < 0.0) {
        format!(
            "{} {} of the middle",
            between_figures(a.y.abs(), b.y.abs()),
            off(middle.y)
        )
    } else {
        let (y, z) = (amount(a.y.min(b.y).abs()), amount(a.y.max(b.y)));
        format!("{y} left to {z} right of the middle")
    };
    format!(
        "{part}: {along}, {across}, {} up",
        between_figures(a.z, b.z)
    )
}

/// The unit of the first figures of a place; inches carry their own.
fn mm_word() -> &'static str {
    match figures::first() {
        First::Mm => " mm",
        First::Inches => "",
    }
}

/// `300–500`, lower first, or one figure.
fn between_figures(a: f64, b: f64) -> String {
    let (low, high) = (amount(a.min(b).round()), amount(a.max(b).round()));
    if low == high {
        low
    } else {
        format!("{}–{high}", low.trim_end_matches(" in"))
    }
}

/// A stretch of a span, in words: never printed narrower than it is, its end
/// as the span's own length is printed.
pub fn stretch(from_mm: f64, to_mm: f64, length_mm: f64) -> String {
    let to_rounds = if to_mm >= length_mm {
        Rounding::Nearest
    } else {
        Rounding::Up
    };
    range(Range {
        from_mm: from_mm.max(0.0),
        to_mm: to_mm.min(length_mm),
        from_rounds: Rounding::Down,
        to_rounds,
    })
}

/// `measured 4 Mar 2026 by R. Ash on yard 14, ±25 mm`.
pub fn evidence(finding: &Finding) -> String {
    let mut text = format!("{} {}", finding.source.word(), day(finding.observed_on));
    if let Some(by) = &finding.by {
        text.push_str(&format!(" by {by}"));
    }
    if let Some(car) = &finding.car {
        text.push_str(&format!(" on {car}"));
    }
    text.push_str(&format!(", ±{:.0} mm", finding.bound_mm()));
    text
}

/// The same without the bound, for a line that has little room.
pub fn evidence_short(finding: &Finding) -> String {
    let who = [&finding.by, &finding.car].into_iter().flatten();
    let who: Vec<&str> = who.map(String::as_str).collect();
    format!(
        "{} {} {}",
        finding.source.word(),
        day(finding.observed_on),
        who.join(", ")
    )
    .trim_end()
    .to_owned()
}

/// `left, right and top`.
pub fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Names of which some are a pair: `front door, left` and `front door, right`
/// become `front door, both sides`.
pub fn pairs(names: &[String]) -> Vec<String> {
    let other = |name: &str| {
        let left = name.strip_suffix(", left").map(|n| format!("{n}, right"));
        left.or_else(|| name.strip_suffix(", right").map(|n| format!("{n}, left")))
    };
    let paired = |name: &String| other(name).is_some_and(|o| names.contains(&o));
    names
        .iter()
        .filter(|n| !(paired(n) && n.ends_with(", right")))
        .map(|n| match n.strip_suffix(", left").filter(|_| paired(n)) {
            Some(stem) => format!("{stem}, both sides"),
            None => n.clone(),
        })
        .collect()
}

/// `1 car`, `3 cars`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// The first letter large, for the beginning of a sentence.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Whether an officer has looked a card over, as every page of it says; `overdue`:
/// whether that is due again.
pub fn review(review: &Review, overdue: bool) -> String {
    let Some(last) = &review.last else {
        return "not reviewed".to_owned();
    };
    let single_handed = match last.single_handed {
        true => ", single-handed",
        false => "",
    };
    let made = format!("reviewed {} by {}{single_handed}", last.at.date(), last.by);
    match (overdue, review.disputed) {
        (false, _) => made,
        (true, true) => format!("REVIEW OVERDUE, disputed since: bare counts for nothing ({made})"),
        (true, false) => format!("REVIEW OVERDUE: bare counts for nothing ({made})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::StyleId;

    fn unknown() -> Vehicle {
        Vehicle::of_style(StyleId::Sedan)
    }

    #[test]
    fn what_is_unknown_is_said_and_never_left_out() {
        let facts = variant_facts(&unknown());
        for unknown in [
            "drive unknown",
            "wheel side unknown",
            "roof unknown",
            "region unknown",
        ] {
            assert!(facts.iter().any(|f| f == unknown), "{unknown} in {facts:?}");
        }
    }

    #[test]
    fn a_place_in_the_car_is_told_as_a_tape_finds_it() {
        let body = body::fit(body::style(StyleId::Sedan), &Default::default()).unwrap();
        let told = |a: [f64; 3], b: [f64; 3]| place(&Place::Points([a.into(), b.into()]), &body);
        assert_eq!(
            told([3300.0, 400.0, 600.0], [3500.0, 450.2, 600.0]),
            "rear right: 3300–3500 mm behind the front axle, 400–450 right of the middle, 600 up"
        );
        assert_eq!(
            told([-100.0, -50.0, 500.0], [100.0, 60.0, 480.0]),
            "front centre: 100 mm ahead of to 100 mm behind the front axle, \
             50 left to 60 right of the middle, 480–500 up"
        );
    }

    #[test]
    fn a_stretch_ends_where_its_span_is_printed_to_end() {
        assert!(stretch(330.2, 1985.4, 1985.4).starts_with("330–1985 mm"));
        assert!(stretch(-20.0, 330.2, 1985.4).starts_with("0–331 mm"));
    }

    #[test]
    fn left_and_right_of_a_kind_are_named_once() {
        let names = [
            "windscreen",
            "front door, left",
            "front door, right",
            "quarter, right",
        ];
        let names: Vec<String> = names.iter().map(|s| (*s).to_owned()).collect();
        assert_eq!(
            pairs(&names),
            ["windscreen", "front door, both sides", "quarter, right"]
        );
    }

    #[test]
    fn lists_read_as_sentences() {
        let words = |w: &[&str]| list(&w.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!(words(&["a", "b", "c"]), "a, b and c");
        assert_eq!(words(&["a"]), "a");
        assert_eq!(count(1, "car", "cars"), "1 car");
        assert_eq!(count(0, "car", "cars"), "0 cars");
    }
}
