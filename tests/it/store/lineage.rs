//! Cards copied into one's own book, and what changed at the source taken over.

use super::sharing::partners;
use super::*;
use crate::properties::cases;
use crate::support::cards::card;
use pillarbook::domain::annotation::{Annotation, Standing, Target};
use pillarbook::domain::card::Card;
use pillarbook::domain::policy::Policy;
use pillarbook::domain::visibility::Visibility;
use pillarbook::domain::zone::change::{LEAST_MM, no_cut_changes};
use pillarbook::domain::zone::{Zones, zones};
use pillarbook::store::{NewAbout, NewRemark, StoreError, StoredCard};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// A source's member and officer, and a copier's.
struct Two {
    source: Actor,
    source_officer: Actor,
    copier: Actor,
    officer: Actor,
}

async fn two(store: &Store) -> Two {
    let source = member_of(store, "Oakmere").await;
    let copier = member_of(store, "Saltby").await;
    partners(store, &source, &copier).await;
    Two {
        source_officer: officer_of(store, &source, "Bo Carrow").await,
        officer: officer_of(store, &copier, "Di Holt").await,
        source,
        copier,
    }
}

impl Two {
    /// A card of the source that the copier reads.
    async fn shown(&self, store: &Store, card: Card) -> CardId {
        let id = store.import_card(&self.source, card, NOW).await.unwrap().id;
        let shown = store.set_visibility(&self.source, &id, Visibility::Partners, NOW);
        shown.await.unwrap().unwrap();
        id
    }

    async fn read(&self, store: &Store, card: &CardId) -> StoredCard {
        let stored = store.card(&self.copier.department, card).await;
        stored.unwrap().unwrap()
    }

    /// Ids of the source's findings.
    async fn all(&self, store: &Store, source: &CardId) -> BTreeSet<String> {
        let stored = self.read(store, source).await;
        stored.card.findings.iter().map(|f| f.id.clone()).collect()
    }
}

/// Takes everything over as somebody; what waits for another.
async fn take_all(store: &Store, two: &Two, by: &Actor, of: (&CardId, &CardId)) -> Vec<String> {
    let (source, copy) = of;
    let picked = two.all(store, source).await;
    let revision = two.read(store, copy).await.revision;
    let taken = store
        .take_over(
            by,
            copy,
            (revision, &picked, &pillarbook::store::Take::default()),
            NOW,
        )
        .await;
    taken.unwrap().unwrap().1
}

fn zones_of(card: &Card) -> Zones {
    zones(card, &Variant::default()).unwrap()
}

/// The spans as both read them: stretches and gaps, whatever ids stand behind.
fn spans(zones: &Zones) -> Vec<(String, String)> {
    let said = |s: &pillarbook::domain::zone::SpanZones| {
        let stretches: Vec<_> = s
            .stretches
            .iter()
            .map(|s| (s.from_mm, s.to_mm, s.class))
            .collect();
        format!("{stretches:?} {:?}", s.gaps)
    };
    zones
        .spans
        .iter()
        .map(|s| (s.id.to_string(), said(s)))
        .collect()
}

#[tokio::test]
async fn a_copy_is_made_once_by_who_reads_it_and_all_of_it_is_offered() {
    let held = empty().await;
    let store = &held.store;
    let two = two(store).await;
    let card = store
        .create_card(&two.source, &details(), NOW)
        .await
        .unwrap()
        .id;
    let findings = [
        component("f1", "c1", 80.0, 210.0),
        bare("b1", Status::Accepted),
    ];
    store
        .add_findings(&two.source, &card, None, &findings, NOW)
        .await
        .unwrap();
    let unread = store.adopt(&two.copier, &card, NOW).await.unwrap();
    assert!(unread.is_none(), "it is kept back");
    let own = store.adopt(&two.source, &card, NOW).await.unwrap();
    assert!(own.is_none(), "it is theirs already");
    let shown = store.set_visibility(&two.source, &card, Visibility::Partners, NOW);
    shown.await.unwrap().unwrap();
    let copy = store.adopt(&two.copier, &card, NOW).await.unwrap().unwrap();
    assert_eq!(copy.department, two.copier.department);
    assert!(
        copy.card
            .findings
            .iter()
            .all(|f| f.status == Status::Offered)
    );
    let kept = no_cut_changes(
        &zones_of(&two.read(store, &card).await.card),
        &zones_of(&copy.card),
    );
    assert!(
        kept.iter().all(|c| c.shrinks_mm <= LEAST_MM),
        "an offer widens"
    );
    let lineage = store
        .lineage(&two.copier.department, &copy.id)
        .await
        .unwrap();
    assert_eq!(
        lineage.map(|l| (l.card, l.name)),
        Some((card.clone(), "Oakmere".into()))
    );
    let again = store.adopt(&two.copier, &card, NOW).await;
    assert!(matches!(again, Err(StoreError::Duplicate { id }) if id == copy.id.as_str()));
}

