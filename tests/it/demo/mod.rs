//! The demo holds what it is said to hold: counted on the stored cards, with the
//! zones of each computed.

use pillarbook::contract::card_file;
use pillarbook::demo;
use pillarbook::domain::body::StyleId;
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{Depth, Finding, Report, Source, Status};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::{Drive, Variant};
use pillarbook::domain::zone::{WarningCode, Zones, zones};
use pillarbook::store::{Actor, Store, StoredCard};
use std::collections::BTreeSet;
use time::macros::datetime;

struct Filled {
    store: Store,
    local: Actor,
    cards: Vec<StoredCard>,
    _directory: tempfile::TempDir,
}

async fn filled() -> Filled {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("demo.db");
    let store = Store::open(path.to_str().unwrap()).await.unwrap();
    let now = datetime!(2026-11-25 09:00 UTC);
    let local = demo::fill(&store, now).await.unwrap();
    let mut cards = Vec::new();
    for summary in store.all_summaries(&local.department).await.unwrap() {
        let card = store.card(&local.department, &summary.id).await.unwrap();
        cards.push(card.unwrap());
    }
    Filled {
        store,
        local,
        cards,
        _directory: directory,
    }
}

fn findings(cards: &[StoredCard]) -> impl Iterator<Item = &Finding> {
    cards.iter().flat_map(|stored| &stored.card.findings)
}

fn zones_of(card: &Card) -> Zones {
    zones(card, &Variant::default()).unwrap()
}

#[tokio::test]
async fn the_county_has_three_departments_and_the_local_member_reads_them_all() {
    let demo = filled().await;
    let departments = demo
        .store
        .departments(&demo.local.department)
        .await
        .unwrap();
    assert_eq!(departments.len(), 3);
    assert_eq!(departments[0].id, demo.local.department);
    for department in &departments {
        let owned = demo.cards.iter().filter(|c| c.department == department.id);
        assert!(owned.count() >= 6, "{}", department.name);
    }
    assert_eq!(
        demo.store
            .ensure_local(datetime!(2026-11-26 09:00 UTC))
            .await
            .unwrap(),
        demo.local
    );
}

#[tokio::test]
async fn the_vehicles_cover_every_body_style_and_every_drive() {
    let demo = filled().await;
    assert!(demo.cards.len() >= 18, "{}", demo.cards.len());
    let styles: BTreeSet<StyleId> = demo
        .cards
        .iter()
        .map(|c| c.card.vehicle.body_style)
        .collect();
    assert_eq!(styles.len(), StyleId::ALL.len());
    let drives: BTreeSet<Drive> = demo
        .cards
        .iter()
        .filter_map(|c| c.card.vehicle.drive)
        .collect();
    assert_eq!(drives.len(), Drive::ALL.len());
    for stored in &demo.cards {
        let identify = stored.card.identify.as_deref().unwrap_or_default();
        assert!(identify.contains("Invented vehicle"), "{identify}");
    }
    let holds = demo.cards.iter().map(|c| c.card.vehicle.hold_time_s);
    assert!(holds.clone().any(|hold| hold.is_some()) && holds.clone().any(|hold| hold.is_none()));
}

#[tokio::test]
async fn about_three_hundred_findings_have_every_source_kind_depth_and_status() {
    let demo = filled().await;
    let all = || findings(&demo.cards);
    assert!((280..=340).contains(&all().count()), "{}", all().count());
    let sources: BTreeSet<Source> = all().map(|f| f.source).collect();
    assert_eq!(sources.len(), Source::ALL.len());
    let statuses: BTreeSet<Status> = all().map(|f| f.status).collect();
    assert_eq!(statuses.len(), Status::ALL.len());
    let kinds: BTreeSet<Kind> = all()
        .filter_map(|f| match &f.report {
            Report::Component(report) => Some(report.kind),
            Report::Bare(_) => None,
        })
        .collect();
    let missing: Vec<_> = Kind::ALL.iter().filter(|k| !kinds.contains(k)).collect();
    assert!(missing.is_empty(), "{missing:?}");
    for depth in Depth::ALL {
        for status in [Status::Accepted, Status::Offered] {
            let there = all().any(|f| {
                f.status == status
                    && matches!(&f.report, Report::Bare(report) if report.depth == *depth)
            });
            assert!(there, "a bare finding, {depth}, {status}");
        }
    }
    let offered =
        |f: &Finding| f.status == Status::Offered && matches!(f.report, Report::Component(_));
    assert!(all().any(offered), "an offered component");
}

