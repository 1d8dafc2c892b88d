//! Archives from one book into another, and back into the same.

use super::{Empty, NOW, bare, component, details, empty, member_of, officer_of, to};
use pillarbook::contract::archive::{self, Archive, Contents};
use pillarbook::domain::finding::{Finding, Report, Status};
use pillarbook::store::{Actor, CardId, Incoming, Store, StoreError, TakenIn, WaitingError};

/// What a department would send.
pub async fn sent(store: &Store, of: &Actor) -> Contents {
    let made = store.archive(&of.department, None, NOW).await;
    made.unwrap().unwrap()
}

/// The archive as it arrives.
pub fn arrived(contents: &Contents) -> Archive {
    archive::read(&archive::write(contents).unwrap()).unwrap()
}

pub async fn compared(store: &Store, to: &Actor, archive: &Archive) -> Vec<Incoming> {
    store.compare_archive(to, archive).await.unwrap()
}

pub async fn taken(
    store: &Store,
    to: &Actor,
    archive: &Archive,
    how: (bool, bool),
) -> Vec<TakenIn> {
    let incoming = compared(store, to, archive).await;
    let taken = store
        .take_in_archive(to, (archive, &incoming), how, &Default::default(), NOW)
        .await;
    taken.unwrap()
}

async fn findings(store: &Store, of: &Actor, card: &CardId) -> Vec<Finding> {
    let read = store.card(&of.department, card).await.unwrap().unwrap();
    read.card.findings
}

/// A department with one card of two findings, the bare one confirmed.
pub async fn sender(store: &Store) -> (Actor, CardId) {
    let sender = member_of(store, "Saltby").await;
    let card = store
        .create_card(&sender, &details(), NOW)
        .await
        .unwrap()
        .id;
    let all = [
        component("f1", "c1", 100.0, 200.0),
        bare("f2", Status::Offered),
    ];
    store
        .add_findings(&sender, &card, None, &all, NOW)
        .await
        .unwrap();
    let officer = officer_of(store, &sender, "Cy Dunn").await;
    let confirm = [to("f2", Status::Accepted, None)];
    store
        .change_status(&officer, &card, None, &confirm, NOW)
        .await
        .unwrap();
    (sender, card)
}

#[tokio::test]
async fn a_new_card_s_findings_come_as_offers_and_a_second_time_as_known() {
    let Empty { store, .. } = &empty().await;
    let (sender, _) = sender(store).await;
    let receiver = member_of(store, "Fenwick").await;
    let archive = arrived(&sent(store, &sender).await);
    let first = taken(store, &receiver, &archive, (false, false)).await;
    assert!(first[0].new_card);
    let all = findings(store, &receiver, &first[0].card).await;
    assert_eq!(all.len(), 2);
    assert!(
        all.iter().all(|f| f.status == Status::Offered),
        "bare ones too"
    );

    let again = compared(store, &receiver, &archive).await;
    let (_, difference) = again[0].here.as_ref().expect("the card is known");
    assert_eq!((difference.known, difference.new.len()), (2, 0));
    assert_eq!(difference.standing.len(), 2, "they stand as accepted there");
    let second = taken(store, &receiver, &archive, (true, true)).await;
    assert_eq!((second[0].new_card, second[0].findings), (false, 0));
    assert_eq!(
        findings(store, &receiver, &first[0].card).await,
        all,
        "nothing of it changed"
    );
}

#[tokio::test]
async fn a_department_s_own_archive_brings_nothing_to_its_own_book() {
    let Empty { store, .. } = &empty().await;
    let (sender, card) = sender(store).await;
    let before = store.card(&sender.department, &card).await.unwrap();
    let archive = arrived(&sent(store, &sender).await);
    let done = taken(store, &sender, &archive, (true, true)).await;
    assert_eq!(
        done,
        [TakenIn {
            card: card.clone(),
            new_card: false,
            findings: 0,
            notes: 0,
            photos: 0,
            left_out: 0
        }]
    );
    assert_eq!(store.card(&sender.department, &card).await.unwrap(), before);
}

