//! Invented cards to draw: one full of everything, and random ones.

use pillarbook::domain::body::{FittedBody, SpanGroup, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::frame::Point;
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::{Variant, Vehicle, WheelSide};
use pillarbook::domain::zone::{Zones, zones_on};
use pillarbook::sketch::{Look, Options};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

pub struct Sample {
    pub zones: Zones,
    pub body: FittedBody,
}

pub fn options(look: Look) -> Options<'static> {
    Options {
        look,
        title: Some("Corvel Tarn, 2019–2023"),
        date: Some(time::Date::from_calendar_date(2026, time::Month::March, 4).unwrap()),
        revision: Some(7),
        links: Some("#{span}"),
        cautions: true,
        ..Options::default()
    }
}

/// A card of a style with these findings.
pub fn resolve(id: StyleId, findings: Vec<Finding>) -> Sample {
    let vehicle = Vehicle {
        wheel: Some(WheelSide::Left),
        ..Vehicle::of_style(id)
    };
    let card = Card {
        findings,
        ..Card::unrecorded(vehicle)
    };
    let body = fit(style(id), &card.measured).unwrap();
    let zones = zones_on(&body, &card, &Variant::default()).unwrap();
    Sample { zones, body }
}

fn finding(id: String, source: Source, status: Status, report: Report) -> Finding {
    Finding {
        car: Some(format!("yard {id}")),
        id,
        report,
        source,
        within_mm: None,
        observed_on: time::Date::from_calendar_date(2026, time::Month::March, 4).unwrap(),
        by: None,
        observed: Variant::default(),
        status,
        note: None,
        supersedes: None,
        reason: None,
    }
}

pub fn component(
    id: &str,
    of: &str,
    kind: Kind,
    place: Place,
    source: Source,
    status: Status,
) -> Finding {
    let report = ComponentReport {
        component: of.into(),
        kind,
        place,
        radius_mm: None,
        bag: None,
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    };
    finding(id.into(), source, status, Report::Component(report))
}

pub fn bare(id: &str, span: &str, from_mm: f64, to_mm: f64) -> Finding {
    let report = BareReport {
        span: span.into(),
        from_mm,
        to_mm,
        depth: Depth::Through,
        resolved: None,
    };
    finding(
        id.into(),
        Source::Measured,
        Status::Accepted,
        Report::Bare(report),
    )
}

pub fn on(span: &str, from_mm: f64, to_mm: f64) -> Place {
    Place::OnSpan {
        span: span.into(),
        from_mm,
        to_mm,
    }
}

/// Something of everything: a zone on several cars, one on one, one disputed,
/// one offered, hard steel, bare metal, metal nobody has looked at.
pub fn full(id: StyleId) -> Sample {
    use Source::{Measured, Told};
    use Status::{Accepted, Offered};
    let spans = &style(id).spans;
    let mut findings = Vec::new();
    for span in spans {
        let long = span.line.length();
        let at = |a: f64, b: f64| on(&span.id, a * long, b * long);
        let name = &span.id;
        let mut add = |n: &str, of: &str, kind, place, source, status| {
            let of = format!("{of}-{name}");
            findings.push(component(
                &format!("{n}-{name}"),
                &of,
                kind,
                place,
                source,
                status,
            ));
        };
        match (span.group, name.as_str()) {
            (SpanGroup::Pillar, n) if n.starts_with('b') => {
                add(
                    "1",
                    "pretensioner",
                    Kind::Pretensioner,
                    at(0.13, 0.2),
                    Measured,
                    Accepted,
                );
                add(
                    "2",
                    "pretensioner",
                    Kind::Pretensioner,
                    at(0.125, 0.21),
                    Measured,
                    Accepted,
                );
                add(
                    "3",
                    "steel",
                    Kind::Reinforcement,
                    at(0.4, 0.9),
                    Measured,
                    Accepted,
                );
                findings.push(bare(&format!("4-{name}"), name, 0.38 * long, 0.8 * long));
            }
            (SpanGroup::Pillar, n) if n.starts_with('c') => {
                add("1", "strut", Kind::GasStrut, at(0.5, 0.75), Told, Accepted);
            }
            (SpanGroup::Pillar, n) if n.starts_with('a') => {
                findings.push(bare(&format!("4-{name}"), name, 0.05 * long, 0.6 * long));
            }
            (SpanGroup::RoofRail, _) => {
                add(
                    "1",
                    "inflator",
                    Kind::Inflator,
                    at(0.3, 0.45),
                    Measured,
                    Accepted,
                );
                add(
                    "2",
                    "inflator",
                    Kind::Inflator,
                    at(0.6, 0.75),
                    Measured,
                    Accepted,
                );
            }
            (SpanGroup::Rocker, _) => {
                add(
                    "1",
                    "steel",
                    Kind::Reinforcement,
                    at(0.1, 0.7),
                    Measured,
                    Accepted,
                );
                add("2", "cable", Kind::HvCable, at(0.7, 0.8), Measured, Offered);
                findings.push(bare(&format!("4-{name}"), name, 0.1 * long, 0.5 * long));
            }
            _ => {}
        }
    }
    resolve(id, findings)
}

/// A card with up to `most` components anywhere on and in the car.
pub fn random(seed: u64, most: usize) -> Sample {
    let mut rng = StdRng::seed_from_u64(seed);
    let id = StyleId::ALL[rng.random_range(0..StyleId::ALL.len())];
    let spans = &style(id).spans;
    let mut findings = Vec::new();
    for n in 0..rng.random_range(0..=most) {
        let span = &spans[rng.random_range(0..spans.len())];
        let long = span.line.length();
        let from = rng.random_range(0.0..0.9) * long;
        let to = (from + rng.random_range(10.0..400.0)).min(long);
        if rng.random_bool(0.25) {
            findings.push(bare(&format!("f{n}"), &span.id, from, to));
            continue;
        }
        let place = if rng.random_bool(0.8) {
            on(&span.id, from, to)
        } else {
            let p = span.line.point_at(from);
            let q = Point::new(p.x + rng.random_range(-300.0..300.0), p.y * 0.5, p.z);
            Place::Points([p, q])
        };
        let kind = Kind::ALL[rng.random_range(0..Kind::ALL.len())];
        let source = Source::ALL[rng.random_range(0..Source::ALL.len())];
        let status = if rng.random_bool(0.2) {
            Status::Offered
        } else {
            Status::Accepted
        };
        let of = format!("c{}", rng.random_range(0..=most));
        findings.push(component(
            &format!("f{n}"),
            &of,
            kind,
            place,
            source,
            status,
        ));
    }
    resolve(id, findings)
}
