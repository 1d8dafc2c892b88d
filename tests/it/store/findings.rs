//! Findings: added all or none, never edited, corrected and withdrawn by lines
//! beside them, and readable as they stood at every revision.

use super::*;
use pillarbook::domain::finding::Resolved;
use pillarbook::domain::frame::Point;
use pillarbook::domain::kind::Bag;
use pillarbook::store::StoreError;

#[tokio::test]
async fn every_field_of_a_finding_comes_back() {
    let Empty { store, .. } = &empty().await;
    let mut by_points = component("p", "c2", 0.0, 0.0);
    by_points.within_mm = Some(60.5);
    by_points.note = Some("behind the lamp: ½ inch of foam".into());
    by_points.supersedes = Some("elsewhere".into());
    by_points.observed.drive = Some(Drive::Hybrid);
    by_points.observed.region = Some("EU".into());
    by_points.status = Status::Declined;
    by_points.reason = Some("another model".into());
    if let Report::Component(report) = &mut by_points.report {
        let at = |x| Point::new(x, -560.1, 1380.0 / 7.0);
        report.place = Place::Points([at(2900.0), at(0.1 + 0.2)]);
        report.radius_mm = None;
        report.bag = Some(Bag::Curtain);
        report.steel = Steel {
            uts_mpa: Some(1500.0),
            layers: Some(3),
            ..Steel::default()
        };
        report.gas = Gas {
            gas: Some("helium".into()),
            pressure_mpa: Some(62.0),
            volume_cm3: None,
        };
    }
    let mut resolved = bare("b", Status::Accepted);
    if let Report::Bare(report) = &mut resolved.report {
        report.depth = Depth::Skin;
        let on = date!(2026 - 03 - 05);
        report.resolved = Some(Resolved {
            by: "Officer Holt".into(),
            on,
        });
    }
    let all = [component("f", "c1", 80.25, 210.0), by_points, resolved];
    let (actor, card) = card_with(store, &all).await;
    assert_eq!(findings(store, &actor, &card).await, all);
}

#[tokio::test]
async fn findings_are_added_all_or_none() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 1.0, 2.0)]).await;
    let batch = [
        component("f2", "c2", 1.0, 2.0),
        component("f1", "c3", 1.0, 2.0),
    ];
    let refused = store.add_findings(&actor, &card, None, &batch, NOW).await;
    assert!(matches!(refused, Err(StoreError::Duplicate { id }) if id == "f1"));
    let read = store.card(&actor.department, &card).await.unwrap().unwrap();
    assert_eq!((read.revision, read.card.findings.len()), (2, 1));
    assert_eq!(
        store
            .audit(&actor.department, None, 99)
            .await
            .unwrap()
            .len(),
        2
    );
    let stale = store
        .add_findings(
            &actor,
            &card,
            Some(1),
            &[component("f9", "c9", 1.0, 2.0)],
            NOW,
        )
        .await;
    assert!(matches!(
        stale,
        Err(StoreError::Conflict {
            expected: 1,
            current: 2
        })
    ));
    let none = store
        .add_findings(&actor, &card, None, &[], NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(none.revision, 2);
}

#[tokio::test]
async fn the_same_ids_may_stand_on_two_cards() {
    let Empty { store, .. } = &empty().await;
    card_with(store, &[component("f1", "c1", 1.0, 2.0)]).await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 3.0, 4.0)]).await;
    assert_eq!(
        findings(store, &actor, &card).await,
        [component("f1", "c1", 3.0, 4.0)]
    );
}

#[tokio::test]
async fn blank_ids_get_the_next_free_numbers() {
    let Empty { store, .. } = &empty().await;
    let given = [
        component("f7", "c3", 1.0, 2.0),
        component("own", "rail", 1.0, 2.0),
    ];
    let (actor, card) = card_with(store, &given).await;
    let batch = [
        component("", "", 1.0, 2.0),
        component("", "c3", 1.0, 2.0),
        bare("", Status::Offered),
    ];
    store
        .add_findings(&actor, &card, None, &batch, NOW)
        .await
        .unwrap();
    let read = findings(store, &actor, &card).await;
    let ids: Vec<&str> = read.iter().map(|f| f.id.as_str()).collect();
    assert_eq!(ids, ["f7", "own", "f8", "f9", "f10"]);
    assert!(matches!(&read[2].report, Report::Component(r) if r.component == "c4"));
    assert!(matches!(&read[3].report, Report::Component(r) if r.component == "c3"));
}

#[tokio::test]
async fn a_correction_supersedes_and_the_old_revision_still_reads_as_it_was() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 80.0, 210.0)]).await;
    let new = component("", "c1", 90.0, 200.0);
    let done = store
        .correct_finding(&actor, &card, None, "f1", new, NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(status_of(&done.card.findings, "f1"), Status::Superseded);
    assert_eq!(done.card.findings[1].supersedes.as_deref(), Some("f1"));
    assert_eq!(done.card.findings[1].id, "f2");
    let before = store
        .card_at(&actor.department, &card, 2)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(before.card.findings, [component("f1", "c1", 80.0, 210.0)]);
    let again = store
        .correct_finding(
            &actor,
            &card,
            None,
            "f1",
            component("", "c1", 1.0, 2.0),
            NOW,
        )
        .await;
    assert!(matches!(
        again,
        Err(StoreError::StatusFixed {
            from: Status::Superseded,
            ..
        })
    ));
    let unlike = store
        .correct_finding(&actor, &card, None, "f2", bare("", Status::Offered), NOW)
        .await;
    assert!(matches!(unlike, Err(StoreError::UnlikeCorrection { .. })));
    let nobody = store
        .correct_finding(
            &actor,
            &card,
            None,
            "f77",
            component("", "c1", 1.0, 2.0),
            NOW,
        )
        .await;
    assert!(matches!(nobody, Err(StoreError::NoSuchFinding { .. })));
    assert_eq!(
        findings(store, &actor, &card).await.len(),
        2,
        "refusals leave nothing"
    );
}

#[tokio::test]
async fn an_offered_correction_supersedes_only_once_it_is_accepted() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 80.0, 210.0)]).await;
    let offered = Finding {
        status: Status::Offered,
        ..component("f2", "c1", 90.0, 100.0)
    };
    let done = store
        .correct_finding(&actor, &card, None, "f1", offered, NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(status_of(&done.card.findings, "f1"), Status::Accepted);
    let accept = [to("f2", Status::Accepted, None)];
    let done = store
        .change_status(&actor, &card, Some(3), &accept, NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(status_of(&done.card.findings, "f1"), Status::Superseded);
    assert_eq!(status_of(&done.card.findings, "f2"), Status::Accepted);
}
