//! Cards: made, read back as they were, kept from other departments, listed.

use super::*;
use pillarbook::domain::card::{Card, Glass, PowerOff, PowerSource};
use pillarbook::domain::policy::{Coverage, Policy};
use pillarbook::store::{DepartmentId, StoreError};

#[tokio::test]
async fn a_card_comes_back_as_it_was_made() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let mut details = details();
    details.power_off.push(PowerOff {
        what: PowerSource::Main12v,
        where_: "boot, right".into(),
        how: "negative first".into(),
    });
    details.glass.insert("front-left".into(), Glass::Laminated);
    let made = store.create_card(&actor, &details, NOW).await.unwrap();
    assert_eq!(made.revision, 1);
    assert_eq!((made.created_at, made.updated_at), (NOW, NOW));
    assert_eq!(made.department_name, "Local department");
    assert_eq!(CardDetails::from(&made.card), details);
    let read = store.card(&actor.department, &made.id).await.unwrap();
    assert_eq!(read, Some(made));
}

#[tokio::test]
async fn the_local_member_is_made_once() {
    let Empty { store, .. } = &empty().await;
    let (a, b) = tokio::join!(store.ensure_local(NOW), store.ensure_local(NOW));
    assert_eq!(a.unwrap(), b.unwrap());
}

#[tokio::test]
async fn a_department_name_is_taken_once() {
    let Empty { store, .. } = &empty().await;
    store.create_department("Oakmere", NOW).await.unwrap();
    let again = store.create_department("Oakmere", NOW).await;
    assert!(matches!(again, Err(StoreError::Duplicate { id }) if id == "Oakmere"));
    let nowhere = DepartmentId::new("no such");
    assert!(
        store
            .create_member(&nowhere, "A", NOW)
            .await
            .unwrap()
            .is_none()
    );
}

#[tokio::test]
async fn what_is_not_there_is_none() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let (dept, no) = (&actor.department, CardId::new("no such card"));
    assert!(store.card(dept, &no).await.unwrap().is_none());
    assert!(store.card_revision(dept, &no).await.unwrap().is_none());
    assert!(store.status_log(dept, &no).await.unwrap().is_none());
    assert!(store.revisions(dept, &no).await.unwrap().is_empty());
    let made = store.create_card(&actor, &details(), NOW).await.unwrap();
    assert!(store.card_at(dept, &made.id, 2).await.unwrap().is_none());
    assert!(store.card_at(dept, &made.id, 0).await.unwrap().is_none());
    let done = store.update_details(&actor, &no, 1, &details(), NOW).await;
    assert!(done.unwrap().is_none());
    let done = store
        .add_findings(&actor, &no, None, &[component("f1", "c1", 1.0, 2.0)], NOW)
        .await;
    assert!(done.unwrap().is_none());
    assert!(
        store
            .change_status(&actor, &no, None, &[], NOW)
            .await
            .unwrap()
            .is_none()
    );
    assert!(
        store
            .set_resolved(&actor, &no, None, "f1", None, NOW)
            .await
            .unwrap()
            .is_none()
    );
}

#[tokio::test]
async fn an_actor_of_one_department_cannot_act_for_another() {
    let Empty { store, .. } = &empty().await;
    let owner = member_of(store, "Oakmere").await;
    let mut liar = member_of(store, "Saltby").await;
    liar.department = owner.department.clone();
    assert!(store.create_card(&liar, &details(), NOW).await.is_err());
    assert!(
        store
            .all_summaries(&owner.department)
            .await
            .unwrap()
            .is_empty()
    );
}

#[tokio::test]
async fn details_change_only_from_the_revision_that_was_read() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let mut changed = details();
    changed.vehicle.model = Some("Tarn Estate".into());
    let second = store
        .update_details(&actor, &card.id, 1, &changed, NOW)
        .await;
    let second = second.unwrap().unwrap();
    assert_eq!(second.revision, 2);
    assert_eq!(CardDetails::from(&second.card), changed);
    let stale = store
        .update_details(&actor, &card.id, 1, &details(), NOW)
        .await;
    assert!(matches!(
        stale,
        Err(StoreError::Conflict {
            expected: 1,
            current: 2
        })
    ));
    let same = store
        .update_details(&actor, &card.id, 2, &changed, NOW)
        .await;
    assert_eq!(same.unwrap().unwrap().revision, 2, "nothing changed");
    let first = store.card_at(&actor.department, &card.id, 1).await.unwrap();
    assert_eq!(first, Some(card.clone()));
    let lines = store.revisions(&actor.department, &card.id).await.unwrap();
    let said: Vec<_> = lines
        .iter()
        .map(|r| (r.revision, r.summary.as_str()))
        .collect();
    assert_eq!(said, [(2, "vehicle changed"), (1, "card made")]);
}

