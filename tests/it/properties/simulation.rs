//! True parts, findings drawn from the stated bounds: how often does metal that
//! a part occupies lie outside the no-cut, with no clearance to help?
//!
//! The model is the design's own: each end of a finding errs evenly within ±a,
//! the car in front differs from the car looked at by a normal σ_b. Run on one
//! span, so that no other keep-out can cover for a miss.

use crate::support::cards::{empty, finding};
use pillarbook::domain::body::{Measured, StyleId, fit, style};
use pillarbook::domain::finding::{ComponentReport, Finding, Gas, Place, Report, Source, Steel};
use pillarbook::domain::geometry::Interval;
use pillarbook::domain::kind::Kind;
use pillarbook::domain::policy::Policy;
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::zones_on;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

const COMPONENTS: u32 = 10_000;

/// How findings go wrong beyond their bounds.
#[derive(Clone, Copy)]
struct Gross {
    chance: f64,
    least_cars: u8,
}

/// A standard normal draw (Box and Muller, 1958).
fn normal(rng: &mut StdRng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

fn seen(rng: &mut StdRng, truth: Interval, car: u8, gross: Gross) -> Finding {
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
        kind: Kind::Inflator,
        place: Place::OnSpan {
            span: "rocker.left".into(),
            from_mm,
            to_mm: to_mm.max(from_mm),
        },
        radius_mm: Some(20.0),
        bag: None,
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    });
    finding(format!("f{car}"), source, car, 1 + car, report)
}

/// Share of components of which some occupied metal lies outside the no-cut.
fn missed(seed: u64, gross: Gross) -> f64 {
    let mut rng = StdRng::seed_from_u64(seed);
    let mut policy = Policy::default();
    policy.clearance_mm.insert(Kind::Inflator, 0.0);
    let vehicle = Vehicle::of_style(StyleId::CargoVan);
    let mut card = empty(vehicle, Measured::default(), policy);
    let mut body = fit(style(StyleId::CargoVan), &card.measured).unwrap();
    body.spans.to_mut().retain(|s| s.id == "rocker.left");
    let length = body.spans[0].line.length();
    let mut misses = 0;
    for _ in 0..COMPONENTS {
        let from = rng.random_range(0.45..0.5) * length;
        let nominal = Interval::new(from, from + rng.random_range(100.0..250.0));
        let cars = rng.random_range(gross.least_cars..=4);
        card.findings = (0..cars)
            .map(|car| seen(&mut rng, nominal, car, gross))
            .collect();
        let sigma = card.policy.car_to_car_mm;
        let truth = Interval::new(
            nominal.from + sigma * normal(&mut rng) - 20.0,
            nominal.to + sigma * normal(&mut rng) + 20.0,
        );
        let found = zones_on(&body, &card, &Variant::default()).unwrap();
        misses += u32::from(
            !super::no_cut(&found.spans[0])
                .iter()
                .any(|i| i.covers(truth)),
        );
    }
    f64::from(misses) / f64::from(COMPONENTS)
}

#[test]
fn occupied_metal_is_outside_the_no_cut_for_at_most_one_component_in_two_hundred() {
    let share = missed(
        1,
        Gross {
            chance: 0.0,
            least_cars: 1,
        },
    );
    println!(
        "simulation: findings within their bounds, clearance 0: {:.2} % missed",
        100.0 * share
    );
    assert!(share <= 0.005, "{share}");
}

#[test]
fn with_gross_errors_and_two_cars_it_is_for_at_most_one_in_a_hundred() {
    let share = missed(
        2,
        Gross {
            chance: 0.05,
            least_cars: 2,
        },
    );
    println!(
        "simulation: 5 % gross errors of 200 to 500 mm, two to four cars: {:.2} % missed",
        100.0 * share
    );
    assert!(share <= 0.01, "{share}");
}
