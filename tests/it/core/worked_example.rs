//! The worked example of the design, section 8: its figures on a B-pillar were
//! computed by two independent implementations.

use pillarbook::domain::body::{Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::frame::Vector;
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::{Class, SpanZones, Zones, zones};

fn card(findings: Vec<Finding>) -> Card {
    Card {
        findings,
        ..Card::unrecorded(Vehicle::of_style(StyleId::Sedan))
    }
}

fn finding(id: &str, source: Source, report: Report) -> Finding {
    Finding {
        id: id.into(),
        report,
        source,
        within_mm: None,
        observed_on: time::Date::from_calendar_date(2026, time::Month::March, 4).unwrap(),
        by: None,
        car: Some("yard 14".into()),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

fn component(component: &str, kind: Kind, place: Place, radius_mm: Option<f64>) -> Report {
    Report::Component(ComponentReport {
        component: component.into(),
        kind,
        place,
        radius_mm,
        bag: None,
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    })
}

fn on(span: &str, from_mm: f64, to_mm: f64) -> Place {
    Place::OnSpan {
        span: span.into(),
        from_mm,
        to_mm,
    }
}

fn bare(span: &str, from_mm: f64, to_mm: f64) -> Report {
    let (span, depth) = (span.into(), Depth::Through);
    Report::Bare(BareReport {
        span,
        from_mm,
        to_mm,
        depth,
        resolved: None,
    })
}

fn span<'a>(zones: &'a Zones, id: &str) -> &'a SpanZones {
    zones.spans.iter().find(|s| s.id == id).unwrap()
}

fn pretensioner() -> Finding {
    let report = component(
        "c1",
        Kind::Pretensioner,
        on("b-pillar.left", 80.0, 210.0),
        Some(25.0),
    );
    finding("f1", Source::Measured, report)
}

#[test]
fn a_measured_pretensioner_keeps_off_the_blade_as_in_the_design() {
    let zones = zones(&card(vec![pretensioner()]), &Variant::default()).unwrap();
    let c = &zones.components[0];
    assert!((c.sigma_mm - 17.559).abs() < 5e-4);
    assert!((c.k - 2.5758).abs() < 5e-5);
    assert!((c.keep_out_mm - 120.23).abs() < 5e-3);
    assert_eq!((c.groups, c.dof, c.birge, c.disputed), (1, 0, 1.0, false));
    let foot = &span(&zones, "b-pillar.left").stretches[0];
    assert_eq!((foot.from_mm, foot.class), (0.0, Class::NoCut));
    // 330.24 along the centreline; the bends of this pillar may add to it, a little.
    assert!((330.24..332.0).contains(&foot.to_mm), "{}", foot.to_mm);
    assert_eq!(foot.because, ["c1"]);
}

#[test]
fn a_bare_finding_counts_after_its_widening_as_in_the_design() {
    let found = finding("f3", Source::Measured, bare("b-pillar.left", 320.0, 700.0));
    let zones = zones(&card(vec![pretensioner(), found]), &Variant::default()).unwrap();
    assert_eq!(
        (zones.bare[0].from_mm, zones.bare[0].to_mm),
        (365.24, 654.76)
    );
    let pillar = span(&zones, "b-pillar.left");
    let seen = pillar
        .stretches
        .iter()
        .find(|s| s.class == Class::Bare)
        .unwrap();
    assert_eq!((seen.from_mm, seen.to_mm), (365.24, 654.76));
}

#[test]
fn a_blade_at_either_end_of_a_gap_stays_inside_its_run() {
    let found = finding("f3", Source::Measured, bare("b-pillar.left", 320.0, 900.0));
    let zones = zones(&card(vec![found]), &Variant::default()).unwrap();
    let pillar = span(&zones, "b-pillar.left");
    let gap = pillar.gaps.iter().find(|g| g.class == Class::Bare).unwrap();
    let half_depth = |s: f64| {
        let i = pillar.stations_mm.partition_point(|v| *v <= s) - 1;
        let u = (s - pillar.stations_mm[i]) / (pillar.stations_mm[i + 1] - pillar.stations_mm[i]);
        pillar.half_depth_mm[i] * (1.0 - u) + pillar.half_depth_mm[i + 1] * u
    };
    // b′(s) = b + (h(s) + t)·tan(lean), design section 6.
    let touched = |s: f64| 30.0 + (half_depth(s) + 50.0) * 10f64.to_radians().tan();
    assert!((gap.from_mm - touched(gap.from_mm) - 365.24).abs() < 0.03);
    assert!((gap.to_mm + touched(gap.to_mm) - 854.76).abs() < 0.03);
    assert_eq!(pillar.middle_mm, Some((gap.from_mm + gap.to_mm) / 2.0));
}

#[test]
fn a_bare_finding_over_a_component_counts_for_nothing_and_says_so() {
    let found = finding("f3", Source::Measured, bare("b-pillar.left", 200.0, 700.0));
    let zones = zones(&card(vec![pretensioner(), found]), &Variant::default()).unwrap();
    assert!(zones.bare.is_empty());
    assert!(
        zones
            .warnings
            .iter()
            .any(|w| w.code.word() == "contradiction")
    );
}

#[test]
fn disputed_findings_each_keep_their_own_zone() {
    let far = component(
        "c1",
        Kind::Pretensioner,
        on("b-pillar.left", 600.0, 730.0),
        Some(25.0),
    );
    let mut far = finding("f2", Source::Measured, far);
    far.car = Some("yard 15".into());
    let zones = zones(&card(vec![pretensioner(), far]), &Variant::default()).unwrap();
    let c = &zones.components[0];
    assert!(c.disputed);
    assert_eq!(c.disagree[0].mm, 520.0);
    assert_eq!(c.keep_outs.len(), 3);
    // One blocked stretch from the nearer one's zone to the further one's.
    let pillar = span(&zones, "b-pillar.left");
    assert!(pillar.stretches[0].to_mm >= 850.23);
}

#[test]
fn findings_on_a_span_and_by_points_together_keep_both_their_places() {
    let sedan = fit(style(StyleId::Sedan), &Measured::default()).unwrap();
    let line = &sedan.span("b-pillar.left").unwrap().line;
    // A hand's breadth inboard of the centreline.
    let inboard = |station: f64| line.point_at(station) + Vector::new(0.0, 80.0, 0.0);
    let by_points = Place::Points([inboard(90.0), inboard(220.0)]);
    let mut free = finding(
        "f2",
        Source::Seen,
        component("c1", Kind::Pretensioner, by_points, None),
    );
    free.car = Some("yard 15".into());
    let zones = zones(&card(vec![pretensioner(), free]), &Variant::default()).unwrap();
    let c = &zones.components[0];
    assert_eq!((c.groups, c.dof), (2, 6));
    assert!(c.grown_mm.is_some_and(|g| g > 0.0));
    assert_eq!(c.keep_outs.len(), 2);
    assert_eq!(c.radius_mm, 35.0);
    assert!(c.radius_assumed);
}

#[test]
fn an_offer_adds_its_own_zone_and_moves_nothing() {
    let mut offer = pretensioner();
    offer.id = "f9".into();
    offer.status = Status::Offered;
    offer.report = component(
        "c1",
        Kind::Pretensioner,
        on("b-pillar.left", 500.0, 600.0),
        None,
    );
    let zones = zones(&card(vec![pretensioner(), offer]), &Variant::default()).unwrap();
    let c = &zones.components[0];
    assert!(!c.offered && (c.keep_out_mm - 120.23).abs() < 5e-3);
    assert_eq!(c.keep_outs.iter().filter(|k| k.offered).count(), 1);
}

#[test]
fn a_station_far_off_its_span_is_an_error_that_names_the_finding() {
    let report = component(
        "c1",
        Kind::Inflator,
        on("b-pillar.left", 80.0, 5000.0),
        None,
    );
    let error = zones(
        &card(vec![finding("f1", Source::Measured, report)]),
        &Variant::default(),
    );
    let text = error.unwrap_err().to_string();
    assert!(text.contains("f1") && text.contains("5000") && text.contains("b-pillar.left"));
}
