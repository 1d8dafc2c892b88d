//! Cards shared and kept back, partners, what they offer, and links.

use super::*;
use pillarbook::contract::card_file::MOST_FINDINGS;
use pillarbook::domain::decision::WaitsFor;
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::{DepartmentId, LinkId, PartnerStanding, StoreError};
use time::Duration;

/// Makes two departments partners.
pub async fn partners(store: &Store, one: &Actor, other: &Actor) {
    store
        .ask_partner(one, &other.department, NOW)
        .await
        .unwrap();
    let accepted = store.accept_partner(other, &one.department, NOW).await;
    accepted.unwrap().unwrap();
}

/// An owner with a card, and another department.
async fn two(store: &Store) -> (Actor, Actor, CardId) {
    let owner = member_of(store, "Oakmere").await;
    let other = member_of(store, "Saltby").await;
    let card = store.create_card(&owner, &details(), NOW).await.unwrap();
    (owner, other, card.id)
}

async fn reads(store: &Store, reader: &Actor, card: &CardId) -> bool {
    let dept = &reader.department;
    let answers = [
        store.card(dept, card).await.unwrap().is_some(),
        store.card_at(dept, card, 1).await.unwrap().is_some(),
        store.card_revision(dept, card).await.unwrap().is_some(),
        !store.revisions(dept, card).await.unwrap().is_empty(),
        store.status_log(dept, card).await.unwrap().is_some(),
        !store.list_cards(dept, None, 9).await.unwrap().is_empty(),
        !store.all_summaries(dept).await.unwrap().is_empty(),
        store.departments(dept).await.unwrap().len() == 2,
    ];
    assert!(answers.iter().all(|a| *a == answers[0]), "{answers:?}");
    answers[0]
}

async fn set(store: &Store, owner: &Actor, card: &CardId, visibility: Visibility) {
    let done = store.set_visibility(owner, card, visibility, NOW).await;
    done.unwrap().unwrap();
    let now = store.visibility(&owner.department, card).await.unwrap();
    assert_eq!(now, Some(visibility));
}

#[tokio::test]
async fn a_card_is_read_by_those_it_reaches_and_written_by_its_own_department_alone() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = two(store).await;
    assert!(!reads(store, &other, &card).await);
    set(store, &owner, &card, Visibility::Partners).await;
    assert!(!reads(store, &other, &card).await, "no partner yet");
    partners(store, &owner, &other).await;
    assert!(reads(store, &other, &card).await);
    set(store, &owner, &card, Visibility::Department).await;
    assert!(
        !reads(store, &other, &card).await,
        "partnership alone shows nothing"
    );
    set(store, &owner, &card, Visibility::Everyone).await;
    assert!(reads(store, &other, &card).await);
    store
        .end_partner(&other, &owner.department, NOW)
        .await
        .unwrap()
        .unwrap();
    assert!(reads(store, &other, &card).await);

    let findings = [component("f1", "c1", 1.0, 2.0)];
    let added = store
        .add_findings(&other, &card, None, &findings, NOW)
        .await;
    assert!(added.unwrap().is_none());
    let changed = store
        .update_details(&other, &card, 1, &details(), NOW)
        .await;
    assert!(changed.unwrap().is_none());
    let visible = store
        .set_visibility(&other, &card, Visibility::Department, NOW)
        .await;
    assert!(visible.unwrap().is_none());
    assert_eq!(
        store.visibility(&other.department, &card).await.unwrap(),
        None
    );
    let now = store.card_revision(&owner.department, &card).await.unwrap();
    assert_eq!(now, Some(1), "sharing makes no revision");
}