#[tokio::test]
async fn pages_of_cards_repeat_none_and_leave_none_out() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let mut made = Vec::new();
    for _ in 0..7 {
        made.push(store.create_card(&actor, &details(), NOW).await.unwrap().id);
    }
    let dept = &actor.department;
    let mut seen = Vec::new();
    loop {
        let page = store.list_cards(dept, seen.last(), 3).await.unwrap();
        if page.is_empty() {
            break;
        }
        seen.extend(page.into_iter().map(|summary| summary.id));
        // A change between two pages moves no card.
        let later = NOW + time::Duration::hours(1);
        let findings = [component("", "", 1.0, 2.0)];
        store
            .add_findings(&actor, &made[0], None, &findings, later)
            .await
            .unwrap();
    }
    assert_eq!(seen, made);
    let newest = &store.all_summaries(dept).await.unwrap()[0];
    assert_eq!((&newest.id, newest.finding_count), (&made[0], 3));
}

#[tokio::test]
async fn an_imported_card_keeps_everything_but_its_policy() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let CardDetails {
        vehicle,
        measured,
        identify,
        power_off,
        glass,
    } = details();
    let card = Card {
        vehicle,
        measured,
        policy: Policy {
            tip_reach_mm: 80.0,
            ..Policy::default()
        },
        findings: vec![component("a", "x", 80.0, 210.0), bare("b", Status::Offered)],
        identify,
        power_off,
        glass,
        annotations: vec![super::annotations::brought()],
        reviews: vec![serde_json::json!(1)],
        review_overdue: false,
    };
    let stored = store.import_card(&actor, card.clone(), NOW).await.unwrap();
    assert_eq!(
        stored.card,
        Card {
            policy: Policy::default(),
            ..card.clone()
        }
    );
    let mut changed = details();
    changed.identify = None;
    let later = store
        .update_details(&actor, &stored.id, 1, &changed, NOW)
        .await;
    assert_eq!(later.unwrap().unwrap().card.annotations, card.annotations);
    let twice = Card {
        findings: vec![bare("b", Status::Offered); 2],
        ..card
    };
    let refused = store.import_card(&actor, twice, NOW).await;
    assert!(matches!(refused, Err(StoreError::Duplicate { id }) if id == "b"));
    assert_eq!(
        store.all_summaries(&actor.department).await.unwrap().len(),
        1
    );
}

#[tokio::test]
async fn a_policy_moves_every_card_of_its_department_on_and_no_other() {
    let Empty { store, .. } = &empty().await;
    let owner = member_of(store, "Oakmere").await;
    let other = member_of(store, "Saltby").await;
    let card = store.create_card(&owner, &details(), NOW).await.unwrap();
    let theirs = store.create_card(&other, &details(), NOW).await.unwrap();
    let policy = Policy {
        coverage: Coverage::P999,
        ..Policy::default()
    };
    store.set_policy(&owner, &policy, NOW).await.unwrap();
    store.set_policy(&owner, &policy, NOW).await.unwrap();
    assert_eq!(store.policy(&owner.department).await.unwrap(), policy);
    assert_eq!(
        store.policy(&other.department).await.unwrap(),
        Policy::default()
    );
    let now = store
        .card(&owner.department, &card.id)
        .await
        .unwrap()
        .unwrap();
    assert_eq!((now.revision, &now.card.policy), (2, &policy));
    let before = store.card_at(&owner.department, &card.id, 1).await.unwrap();
    assert_eq!(before.unwrap().card.policy, Policy::default());
    let theirs_now = store.card(&other.department, &theirs.id).await.unwrap();
    assert_eq!(theirs_now, Some(theirs));
    let made_later = store.create_card(&owner, &details(), NOW).await.unwrap();
    assert_eq!(made_later.card.policy, policy);
    let line = &store.audit(&owner.department, None, 9).await.unwrap()[1];
    assert_eq!(line.action, "policy-set");
    assert_eq!(line.detail["before"]["coverage"], "0.99");
    assert_eq!(line.detail["after"]["coverage"], "0.999");
}
