//! Reading and writing valid card files.

use super::EXAMPLE;
use pillarbook::contract::card_file::{read, write};
use pillarbook::domain::annotation::{Picture, Standing, Target};
use pillarbook::domain::card::{Card, Glass, PowerSource};
use pillarbook::domain::finding::{Depth, Place, Report, Source, Status};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::policy::{Coverage, Policy};
use pillarbook::domain::vehicle::{Drive, Years};
use rstest::rstest;

fn card(text: &str) -> Card {
    read(text.as_bytes())
        .unwrap_or_else(|error| panic!("{:#?}", error.fields()))
        .card
}

/// The example with one text replaced; it must be there.
fn changed(from: &str, to: &str) -> String {
    assert!(EXAMPLE.contains(from), "{from}");
    EXAMPLE.replacen(from, to, 1)
}

#[test]
fn every_field_of_the_example_is_read() {
    let card = card(EXAMPLE);
    assert_eq!(
        card.vehicle.years,
        Some(Years {
            first: 2019,
            last: 2023
        })
    );
    assert_eq!(card.vehicle.drive, Some(Drive::Petrol));
    assert_eq!(card.vehicle.hold_time_s, None);
    assert_eq!(card.measured.length_mm, Some(4700.0));
    assert_eq!(
        card.measured.landmarks["b-pillar-foot.left"],
        [Some(1250.0), None, None]
    );
    assert_eq!(card.policy.coverage, Coverage::P99);
    assert_eq!(card.policy.clearance_mm[&Kind::Inflator], 75.0);
    assert_eq!(card.power_off[0].what, PowerSource::Main12v);
    assert_eq!(card.glass["front-left"], Glass::Laminated);
    let [pinned, arrow] = card.annotations.as_slice() else {
        panic!("two notes")
    };
    let station = Target::Station {
        span: "b-pillar.left".into(),
        at_mm: 300.0,
    };
    assert_eq!(pinned.target, station);
    assert_eq!(pinned.note.standing, Standing::Open);
    assert_eq!(pinned.replies[0].standing, Standing::Offered);
    assert_eq!(arrow.target.picture(), Some(Picture::Left));
    assert!(pinned.shows() && !arrow.shows());
    let [first, second, third] = card.findings.as_slice() else {
        panic!("three findings")
    };
    let Report::Component(component) = &first.report else {
        panic!("a component")
    };
    assert_eq!(component.kind, Kind::Pretensioner);
    assert_eq!(component.radius_mm, Some(25.0));
    assert_eq!(component.belt_seat.as_deref(), Some("front-left"));
    assert_eq!(
        (first.source, first.car.as_deref()),
        (Source::Measured, Some("yard 14"))
    );
    let Report::Component(component) = &second.report else {
        panic!("a component")
    };
    let Place::Points([a, b]) = component.place else {
        panic!("by points")
    };
    assert_eq!(([a.x, a.y, a.z], b.z), ([2900.0, -560.0, 1380.0], 1360.0));
    assert_eq!(second.within_mm, Some(60.0));
    let Report::Bare(bare) = &third.report else {
        panic!("a bare finding")
    };
    assert_eq!(
        (bare.from_mm, bare.to_mm, bare.depth),
        (320.0, 700.0, Depth::Through)
    );
}

#[test]
fn a_missing_status_reads_accepted_for_a_component_and_offered_for_a_bare_finding() {
    let card = card(&EXAMPLE.replace(",\"status\":\"accepted\"", ""));
    let statuses: Vec<Status> = card.findings.iter().map(|finding| finding.status).collect();
    assert_eq!(
        statuses,
        [Status::Accepted, Status::Accepted, Status::Offered]
    );
}

#[test]
fn a_card_written_reads_back_as_the_same_card() {
    let full = changed(
        "\"belt_seat\":\"front-left\"",
        r#""belt_seat":"front-left","bag":"belt","observed":{"year":2021,"drive":"hybrid","wheel":"right","roof":"glass","region":"EU"},
        "note":"beside the retractor","supersedes":"f0","reason":"read from the wrong end",
        "uts_mpa":1500,"thickness_mm":1.2,"layers":3,"perimeter_mm":400,"pressure_mpa":60,"volume_cm3":150,"gas":"argon""#,
    );
    let full = full.replacen(
        "\"depth\":\"through\"",
        r#""depth":"through","resolved":{"by":"Capt. Ferris","on":"2026-03-05"}"#,
        1,
    );
    let full = full.replacen("\"coverage\":0.99", "\"coverage\":0.999", 1);
    let card = card(&full);
    let written = write(&card);
    assert_eq!(read(written.as_bytes()).unwrap().card, card, "{written}");
    assert!(written.contains("\"annotations\""));
}

#[test]
fn the_least_card_reads_with_default_policy() {
    let least = r#"{"format":"pillarbook-card/1","vehicle":{"body_style":"suv"},"findings":[]}"#;
    let read = read(least.as_bytes()).unwrap();
    assert_eq!(read.card.policy, Policy::default());
    assert!(!read.has_policy);
    assert_eq!(read.card.vehicle.years, None);
}

#[test]
fn a_field_from_elsewhere_is_passed_over_and_listed() {
    let read =
        read(changed("\"identify\"", "\"weather\":\"rain\",\"identify\"").as_bytes()).unwrap();
    assert_eq!(read.ignored.len(), 1);
    assert_eq!(read.ignored[0].field.to_string(), "weather");
}

#[test]
fn the_car_is_told_apart_without_stray_blanks() {
    let card = card(&changed("\"car\":\"yard 14\"", "\"car\":\" yard 14 \""));
    assert_eq!(card.findings[0].car.as_deref(), Some("yard 14"));
}

#[rstest]
#[case("\"lean_deg\":10", "\"lean_deg\":0")]
#[case("\"within_mm\":60", "\"within_mm\":5")]
#[case("\"within_mm\":60", "\"within_mm\":1000")]
#[case("\"from_mm\":80,\"to_mm\":210", "\"from_mm\":80,\"to_mm\":80")]
#[case("\"years\":[2019,2023]", "\"years\":[1900,2100]")]
#[case("\"years\":[2019,2023]", "\"years\":null")]
#[case("\"source\":\"measured\",\n", "\"source\":\"told\",\"car\":null,\n")]
fn the_bounds_themselves_are_accepted(#[case] from: &str, #[case] to: &str) {
    let text = changed(from, to);
    // The last case names the car twice; take the other one away.
    let text = if to.contains("told") {
        text.replacen(",\"car\":\"yard 14\"", "", 1)
    } else {
        text
    };
    card(&text);
}