#[tokio::test]
async fn a_partnership_is_asked_by_one_accepted_by_the_other_and_ended_by_either() {
    let Empty { store, .. } = &empty().await;
    let (one, other) = (
        member_of(store, "Oakmere").await,
        member_of(store, "Saltby").await,
    );
    let standing = async |of: &Actor| {
        let all = store.partnerships(&of.department).await.unwrap();
        all.first().map(|p| p.standing)
    };
    assert_eq!(standing(&one).await, None);
    store
        .ask_partner(&one, &other.department, NOW)
        .await
        .unwrap();
    store
        .ask_partner(&one, &other.department, NOW)
        .await
        .unwrap();
    assert_eq!(standing(&one).await, Some(PartnerStanding::AskedByUs));
    assert_eq!(standing(&other).await, Some(PartnerStanding::AskedByThem));
    let own = store
        .accept_partner(&one, &other.department, NOW)
        .await
        .unwrap();
    assert_eq!(own, None, "nobody accepts their own asking");
    store
        .accept_partner(&other, &one.department, NOW)
        .await
        .unwrap()
        .unwrap();
    for of in [&one, &other] {
        assert_eq!(standing(of).await, Some(PartnerStanding::Partners));
    }
    store
        .end_partner(&one, &other.department, NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(standing(&other).await, None);
    assert_eq!(
        store
            .end_partner(&one, &other.department, NOW)
            .await
            .unwrap(),
        None
    );

    // Both asked: that is both wanting it.
    store
        .ask_partner(&other, &one.department, NOW)
        .await
        .unwrap();
    let both = store
        .ask_partner(&one, &other.department, NOW)
        .await
        .unwrap();
    assert_eq!(both, Some(PartnerStanding::Partners));
    let none = store
        .ask_partner(&one, &DepartmentId::new("nobody"), NOW)
        .await;
    assert_eq!(none.unwrap(), None);
    let itself = store.ask_partner(&one, &one.department, NOW).await;
    assert_eq!(itself.unwrap(), None);
    for of in [&one, &other] {
        let lines = store.audit(&of.department, None, 99).await.unwrap();
        let actions = lines.iter().rev().map(|l| l.action.as_str());
        let actions: Vec<&str> = actions.filter(|a| a.starts_with("partner-")).collect();
        let told = ["partner-asked", "partner-accepted", "partner-ended"];
        assert_eq!(actions, [&told[..], &told[..2]].concat());
    }
}

#[tokio::test]
async fn a_partner_offers_and_whatever_it_says_of_itself_it_is_only_offered() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = two(store).await;
    let findings = [component("", "c1", 1.0, 2.0), bare("", Status::Accepted)];
    let offer = async || {
        store
            .offer_findings(&other, &card, &findings, NOW)
            .await
            .unwrap()
    };
    set(store, &owner, &card, Visibility::Everyone).await;
    assert!(offer().await.is_none(), "reading is not partnership");
    partners(store, &owner, &other).await;
    set(store, &owner, &card, Visibility::Department).await;
    assert!(offer().await.is_none(), "what is not seen does not exist");
    set(store, &owner, &card, Visibility::Partners).await;
    let offered = offer().await.unwrap();
    assert!(
        offered
            .card
            .findings
            .iter()
            .all(|f| f.status == Status::Offered)
    );
    assert_eq!(offered.card.findings.len(), 2);
    offer().await.unwrap();

    let log = store
        .status_log(&owner.department, &card)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(log[0].member_name, "Ada Fenn (Saltby)");
    assert_eq!(
        log[0].member, log[3].member,
        "one guest however often they offer"
    );
    assert_ne!(log[0].member, other.member);
    let people = store.people(&owner).await.unwrap();
    assert_eq!(people.len(), 1, "a guest is no member");
    let all = pillarbook::domain::role::Roles::all();
    let given = store.change_roles(&owner, &log[0].member, &all, NOW).await;
    assert_eq!(given.unwrap(), None, "nobody makes a guest one");
    let accept = [StatusChange {
        finding: "f1".into(),
        status: Status::Accepted,
        reason: None,
    }];
    let by_partner = store.change_status(&other, &card, None, &accept, NOW).await;
    assert!(by_partner.unwrap().is_none(), "accepting is the owner's");
    let by_member = store.change_status(&owner, &card, None, &accept, NOW).await;
    assert!(matches!(
        by_member,
        Err(StoreError::Waits {
            waits_for: WaitsFor::Officer,
            ..
        })
    ));
    let officer = officer_of(store, &owner, "Bo Carrow").await;
    let by_owner = store
        .change_status(&officer, &card, None, &accept, NOW)
        .await;
    assert_eq!(
        status_of(&by_owner.unwrap().unwrap().card.findings, "f1"),
        Status::Accepted
    );
}

