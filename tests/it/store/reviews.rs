//! Cards looked over by an officer, until that is due again.

use super::*;
use pillarbook::domain::decision::WaitsFor;
use pillarbook::domain::zone::{Class, WarningCode, zones};
use pillarbook::store::{StoreError, StoredCard};

/// Long after any review made at [`NOW`].
fn years_later() -> OffsetDateTime {
    NOW + time::Duration::days(800)
}

fn today() -> OffsetDateTime {
    NOW
}

async fn read(store: &Store, actor: &Actor, card: &CardId) -> StoredCard {
    let stored = store.card(&actor.department, card).await;
    stored.unwrap().unwrap()
}

/// Whether any stretch of the card reads bare, and whether it says that a review is
/// overdue.
fn reads(stored: &StoredCard) -> (bool, bool) {
    let zones = zones(&stored.card, &Variant::default()).unwrap();
    let mut stretches = zones.spans.iter().flat_map(|s| &s.stretches);
    let says = |w: &pillarbook::domain::zone::Warning| w.code == WarningCode::ReviewOverdue;
    (
        stretches.any(|s| s.class == Class::Bare),
        zones.warnings.iter().any(says),
    )
}

/// A department with a card of a member's, a bare stretch on it confirmed.
struct Crew {
    member: Actor,
    officer: Actor,
    card: CardId,
}

async fn crew(store: &Store) -> Crew {
    let member = member_of(store, "Oakmere").await;
    let officer = officer_of(store, &member, "Bo Carrow").await;
    let card = store
        .create_card(&member, &details(), NOW)
        .await
        .unwrap()
        .id;
    let bare = [bare("b1", Status::Offered)];
    let added = store.add_findings(&member, &card, None, &bare, NOW).await;
    added.unwrap().unwrap();
    let confirm = [to("b1", Status::Accepted, None)];
    let done = store
        .change_status(&officer, &card, None, &confirm, NOW)
        .await;
    done.unwrap().unwrap();
    Crew {
        member,
        officer,
        card,
    }
}

async fn review(store: &Store, by: &Actor, card: &CardId) -> Result<StoredCard, StoreError> {
    let revision = store.card_revision(&by.department, card).await.unwrap();
    let done = store
        .review_card(by, card, revision.unwrap(), None, NOW)
        .await;
    done.map(|stored| stored.unwrap())
}

#[tokio::test]
async fn a_card_is_a_draft_until_an_officer_who_wrote_none_of_it_reviews_it() {
    let held = empty().await;
    let store = &held.store.clone().by_clock(today);
    let crew = crew(store).await;
    assert_eq!(
        read(store, &crew.officer, &crew.card).await.review.last,
        None
    );
    let refused = review(store, &crew.member, &crew.card).await;
    assert!(matches!(
        refused,
        Err(StoreError::ReviewWaits {
            waits_for: WaitsFor::Officer
        })
    ));
    let reviewed = review(store, &crew.officer, &crew.card).await.unwrap();
    let last = reviewed.review.last.unwrap();
    assert_eq!((last.by.as_str(), last.single_handed), ("Bo Carrow", false));

    // What the officer wrote since is for another to look over.
    let own = [component("f1", "c1", 900.0, 920.0)];
    let added = store
        .add_findings(&crew.officer, &crew.card, None, &own, NOW)
        .await;
    added.unwrap().unwrap();
    let refused = review(store, &crew.officer, &crew.card).await;
    assert!(matches!(
        refused,
        Err(StoreError::ReviewWaits {
            waits_for: WaitsFor::OtherOfficer
        })
    ));
    let other = officer_of(store, &crew.member, "Di Holt").await;
    assert!(review(store, &other, &crew.card).await.is_ok());
    let stale = store.review_card(&other, &crew.card, 2, None, NOW).await;
    assert!(matches!(stale, Err(StoreError::Conflict { .. })));
}

#[tokio::test]
async fn while_a_review_is_overdue_no_bare_counts_and_a_new_one_brings_it_back() {
    let held = empty().await;
    let now = &held.store.clone().by_clock(today);
    let later = &held.store.clone().by_clock(years_later);
    let crew = crew(now).await;
    let (department, card) = (&crew.officer.department, &crew.card);
    // A draft is nobody's to be late with.
    assert_eq!(
        reads(&read(later, &crew.officer, card).await),
        (true, false)
    );
    assert!(!later.is_review_late(department, card).await.unwrap());
    review(now, &crew.officer, card).await.unwrap();
    assert_eq!(reads(&read(now, &crew.officer, card).await), (true, false));
    assert!(!now.is_review_late(department, card).await.unwrap());

    assert_eq!(
        reads(&read(later, &crew.officer, card).await),
        (false, true)
    );
    assert!(later.is_review_late(department, card).await.unwrap());
    // As it was read then, it was not late.
    let then = later.card_at(department, card, 2).await.unwrap().unwrap();
    assert!(!then.card.review_overdue);
    let revision = later
        .card_revision(department, card)
        .await
        .unwrap()
        .unwrap();
    let again = later.review_card(&crew.officer, card, revision, None, years_later());
    again.await.unwrap().unwrap();
    assert_eq!(
        reads(&read(later, &crew.officer, card).await),
        (true, false)
    );
}

#[tokio::test]
async fn a_newer_finding_in_dispute_makes_it_due_and_an_older_dispute_does_not() {
    let held = empty().await;
    let store = &held.store.clone().by_clock(today);
    let crew = crew(store).await;
    let far = |id: &str, from: f64, car: &str| Finding {
        car: Some(car.into()),
        ..component(id, "c1", from, from + 20.0)
    };
    let add = async |finding: Finding| {
        let one = [finding];
        let added = store.add_findings(&crew.member, &crew.card, None, &one, NOW);
        added.await.unwrap().unwrap()
    };
    add(far("f1", 10.0, "yard 1")).await;
    add(far("f2", 150.0, "yard 2")).await;
    let disputed = review(store, &crew.officer, &crew.card).await.unwrap();
    assert!(
        !disputed.card.review_overdue,
        "the officer has seen this dispute"
    );
    let calm = add(component("f3", "c3", 900.0, 920.0)).await;
    assert!(!calm.card.review_overdue, "nothing disputes it");
    let newer = add(far("f4", 400.0, "yard 3")).await;
    assert!(newer.card.review_overdue);
    assert!(!reads(&newer).0);
    let settled = review(store, &crew.officer, &crew.card).await.unwrap();
    assert!(!settled.card.review_overdue);
}

#[tokio::test]
async fn who_is_alone_reviews_single_handed_and_the_days_are_the_departments_own() {
    let held = empty().await;
    let store = &held.store.clone().by_clock(today);
    let (alone, card) = card_with(store, &[component("f1", "c1", 80.0, 210.0)]).await;
    let reviewed = review(store, &alone, &card).await.unwrap();
    assert!(reviewed.review.last.unwrap().single_handed);
    assert_eq!(store.review_days(&alone.department).await.unwrap(), 365);
    store.set_review_days(&alone, 1, NOW).await.unwrap();
    store.set_review_days(&alone, 30, NOW).await.unwrap();
    assert_eq!(read(store, &alone, &card).await.review.days, 30);
    let other = member_of(store, "Saltby").await;
    assert_eq!(store.review_days(&other.department).await.unwrap(), 365);
}