#[tokio::test]
async fn later_findings_are_offered_to_the_card_an_earlier_archive_made() {
    let Empty { store, .. } = &empty().await;
    let (sender, card) = sender(store).await;
    let receiver = member_of(store, "Fenwick").await;
    let made = taken(
        store,
        &receiver,
        &arrived(&sent(store, &sender).await),
        (true, false),
    )
    .await;
    // Both books go on by themselves, and give out the same next number.
    let here = [component("f3", "c2", 700.0, 750.0)];
    store
        .add_findings(&receiver, &made[0].card, None, &here, NOW)
        .await
        .unwrap();
    let there = [
        component("f3", "c2", 300.0, 350.0),
        component("f4", "c1", 110.0, 190.0),
        component("f5", "c3", 400.0, 450.0),
    ];
    store
        .add_findings(&sender, &card, None, &there, NOW)
        .await
        .unwrap();

    let archive = arrived(&sent(store, &sender).await);
    let incoming = compared(store, &receiver, &archive).await;
    let (_, difference) = incoming[0].here.as_ref().unwrap();
    assert_eq!(difference.conflicts.len(), 1);
    assert_eq!(
        (
            difference.conflicts[0].here.id.as_str(),
            difference.new.len()
        ),
        ("f3", 2)
    );
    let done = taken(store, &receiver, &archive, (true, false)).await;
    assert_eq!((done[0].findings, done[0].left_out), (2, 1));

    let all = findings(store, &receiver, &made[0].card).await;
    let of = |id: &str| {
        let finding = all.iter().find(|f| f.id == id).unwrap();
        let Report::Component(part) = &finding.report else {
            panic!("a part")
        };
        (part.component.as_str(), finding.status)
    };
    assert_eq!(
        of("f4"),
        ("c1", Status::Offered),
        "the part both books know"
    );
    let (part, status) = of("f5");
    assert_eq!(
        status,
        Status::Offered,
        "own or not: a known card gets offers"
    );
    assert!(
        !["c1", "c2"].contains(&part),
        "never a part that only shares a number"
    );

    // What is in conflict is taken in too where somebody says so, under a new number.
    let done = taken(store, &receiver, &archive, (true, true)).await;
    assert_eq!((done[0].findings, done[0].left_out), (1, 0));
    assert_eq!(findings(store, &receiver, &made[0].card).await.len(), 6);
    let done = taken(store, &receiver, &archive, (true, true)).await;
    assert_eq!(done[0].findings, 0, "and then it is known");
}

#[tokio::test]
async fn a_card_that_moved_on_since_it_was_compared_takes_nothing_in() {
    let Empty { store, .. } = &empty().await;
    let (sender, card) = sender(store).await;
    let receiver = member_of(store, "Fenwick").await;
    let made = taken(
        store,
        &receiver,
        &arrived(&sent(store, &sender).await),
        (false, false),
    )
    .await;
    let more = [component("", "c9", 700.0, 750.0)];
    store
        .add_findings(&sender, &card, None, &more, NOW)
        .await
        .unwrap();
    store.create_card(&sender, &details(), NOW).await.unwrap();
    let archive = arrived(&sent(store, &sender).await);
    let incoming = compared(store, &receiver, &archive).await;
    let meanwhile = [component("", "", 500.0, 550.0)];
    store
        .add_findings(&receiver, &made[0].card, None, &meanwhile, NOW)
        .await
        .unwrap();
    let refused = store
        .take_in_archive(
            &receiver,
            (&archive, &incoming),
            (false, false),
            &Default::default(),
            NOW,
        )
        .await;
    assert!(matches!(refused, Err(StoreError::Conflict { .. })));
    let cards = store.all_summaries(&receiver.department).await.unwrap();
    assert_eq!(cards.len(), 1, "the new card of the archive neither");
}

#[tokio::test]
async fn an_archive_holds_the_department_s_own_cards_alone() {
    let Empty { store, .. } = &empty().await;
    let (sender, card) = sender(store).await;
    let (other, others) = sender_of(store, "Fenwick").await;
    assert_eq!(sent(store, &sender).await.cards.len(), 1);
    let one = store
        .archive(&sender.department, Some(&card), NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!((one.cards.len(), one.origin.name.as_str()), (1, "Saltby"));
    assert!(
        store
            .archive(&sender.department, Some(&others), NOW)
            .await
            .unwrap()
            .is_none()
    );
    assert!(
        store
            .archive(&other.department, Some(&others), NOW)
            .await
            .unwrap()
            .is_some()
    );
}

async fn sender_of(store: &Store, department: &str) -> (Actor, CardId) {
    let member = member_of(store, department).await;
    let card = store
        .create_card(&member, &details(), NOW)
        .await
        .unwrap()
        .id;
    (member, card)
}

#[tokio::test]
async fn one_archive_a_member_waits_and_is_nobody_else_s() {
    let Empty { store, .. } = &empty().await;
    let one = member_of(store, "Saltby").await;
    let other = officer_of(store, &one, "Cy Dunn").await;
    let keep = async |who: &Actor, name: &str, mut bytes: &[u8], now| {
        let kept = store.keep_waiting_archive(who, name, &mut bytes, now).await;
        kept.unwrap();
    };
    keep(&one, "a.zip", b"first", NOW).await;
    // More than one piece of it.
    let second: Vec<u8> = (0..=255).cycle().take(2_500_000).collect();
    keep(&one, "b.zip", &second, NOW).await;
    let waits = store.waiting_archive(&one).await.unwrap().unwrap();
    assert_eq!((waits.name.as_str(), waits.bytes), ("b.zip", 2_500_000));
    let mut read = Vec::new();
    let done = store.read_waiting_archive(&one, &waits, &mut read).await;
    done.unwrap();
    assert_eq!(read, second);
    assert!(store.waiting_archive(&other).await.unwrap().is_none());
    let later = NOW + time::Duration::days(8);
    keep(&other, "c.zip", b"third", later).await;
    assert!(
        store.waiting_archive(&one).await.unwrap().is_none(),
        "left behind for long"
    );
    let gone = store
        .read_waiting_archive(&one, &waits, &mut Vec::new())
        .await;
    assert!(
        matches!(gone, Err(WaitingError::Gone)),
        "its pieces as well"
    );
    store.drop_waiting_archive(&other).await.unwrap();
    assert!(store.waiting_archive(&other).await.unwrap().is_none());
}