#[tokio::test]
async fn a_link_opens_its_card_until_it_expires_or_is_revoked_and_counts() {
    let held = empty().await;
    let store = &held.store;
    let (owner, other, card) = two(store).await;
    let secret = "a-long-random-secret-for-this-test-alone";
    let expires = NOW + Duration::days(7);
    let make = |by| store.make_link(by, &card, (secret, "for engine 4"), expires, NOW);
    assert!(make(&other).await.unwrap().is_none());
    let id = make(&owner).await.unwrap().unwrap();
    let (link, opened) = store.linked_card(secret, NOW).await.unwrap().unwrap();
    assert_eq!((&link.id, &opened.id), (&id, &card));
    store.count_opening(&id, NOW).await.unwrap();
    let known = store.links(&owner.department, &card).await.unwrap();
    assert_eq!(
        (known[0].opened, known[0].last_opened_at.is_some()),
        (1, true)
    );
    assert!(
        store
            .links(&other.department, &card)
            .await
            .unwrap()
            .is_empty()
    );

    assert!(store.linked_card("another", NOW).await.unwrap().is_none());
    assert!(
        store.linked_card(secret, expires).await.unwrap().is_none(),
        "expired"
    );
    let no = store.revoke_link(&other, &card, &id, NOW).await.unwrap();
    assert_eq!(no, None);
    let no = store
        .revoke_link(&owner, &card, &LinkId::new("nothing"), NOW)
        .await;
    assert_eq!(no.unwrap(), None);
    store
        .revoke_link(&owner, &card, &id, NOW)
        .await
        .unwrap()
        .unwrap();
    assert!(
        store.linked_card(secret, NOW).await.unwrap().is_none(),
        "revoked"
    );

    store.close().await;
    for entry in std::fs::read_dir(held.directory.path()).unwrap() {
        let bytes = std::fs::read(entry.unwrap().path()).unwrap();
        let found = bytes.windows(secret.len()).any(|w| w == secret.as_bytes());
        assert!(!found, "the secret is on the disk");
    }
}

#[tokio::test]
async fn no_number_a_partner_gives_stops_the_counting_of_the_owners_findings() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = two(store).await;
    set(store, &owner, &card, Visibility::Partners).await;
    partners(store, &owner, &other).await;
    for number in [u64::from(u32::MAX), u64::MAX] {
        let (id, part) = (format!("f{number}"), format!("c{number}"));
        let huge = [component(&id, &part, 80.0, 210.0)];
        let offered = store.offer_findings(&other, &card, &huge, NOW).await;
        offered.unwrap().unwrap();
    }
    for expected in [("f1", "c1"), ("f2", "c2"), ("f3", "c3")] {
        let own = [component("", "", 80.0, 210.0)];
        let added = store.add_findings(&owner, &card, None, &own, NOW).await;
        added.unwrap().unwrap();
        let all = findings(store, &owner, &card).await;
        let last = all.last().unwrap();
        let part = match &last.report {
            Report::Component(part) => part.component.as_str(),
            Report::Bare(_) => panic!("a part was recorded"),
        };
        assert_eq!((last.id.as_str(), part), expected, "a part of its own");
    }
}

#[tokio::test]
async fn nobody_fills_a_card_beyond_what_it_holds_or_puts_a_finding_off_its_body() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = two(store).await;
    set(store, &owner, &card, Visibility::Partners).await;
    partners(store, &owner, &other).await;
    let off = [component("", "", 5_000.0, 5_100.0)];
    let many = vec![component("", "c1", 80.0, 210.0); MOST_FINDINGS + 1];
    let offered = store.offer_findings(&other, &card, &off, NOW).await;
    assert!(matches!(offered, Err(StoreError::Misplaced(_))));
    let offered = store.offer_findings(&other, &card, &many, NOW).await;
    assert!(matches!(offered, Err(StoreError::TooMany { .. })));
    let added = store.add_findings(&owner, &card, None, &off, NOW).await;
    assert!(matches!(added, Err(StoreError::Misplaced(_))));
    let added = store.add_findings(&owner, &card, None, &many, NOW).await;
    assert!(matches!(added, Err(StoreError::TooMany { .. })));
    let good = [component("", "", 80.0, 210.0)];
    store
        .add_findings(&owner, &card, None, &good, NOW)
        .await
        .unwrap()
        .unwrap();
    let [off] = off;
    let corrected = store.correct_finding(&owner, &card, None, "f1", off, NOW);
    assert!(matches!(corrected.await, Err(StoreError::Misplaced(_))));
    assert_eq!(findings(store, &owner, &card).await.len(), 1);
}
