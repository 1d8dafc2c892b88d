//! Random valid cards over all body styles, drives, kinds, sources and places.
//!
//! A component is drawn first, then the findings about it scatter around its
//! place: mostly within their bounds, sometimes far outside, so that agreement,
//! disputes, offers and mixed places all occur. Everything shrinks towards a
//! card with few findings.

use pillarbook::domain::body::{BodyStyle, FittedBody, Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::frame::{Point, Vector};
use pillarbook::domain::kind::{Bag, Kind};
use pillarbook::domain::policy::{Coverage, CushionPolicy, Policy};
use pillarbook::domain::vehicle::{Drive, Roof, Variant, Vehicle, WheelSide, Years};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::collections::BTreeMap;

/// A finding about a component, relative to where the component is drawn.
#[derive(Debug, Clone)]
pub struct ReportDraw {
    source: Source,
    within_mm: Option<f64>,
    /// Error of each end as a multiple of the bound.
    error: [f64; 2],
    gross: bool,
    /// Given as two points instead of a span, aside by this many mm.
    aside: Option<[f64; 3]>,
    turned: bool,
    car: u8,
    day: u8,
    status: Status,
    radius_mm: Option<f64>,
    other_kind: Option<Kind>,
}

/// A component and the findings about it.
#[derive(Debug, Clone)]
pub struct ComponentDraw {
    kind: Kind,
    bag: Option<Bag>,
    span: prop::sample::Index,
    from: f64,
    length: f64,
    reports: Vec<ReportDraw>,
}

/// A bare finding.
#[derive(Debug, Clone)]
pub struct BareDraw {
    span: prop::sample::Index,
    from: f64,
    length: f64,
    source: Source,
    depth: Depth,
    status: Status,
    observed: Variant,
    car: u8,
}

fn status() -> impl Strategy<Value = Status> {
    prop_oneof![
        12 => Just(Status::Accepted),
        2 => Just(Status::Offered),
        1 => select(vec![Status::Declined, Status::Superseded, Status::Withdrawn]),
    ]
}

prop_compose! {
    fn report()(
        source in select(Source::ALL),
        within_mm in option::weighted(0.15, 5.0..400.0),
        error in [-1.0..1.0, -1.0..1.0],
        gross in prop::bool::weighted(0.08),
        aside in option::weighted(0.3, [-80.0..80.0, -80.0..80.0, -80.0..80.0]),
        turned in prop::bool::weighted(0.2),
        car in 0u8..4,
        day in 1u8..28,
        status in status(),
        radius_mm in option::weighted(0.6, 0.0..120.0),
        other_kind in option::weighted(0.08, select(Kind::ALL)),
    ) -> ReportDraw {
        ReportDraw { source, within_mm, error, gross, aside, turned, car, day, status, radius_mm, other_kind }
    }
}

prop_compose! {
    fn component()(
        kind in select(Kind::ALL),
        bag in option::weighted(0.5, select(&[Bag::Curtain, Bag::Driver, Bag::SeatSide][..])),
        span in any::<prop::sample::Index>(),
        from in 0.0..1.0,
        length in prop_oneof![4 => 0.0..0.35, 1 => Just(0.0)],
        reports in vec(report(), 1..4),
    ) -> ComponentDraw {
        ComponentDraw { kind, bag, span, from, length, reports }
    }
}

prop_compose! {
    fn bare()(
        span in any::<prop::sample::Index>(),
        from in 0.0..0.8,
        length in 0.0..0.9,
        source in select(&[Source::Measured, Source::Seen][..]),
        depth in prop_oneof![4 => Just(Depth::Through), 1 => Just(Depth::Skin)],
        status in status(),
        year in option::weighted(0.3, 2014..2026),
        drive in option::weighted(0.2, select(Drive::ALL)),
        car in 0u8..4,
    ) -> BareDraw {
        let observed = Variant { year, drive, ..Variant::default() };
        BareDraw { span, from, length, source, depth, status, observed, car }
    }
}

prop_compose! {
    fn policy()(
        coverage in select(Coverage::ALL),
        blade_half_width_mm in 10.0..80.0,
        tip_reach_mm in 0.0..120.0,
        lean_deg in 0.0..25.0,
        car_to_car_mm in 0.0..40.0,
        clearance_mm in prop::collection::btree_map(select(Kind::ALL), 0.0..200.0, 0..4),
        usual in prop::bool::weighted(0.5),
    ) -> Policy {
        if usual {
            return Policy { coverage, ..Policy::default() };
        }
        let clearance_mm = clearance_mm
            .into_iter()
            .filter(|(kind, _)| kind.default_clearance_mm().is_some())
            .collect();
        Policy {
            coverage, blade_half_width_mm, tip_reach_mm, lean_deg, car_to_car_mm, clearance_mm,
            cushion: CushionPolicy::NoCut, ..Policy::default()
        }
    }
}

prop_compose! {
    fn vehicle(style: StyleId)(
        years in option::of((2012i32..2022, 0i32..6)),
        drive in option::of(select(Drive::ALL)),
        wheel in option::of(select(WheelSide::ALL)),
        roof in option::of(select(Roof::ALL)),
        region in option::of(select(&["US", "EU"][..])),
    ) -> Vehicle {
        Vehicle {
            make: Some("Invented".into()), model: Some("Example".into()),
            years: years.map(|(first, more)| Years { first, last: first + more }),
            body_style: style, drive, wheel, roof,
            region: region.map(str::to_owned), hold_time_s: None,
        }
    }
}

prop_compose! {
    fn measured(style: &'static BodyStyle)(
        wheelbase in option::weighted(0.3, 0.95..1.05),
        width in option::weighted(0.3, 0.92..1.08),
        height in option::weighted(0.3, 0.92..1.08),
    ) -> Measured {
        Measured {
            length_mm: None,
            wheelbase_mm: wheelbase.map(|f: f64| f * style.dimensions.wheelbase_mm),
            width_mm: width.map(|f: f64| f * style.dimensions.width_mm),
            height_mm: height.map(|f: f64| f * style.dimensions.height_mm),
            landmarks: BTreeMap::new(),
        }
    }
}

/// Any valid card.
pub fn card() -> impl Strategy<Value = Card> {
    select(StyleId::ALL).prop_flat_map(|id| card_of(id, 0..9))
}

/// Any valid card of one style, with so many components.
pub fn card_of(id: StyleId, components: std::ops::Range<usize>) -> impl Strategy<Value = Card> {
    (
        vehicle(id),
        measured(style(id)),
        policy(),
        vec(component(), components),
        vec(bare(), 0..6),
    )
        .prop_map(|(vehicle, measured, policy, components, bare)| {
            let body = fit(style(vehicle.body_style), &measured).expect("small changes always fit");
            let findings = findings(&body, &components, &bare);
            Card {
                findings,
                ..empty(vehicle, measured, policy)
            }
        })
}

/// The card of a strategy for a seed: the same on every run and machine.
pub fn sample<T>(strategy: &impl Strategy<Value = T>, seed: u64) -> T {
    let mut bytes = [7u8; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let tree = strategy.new_tree(&mut runner);
    tree.expect("the strategy rejects nothing").current()
}

/// A card without findings.
pub fn empty(vehicle: Vehicle, measured: Measured, policy: Policy) -> Card {
    Card {
        vehicle,
        measured,
        policy,
        findings: Vec::new(),
        identify: None,
        power_off: Vec::new(),
        glass: BTreeMap::new(),
        annotations: Vec::new(),
        reviews: Vec::new(),
        review_overdue: false,
    }
}

/// A finding with nothing optional in it.
pub fn finding(id: String, source: Source, car: u8, day: u8, report: Report) -> Finding {
    let month = time::Month::March;
    Finding {
        id,
        report,
        source,
        within_mm: None,
        observed_on: time::Date::from_calendar_date(2026, month, day).expect("a day of March"),
        by: Some("a member".into()),
        car: source.looked_at_a_car().then(|| format!("yard {car}")),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

fn findings(body: &FittedBody, components: &[ComponentDraw], bare: &[BareDraw]) -> Vec<Finding> {
    let mut all = Vec::new();
    for (c, drawn) in components.iter().enumerate() {
        for (r, report) in drawn.reports.iter().enumerate() {
            all.push(component_finding(body, (c, r), drawn, report));
        }
    }
    for (b, drawn) in bare.iter().enumerate() {
        let span = drawn.span.get(&body.spans);
        let length = span.line.length();
        let from_mm = drawn.from * length;
        let report = Report::Bare(BareReport {
            span: span.id.to_string(),
            from_mm,
            to_mm: (from_mm + drawn.length * length).min(length),
            depth: drawn.depth,
            resolved: None,
        });
        let mut made = finding(format!("b{b}"), drawn.source, drawn.car, 5, report);
        made.status = drawn.status;
        made.observed = drawn.observed.clone();
        all.push(made);
    }
    all
}

fn component_finding(
    body: &FittedBody,
    (c, r): (usize, usize),
    drawn: &ComponentDraw,
    report: &ReportDraw,
) -> Finding {
    let span = drawn.span.get(&body.spans);
    let length = span.line.length();
    let bound = report.within_mm.unwrap_or(report.source.bound_mm());
    let gross = if report.gross {
        2.0 * bound + 100.0
    } else {
        0.0
    };
    let station = |share: f64, error: f64| {
        (share * length + error * bound + gross).clamp(-60.0, length + 60.0)
    };
    let from_mm = station(drawn.from, report.error[0]);
    let to_mm = station((drawn.from + drawn.length).min(1.0), report.error[1]).max(from_mm);
    let place = match report.aside {
        None => Place::OnSpan {
            span: span.id.to_string(),
            from_mm,
            to_mm,
        },
        Some([x, y, z]) => {
            let aside = |s: f64| -> Point { span.line.point_at(s) + Vector::new(x, y, z) };
            let ends = [aside(from_mm), aside(to_mm)];
            Place::Points(if report.turned {
                [ends[1], ends[0]]
            } else {
                ends
            })
        }
    };
    let kind = report.other_kind.unwrap_or(drawn.kind);
    let carries_bag = matches!(kind, Kind::Cushion | Kind::Inflator | Kind::GasCylinder);
    let stated = Report::Component(ComponentReport {
        component: format!("c{c}"),
        kind,
        place,
        radius_mm: report.radius_mm,
        bag: drawn.bag.filter(|_| carries_bag),
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    });
    let mut made = finding(
        format!("f{c}-{r}"),
        report.source,
        report.car,
        report.day,
        stated,
    );
    made.within_mm = report.within_mm;
    made.status = report.status;
    made
}