#[tokio::test]
async fn what_changed_at_the_source_is_taken_over_by_whoever_may_decide_it() {
    let held = empty().await;
    let store = &held.store;
    let two = two(store).await;
    let long = Finding {
        note: Some("first".into()),
        ..component("f1", "c1", 80.0, 500.0)
    };
    let card = Card {
        findings: vec![long],
        ..file()
    };
    let source = two.shown(store, card).await;
    let copy = store
        .adopt(&two.copier, &source, NOW)
        .await
        .unwrap()
        .unwrap()
        .id;
    assert_eq!(
        take_all(store, &two, &two.officer, (&source, &copy)).await,
        [""; 0]
    );
    assert_eq!(
        findings(store, &two.copier, &copy).await[0].status,
        Status::Accepted
    );

    // Corrected there, by two people.
    let smaller = component("", "c1", 80.0, 210.0);
    store
        .correct_finding(&two.source, &source, None, "f1", smaller, NOW)
        .await
        .unwrap();
    let accept = [to("f2", Status::Accepted, None)];
    store
        .change_status(&two.source_officer, &source, None, &accept, NOW)
        .await
        .unwrap();
    let waiting = take_all(store, &two, &two.copier, (&source, &copy)).await;
    assert!(
        !waiting.is_empty(),
        "a member brings it in and decides nothing"
    );
    let here = findings(store, &two.copier, &copy).await;
    let stands: Vec<Status> = here.iter().map(|f| f.status).collect();
    assert_eq!(stands, [Status::Accepted, Status::Offered]);
    assert_eq!(here[1].supersedes.as_deref(), Some("f1"));
    assert_eq!(
        take_all(store, &two, &two.officer, (&source, &copy)).await,
        [""; 0]
    );
    let here = findings(store, &two.copier, &copy).await;
    let stands: Vec<Status> = here.iter().map(|f| f.status).collect();
    assert_eq!(stands, [Status::Superseded, Status::Accepted]);

    let stale = store
        .take_over(
            &two.officer,
            &copy,
            (1, &BTreeSet::new(), &pillarbook::store::Take::default()),
            NOW,
        )
        .await;
    assert!(matches!(stale, Err(StoreError::Conflict { .. })));
    let withdraw = [to("f2", Status::Withdrawn, Some("wrong car"))];
    store
        .change_status(&two.source_officer, &source, None, &withdraw, NOW)
        .await
        .unwrap();
    assert_eq!(
        take_all(store, &two, &two.officer, (&source, &copy)).await,
        [""; 0]
    );
    let here = findings(store, &two.copier, &copy).await;
    assert_eq!(here[1].status, Status::Withdrawn);
    assert!(
        here[1]
            .reason
            .as_deref()
            .unwrap()
            .contains("withdrawn in the book of Oakmere: wrong car")
    );

    let kept_back = store.set_visibility(&two.source, &source, Visibility::Department, NOW);
    kept_back.await.unwrap().unwrap();
    let beside = store
        .beside_source(&two.copier.department, &copy)
        .await
        .unwrap();
    assert!(beside.is_none(), "the copy stays, the source is not read");
    let confirm = [to("f2", Status::Accepted, None)];
    let by_source = store
        .change_status(&two.source_officer, &copy, None, &confirm, NOW)
        .await;
    assert!(by_source.unwrap().is_none(), "the copy is the copier's");
}

/// The card of [`details`] as a file, with no findings.
fn file() -> Card {
    let details = details();
    Card {
        measured: details.measured,
        ..Card::unrecorded(details.vehicle)
    }
}

