//! True parts, findings drawn from the stated bounds: how often does metal that
//! a part occupies lie outside the no-cut, with no clearance to help?
//!
//! The model is the design's own: each end of a finding errs evenly within ±a,
//! the car in front differs from the car looked at by a normal σ_b. Every body
//! style, every span long enough that no error leaves it, every kind that keeps
//! a blade off; one span at a time, so that no other keep-out can cover for a
//! miss. `tests/run` prints both figures.

use crate::support::cards::{empty, finding};
use pillarbook::domain::body::{FittedBody, Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{ComponentReport, Finding, Gas, Place, Report, Source, Steel};
use pillarbook::domain::geometry::Interval;
use pillarbook::domain::kind::Kind;
use pillarbook::domain::policy::Policy;
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::zones_on;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

const COMPONENTS: u32 = 10_000;
/// The longest part, mm.
const LONGEST_MM: f64 = 250.0;

/// How findings go wrong beyond their bounds.
#[derive(Clone, Copy)]
struct Gross {
    chance: f64,
    least_cars: u8,
    /// How far from either end of its span a part lies, so that no error leaves it.
    inside_mm: f64,
}

/// A body with one span.
struct Bench {
    body: FittedBody,
    card: Card,
    span: String,
    length: f64,
}

/// Every span with room for a part.
fn benches(room_mm: f64) -> Vec<Bench> {
    let of_style = |id: &StyleId| {
        let mut policy = Policy::default();
        for kind in kinds() {
            policy.clearance_mm.insert(kind, 0.0);
        }
        let card = empty(Vehicle::of_style(*id), Measured::default(), policy);
        let whole = fit(style(*id), &card.measured).unwrap();
        let long = whole.spans.iter().filter(|s| s.line.length() >= room_mm);
        long.map(|span| {
            let mut body = whole.clone();
            body.spans.to_mut().retain(|s| s.id == span.id);
            Bench {
                body,
                card: card.clone(),
                span: span.id.to_string(),
                length: span.line.length(),
            }
        })
        .collect::<Vec<_>>()
    };
    StyleId::ALL.iter().flat_map(of_style).collect()
}

/// Kinds that keep a blade off.
fn kinds() -> impl Iterator<Item = Kind> {
    Kind::ALL
        .iter()
        .copied()
        .filter(|k| k.default_clearance_mm().is_some())
}

/// A standard normal draw (Box and Muller, 1958).
fn normal(rng: &mut StdRng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// What a member finds of a part: its kind and radius right, its ends as well as
/// they can be told.
fn seen(
    rng: &mut StdRng,
    (span, kind, radius_mm): (&str, Kind, f64),
    truth: Interval,
    car: u8,
    gross: Gross,
) -> Finding {
    let source = Source::ALL[rng.random_range(0..Source::ALL.len())];
    let bound = source.bound_mm();
    let off = if rng.random::<f64>() < gross.chance {
        rng.random_range(200.0..500.0) * if rng.random() { 1.0 } else { -1.0 }
    } else {
        0.0
    };
    let from_mm = truth.from + off + rng.random_range(-bound..bound);
    let to_mm = truth.to + off + rng.random_range(-bound..bound);
    let report = Report::Component(ComponentReport {
        component: "part".into(),
        kind,
        place: Place::OnSpan {
            span: span.to_owned(),
            from_mm,
            to_mm: to_mm.max(from_mm),
        },
        radius_mm: Some(radius_mm),
        bag: None,
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    });
    finding(format!("f{car}"), source, car, 1 + car, report)
}

/// Share of components of which some occupied metal lies outside the no-cut, and
/// over how many spans.
fn missed(seed: u64, gross: Gross) -> (f64, usize) {
    let mut rng = StdRng::seed_from_u64(seed);
    let kinds: Vec<Kind> = kinds().collect();
    let mut benches = benches(2.0 * gross.inside_mm + LONGEST_MM);
    let mut misses = 0;
    for _ in 0..COMPONENTS {
        let bench = rng.random_range(0..benches.len());
        let bench = &mut benches[bench];
        let part = (
            bench.span.as_str(),
            kinds[rng.random_range(0..kinds.len())],
            rng.random_range(5.0..60.0),
        );
        let length = rng.random_range(0.0..LONGEST_MM);
        let last = bench.length - gross.inside_mm - length;
        let from = rng.random_range(gross.inside_mm..=last);
        let nominal = Interval::new(from, from + length);
        let cars = rng.random_range(gross.least_cars..=4);
        bench.card.findings = (0..cars)
            .map(|car| seen(&mut rng, part, nominal, car, gross))
            .collect();
        let sigma = bench.card.policy.car_to_car_mm;
        let truth = Interval::new(
            nominal.from + sigma * normal(&mut rng) - part.2,
            nominal.to + sigma * normal(&mut rng) + part.2,
        );
        let found = zones_on(&bench.body, &bench.card, &Variant::default()).unwrap();
        let no_cut = super::no_cut(&found.spans[0]);
        misses += u32::from(!no_cut.iter().any(|i| i.covers(truth)));
    }
    (f64::from(misses) / f64::from(COMPONENTS), benches.len())
}

/// Says it here, and keeps it for who runs all checks.
fn tell(name: &str, said: &str) {
    println!("simulation: {said}");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/reference");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(
        folder.join(format!("simulation-{name}.txt")),
        format!("simulation: {said}\n"),
    )
    .unwrap();
}

#[test]
fn occupied_metal_is_outside_the_no_cut_for_at_most_one_component_in_two_hundred() {
    let within = Gross {
        chance: 0.0,
        least_cars: 1,
        inside_mm: 320.0,
    };
    let (share, spans) = missed(1, within);
    let percent = 100.0 * share;
    tell(
        "within",
        &format!(
            "findings within their bounds, clearance 0, {spans} spans: {percent:.2} % of {COMPONENTS} missed (at most 0.5)"
        ),
    );
    assert!(share <= 0.005, "{share}");
}

#[test]
fn with_gross_errors_and_two_cars_it_is_for_at_most_one_in_a_hundred() {
    let gross = Gross {
        chance: 0.05,
        least_cars: 2,
        inside_mm: 800.0,
    };
    let (share, spans) = missed(2, gross);
    let percent = 100.0 * share;
    tell(
        "gross",
        &format!(
            "5 % gross errors of 200 to 500 mm, two to four cars, {spans} spans: {percent:.2} % of {COMPONENTS} missed (at most 1)"
        ),
    );
    assert!(share <= 0.01, "{share}");
}