#[tokio::test]
async fn every_card_has_zones_and_the_awkward_cases_are_among_them() {
    let demo = filled().await;
    let mut codes = BTreeSet::new();
    let mut disputed = 0;
    for stored in &demo.cards {
        let name = stored.card.vehicle.model.as_deref().unwrap_or_default();
        let zones = zones(&stored.card, &Variant::default());
        let zones = zones.unwrap_or_else(|error| panic!("{name}: {error}"));
        disputed += zones.components.iter().filter(|c| c.disputed).count();
        codes.extend(zones.warnings.iter().map(|warning| warning.code));
    }
    assert!(disputed >= 1);
    let missing: Vec<_> = WarningCode::ALL
        .iter()
        .filter(|c| !codes.contains(c))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[tokio::test]
async fn the_fullest_card_has_forty_components_over_every_span() {
    let text = demo::text(demo::FULLEST).unwrap();
    let card = card_file::read(text.as_bytes()).unwrap().card;
    assert_eq!(card.vehicle.body_style, StyleId::Suv);
    let zones = zones_of(&card);
    assert_eq!(zones.components.len(), 40);
    for span in &zones.spans {
        // The right side's spans of a left part are its own business; each name
        // is touched on at least one side.
        let name = span.id.split('.').next().unwrap();
        let touched = card.findings.iter().any(|finding| match &finding.report {
            Report::Component(report) => {
                format!("{:?}", report.place).contains(&format!("\"{name}"))
            }
            Report::Bare(_) => false,
        });
        assert!(touched, "{}", span.id);
    }
}

#[tokio::test]
async fn what_is_stored_is_what_the_files_say() {
    let demo = filled().await;
    for name in demo::names() {
        let read = card_file::read(demo::text(name).unwrap().as_bytes()).unwrap();
        assert!(!read.has_policy && read.ignored.is_empty(), "{name}");
        let file = read.card;
        let stored = demo
            .cards
            .iter()
            .find(|c| c.card.vehicle == file.vehicle)
            .unwrap();
        let by_id = |findings: &[Finding]| {
            let mut findings = findings.to_vec();
            findings.sort_by(|a, b| a.id.cmp(&b.id));
            findings
        };
        assert_eq!(
            by_id(&stored.card.findings),
            by_id(&file.findings),
            "{name}"
        );
        assert_eq!(stored.card.measured, file.measured, "{name}");
    }
}

#[tokio::test]
async fn histories_run_over_months_and_never_backwards() {
    let demo = filled().await;
    let mut longest = 0;
    for stored in &demo.cards {
        let dept = &demo.local.department;
        let lines = demo.store.revisions(dept, &stored.id).await.unwrap();
        assert!(
            lines.windows(2).all(|pair| pair[0].at >= pair[1].at),
            "newest first"
        );
        longest = longest.max((lines[0].at - lines[lines.len() - 1].at).whole_days());
        for line in &lines {
            let then = demo
                .store
                .card_at(dept, &stored.id, line.revision)
                .await
                .unwrap();
            zones_of(&then.unwrap().card);
        }
    }
    assert!(longest > 150, "{longest} days");
}

#[tokio::test]
async fn a_store_that_holds_cards_is_not_filled() {
    let demo = filled().await;
    let again = demo::fill(&demo.store, datetime!(2026-11-26 09:00 UTC)).await;
    assert!(again.is_err());
    let cards = demo
        .store
        .all_summaries(&demo.local.department)
        .await
        .unwrap();
    assert_eq!(cards.len(), demo.cards.len());
}