proptest! {
    #![proptest_config(cases(40))]

    /// Copied by a member, taken over whole by an officer: the same zones as at the
    /// source, under the same policy.
    #[test]
    fn a_copy_taken_over_whole_has_the_zones_of_its_source(drawn in card()) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let held = empty().await;
            let store = &held.store;
            let two = two(store).await;
            let source = two.shown(store, Card { policy: Policy::default(), ..drawn }).await;
            let copy = store.adopt(&two.copier, &source, NOW).await.unwrap().unwrap().id;
            let waiting = take_all(store, &two, &two.officer, (&source, &copy)).await;
            assert_eq!(waiting, [""; 0]);
            let of = async |id: &CardId| spans(&zones_of(&two.read(store, id).await.card));
            assert_eq!(of(&source).await, of(&copy).await);
        });
    }
}

#[tokio::test]
async fn a_copy_brings_no_note_that_the_source_keeps_to_itself() {
    let held = empty().await;
    let store = &held.store;
    let two = two(store).await;
    let source = two.shown(store, file()).await;
    let note = |text: &str| NewRemark {
        about: NewAbout::Note(Target::Card),
        text: text.into(),
        photos: Vec::new(),
    };
    let notes = ["for all", "hidden", "withdrawn"].map(note);
    let written = store.add_remarks(&two.source, &source, None, &notes, NOW);
    written.await.unwrap().unwrap();
    let reply = [NewRemark {
        about: NewAbout::Reply("n1".into()),
        ..note("a hidden reply")
    }];
    let written = store.add_remarks(&two.source, &source, None, &reply, NOW);
    written.await.unwrap().unwrap();
    for (id, to) in [
        ("n2", Standing::Hidden),
        ("n3", Standing::Withdrawn),
        ("n4", Standing::Hidden),
    ] {
        let why = (to, Some("ours alone"));
        let settled = store.settle_remark(&two.source, &source, id, why, NOW);
        settled.await.unwrap().unwrap();
    }
    let copy = store
        .adopt(&two.copier, &source, NOW)
        .await
        .unwrap()
        .unwrap();
    let texts: Vec<&str> = copy
        .card
        .annotations
        .iter()
        .flat_map(Annotation::remarks)
        .map(|r| r.text.as_str())
        .collect();
    assert_eq!(texts, ["for all"]);
    let beside = store.beside_source(&two.copier.department, &copy.id).await;
    let beside = beside.unwrap().unwrap();
    assert_eq!(beside.source.card.annotations, copy.card.annotations);
    assert_eq!(beside.difference.details, []);
    assert!(beside.difference.remarks.is_nothing_new());
}

#[tokio::test]
async fn what_is_off_the_body_of_the_copy_is_not_taken_over_and_the_copy_keeps_its_zones() {
    let held = empty().await;
    let store = &held.store;
    let two = two(store).await;
    let source = two.shown(store, file()).await;
    let copy = store
        .adopt(&two.copier, &source, NOW)
        .await
        .unwrap()
        .unwrap();
    let mut longer = details();
    longer.measured.length_mm = Some(5_000.0);
    longer.measured.wheelbase_mm = Some(3_050.0);
    let measured = store.update_details(&two.source, &source, 1, &longer, NOW);
    measured.await.unwrap().unwrap();
    let length = |card: &Card| {
        let zones = zones_of(card);
        let rocker = zones.spans.iter().find(|s| s.id == "rocker.left").unwrap();
        rocker.stretches.last().unwrap().to_mm
    };
    let there = length(&two.read(store, &source).await.card);
    assert!(
        there > length(&copy.card) + 101.0,
        "longer by more than a clamp"
    );
    let mut far = component("", "", there - 10.0, there);
    if let Report::Component(part) = &mut far.report {
        part.place = Place::OnSpan {
            span: "rocker.left".into(),
            from_mm: there - 10.0,
            to_mm: there,
        };
    }
    store
        .add_findings(&two.source, &source, None, &[far], NOW)
        .await
        .unwrap()
        .unwrap();
    let picked = two.all(store, &source).await;
    let taken = store
        .take_over(
            &two.officer,
            &copy.id,
            (copy.revision, &picked, &pillarbook::store::Take::default()),
            NOW,
        )
        .await;
    assert!(matches!(taken, Err(StoreError::Misplaced(_))), "{taken:?}");
    let now = two.read(store, &copy.id).await;
    assert_eq!(now.revision, copy.revision);
    zones_of(&now.card);
}
