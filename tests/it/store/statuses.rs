//! Where findings stand: accepted, declined, withdrawn, resolved; and the logs
//! that say who did so.

use super::*;
use pillarbook::domain::finding::Resolved;
use pillarbook::store::StoreError;

#[tokio::test]
async fn an_offer_is_accepted_or_declined_and_what_is_final_stays() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(
        store,
        &[
            component("f1", "c1", 1.0, 2.0),
            bare("b1", Status::Offered),
            bare("b2", Status::Offered),
        ],
    )
    .await;
    let no_reason = store
        .change_status(
            &actor,
            &card,
            None,
            &[to("f1", Status::Withdrawn, Some("  "))],
            NOW,
        )
        .await;
    assert!(matches!(no_reason, Err(StoreError::ReasonMissing { .. })));
    let changes = [
        to("f1", Status::Withdrawn, Some("wrong car")),
        to("b1", Status::Accepted, None),
        to("b2", Status::Declined, Some("trim was on")),
    ];
    let done = store
        .change_status(&actor, &card, None, &changes, NOW)
        .await
        .unwrap()
        .unwrap();
    let read = &done.card.findings;
    assert_eq!(read[0].reason.as_deref(), Some("wrong car"));
    assert_eq!(
        [read[0].status, read[1].status, read[2].status],
        [Status::Withdrawn, Status::Accepted, Status::Declined]
    );
    for (id, status) in [
        ("f1", Status::Accepted),
        ("b2", Status::Offered),
        ("b1", Status::Superseded),
        ("b1", Status::Offered),
    ] {
        let refused = store
            .change_status(&actor, &card, None, &[to(id, status, Some("x"))], NOW)
            .await;
        assert!(
            matches!(refused, Err(StoreError::StatusFixed { .. })),
            "{id} to {status}"
        );
    }
    let half = [
        to("b1", Status::Withdrawn, Some("x")),
        to("nobody", Status::Withdrawn, Some("x")),
    ];
    let refused = store.change_status(&actor, &card, None, &half, NOW).await;
    assert!(matches!(refused, Err(StoreError::NoSuchFinding { .. })));
    let twice = [
        to("b1", Status::Withdrawn, Some("x")),
        to("b1", Status::Withdrawn, Some("y")),
    ];
    assert!(
        store
            .change_status(&actor, &card, None, &twice, NOW)
            .await
            .is_err()
    );
    assert_eq!(
        findings(store, &actor, &card).await,
        *read,
        "refusals change nothing"
    );
    let before = store
        .card_at(&actor.department, &card, 2)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(status_of(&before.card.findings, "f1"), Status::Accepted);
}

#[tokio::test]
async fn the_status_log_says_who_why_and_whether_alone() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[bare("b1", Status::Offered)]).await;
    let second = store
        .create_member(&actor.department, "Bo Carrow", NOW)
        .await
        .unwrap()
        .unwrap();
    store
        .change_status(
            &second,
            &card,
            None,
            &[to("b1", Status::Accepted, None)],
            NOW,
        )
        .await
        .unwrap();
    store
        .change_status(
            &actor,
            &card,
            None,
            &[to("b1", Status::Withdrawn, Some("misread"))],
            NOW,
        )
        .await
        .unwrap();
    let log = store
        .status_log(&actor.department, &card)
        .await
        .unwrap()
        .unwrap();
    let lines: Vec<_> = log
        .iter()
        .map(|e| (e.revision, e.status, e.reason.as_deref(), e.single_handed))
        .collect();
    assert_eq!(
        lines,
        [
            (2, Status::Offered, None, false),
            (3, Status::Accepted, None, false),
            (4, Status::Withdrawn, Some("misread"), false),
        ]
    );
    assert_eq!(log[1].member_name, "Bo Carrow");
}

#[tokio::test]
async fn an_officer_resolves_a_bare_finding_and_can_take_it_back() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(
        store,
        &[
            component("f1", "c1", 1.0, 2.0),
            bare("b1", Status::Accepted),
        ],
    )
    .await;
    let word = Resolved {
        by: "Officer Holt".into(),
        on: date!(2026 - 03 - 06),
    };
    let resolved = |findings: &[Finding]| match &findings[1].report {
        Report::Bare(report) => report.resolved.clone(),
        Report::Component(_) => panic!("b1 is bare"),
    };
    let done = store
        .set_resolved(&actor, &card, Some(2), "b1", Some(&word), NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(resolved(&done.card.findings), Some(word.clone()));
    let done = store
        .set_resolved(&actor, &card, Some(3), "b1", None, NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(resolved(&done.card.findings), None);
    let then = store
        .card_at(&actor.department, &card, 3)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(resolved(&then.card.findings), Some(word.clone()));
    let refused = store
        .set_resolved(&actor, &card, None, "f1", Some(&word), NOW)
        .await;
    assert!(matches!(refused, Err(StoreError::NotBare { .. })));
}

#[tokio::test]
async fn the_audit_is_read_page_by_page_newest_first() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 1.0, 2.0)]).await;
    store
        .change_status(
            &actor,
            &card,
            None,
            &[to("f1", Status::Withdrawn, Some("x"))],
            NOW,
        )
        .await
        .unwrap();
    let first = store.audit(&actor.department, None, 2).await.unwrap();
    let rest = store
        .audit(&actor.department, Some(&first[1].id), 9)
        .await
        .unwrap();
    let actions: Vec<_> = first
        .iter()
        .chain(&rest)
        .map(|line| line.action.as_str())
        .collect();
    assert_eq!(
        actions,
        ["finding-withdrawn", "findings-added", "card-created"]
    );
    assert_eq!(first[0].detail["changes"][0]["reason"], "x");
    assert_eq!(first[0].card.as_ref(), Some(&card));
    assert_eq!(first[0].detail["revision"], 3);
}

#[tokio::test]
async fn single_handed_is_said_where_a_second_person_was_asked_for_and_there_was_none() {
    let Empty { store, .. } = &empty().await;
    let same = [
        component("f1", "c1", 80.0, 210.0),
        component("f2", "c2", 80.0, 210.0),
        bare("b1", Status::Offered),
    ];
    let (alone, card) = card_with(store, &same).await;
    let decide = async |id: &str, status, reason| {
        let change = [to(id, status, reason)];
        let done = store.change_status(&alone, &card, None, &change, NOW).await;
        done.unwrap().unwrap();
        let log = store.status_log(&alone.department, &card).await;
        let log = log.unwrap().unwrap();
        log.iter().rfind(|l| l.finding == id).unwrap().single_handed
    };
    assert!(decide("b1", Status::Accepted, None).await);
    let why = Some("read twice");
    let covered = decide("f1", Status::Withdrawn, why).await;
    assert!(
        !covered,
        "it takes no no-cut away: nobody else is asked for"
    );
    assert!(decide("f2", Status::Withdrawn, why).await);
    let smaller = [component("f3", "c3", 80.0, 500.0)];
    store
        .add_findings(&alone, &card, None, &smaller, NOW)
        .await
        .unwrap()
        .unwrap();
    let new = component("", "c3", 80.0, 210.0);
    store
        .correct_finding(&alone, &card, None, "f3", new, NOW)
        .await
        .unwrap()
        .unwrap();
    let log = store.status_log(&alone.department, &card).await;
    let log = log.unwrap().unwrap();
    let superseded = log.iter().rfind(|l| l.finding == "f3").unwrap();
    assert_eq!(superseded.status, Status::Superseded);
    assert!(superseded.single_handed);
}
