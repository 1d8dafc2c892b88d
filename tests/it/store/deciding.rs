//! Who may decide where a finding stands, kept by the store whoever asks.

use super::sharing::partners;
use super::*;
use crate::properties::cases;
use pillarbook::domain::card::Card;
use pillarbook::domain::decision::WaitsFor;
use pillarbook::domain::finding::Resolved;
use pillarbook::domain::visibility::Visibility;
use pillarbook::domain::zone::change::{LEAST_MM, no_cut_changes};
use pillarbook::domain::zone::zones;
use pillarbook::store::{StoreError, StoredCard};
use proptest::prelude::*;
use proptest::sample::select;

type Done = Result<Option<StoredCard>, StoreError>;

fn waits(done: Done) -> Option<WaitsFor> {
    match done {
        Ok(done) => {
            assert!(done.is_some(), "there is such a card");
            None
        }
        Err(StoreError::Waits { waits_for, .. }) => Some(waits_for),
        Err(other) => panic!("{other}"),
    }
}

/// A department of two members and two officers, with a card.
struct Crew {
    member: Actor,
    second: Actor,
    officer: Actor,
    other_officer: Actor,
    card: CardId,
}

async fn crew(store: &Store) -> Crew {
    let member = member_of(store, "Oakmere").await;
    let second = store.create_member(&member.department, "Cy Marsh", NOW);
    let second = second.await.unwrap().unwrap();
    let card = store.create_card(&member, &details(), NOW).await.unwrap();
    Crew {
        officer: officer_of(store, &member, "Bo Carrow").await,
        other_officer: officer_of(store, &member, "Di Holt").await,
        card: card.id,
        member,
        second,
    }
}

impl Crew {
    async fn add(&self, store: &Store, by: &Actor, findings: &[Finding]) {
        let added = store
            .add_findings(by, &self.card, None, findings, NOW)
            .await;
        added.unwrap().unwrap();
    }

    async fn set(&self, store: &Store, by: &Actor, id: &str, status: Status) -> Option<WaitsFor> {
        let reason = (status != Status::Accepted).then_some("looked again");
        let change = [to(id, status, reason)];
        waits(
            store
                .change_status(by, &self.card, None, &change, NOW)
                .await,
        )
    }
}

#[tokio::test]
async fn a_bare_finding_waits_for_a_second_person() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    crew.add(store, &crew.member, &[bare("b1", Status::Offered)])
        .await;
    let own = crew.set(store, &crew.member, "b1", Status::Accepted).await;
    assert_eq!(own, Some(WaitsFor::SecondPerson));
    let second = crew.set(store, &crew.second, "b1", Status::Accepted).await;
    assert_eq!(second, None);
}

#[tokio::test]
async fn what_shrinks_a_no_cut_is_withdrawn_by_an_officer_who_did_not_record_it() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    let far = |id: &str| component(id, id, 500.0, 520.0);
    crew.add(
        store,
        &crew.officer,
        &[component("f1", "c1", 80.0, 210.0), far("f2")],
    )
    .await;
    for by in [&crew.member, &crew.second, &crew.officer] {
        let waits = crew.set(store, by, "f1", Status::Withdrawn).await;
        assert_eq!(waits, Some(WaitsFor::OtherOfficer), "{}", by.member_name);
    }
    // Not together with something else either.
    let both = [
        to("f1", Status::Withdrawn, Some("x")),
        to("f2", Status::Withdrawn, Some("x")),
    ];
    let done = store
        .change_status(&crew.member, &crew.card, None, &both, NOW)
        .await;
    assert_eq!(waits(done), Some(WaitsFor::OtherOfficer));
    let all = findings(store, &crew.member, &crew.card).await;
    assert!(
        all.iter().all(|f| f.status == Status::Accepted),
        "nothing changed"
    );
    let other = crew
        .set(store, &crew.other_officer, "f1", Status::Withdrawn)
        .await;
    assert_eq!(other, None);
}

#[tokio::test]
async fn a_withdrawal_that_takes_nothing_away_is_anybodys() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    let twice = |id: &str, component_id: &str| component(id, component_id, 80.0, 210.0);
    crew.add(store, &crew.member, &[twice("f1", "c1"), twice("f2", "c2")])
        .await;
    assert_eq!(
        crew.set(store, &crew.member, "f2", Status::Withdrawn).await,
        None
    );
}

#[tokio::test]
async fn a_correction_that_shrinks_is_offered_until_another_officer_accepts_it() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    crew.add(store, &crew.member, &[component("f1", "c1", 80.0, 500.0)])
        .await;
    let smaller = component("", "c1", 80.0, 210.0);
    let done = store
        .correct_finding(&crew.officer, &crew.card, None, "f1", smaller, NOW)
        .await;
    assert_eq!(waits(done), None);
    let all = findings(store, &crew.member, &crew.card).await;
    let stands: Vec<Status> = all.iter().map(|f| f.status).collect();
    assert_eq!(stands, [Status::Accepted, Status::Offered]);
    for by in [&crew.member, &crew.officer] {
        let waits = crew.set(store, by, "f2", Status::Accepted).await;
        assert_eq!(waits, Some(WaitsFor::OtherOfficer), "{}", by.member_name);
    }
    assert_eq!(
        crew.set(store, &crew.other_officer, "f2", Status::Accepted)
            .await,
        None
    );
    let all = findings(store, &crew.member, &crew.card).await;
    let stands: Vec<Status> = all.iter().map(|f| f.status).collect();
    assert_eq!(stands, [Status::Superseded, Status::Accepted]);

    let larger = component("", "c1", 40.0, 600.0);
    let done = store
        .correct_finding(&crew.member, &crew.card, None, "f2", larger, NOW)
        .await;
    assert_eq!(waits(done), None);
    let all = findings(store, &crew.member, &crew.card).await;
    assert_eq!(
        all[2].status,
        Status::Accepted,
        "what only grows needs nobody"
    );
}

#[tokio::test]
async fn who_is_alone_does_it_single_handed_until_somebody_joins() {
    let Empty { store, .. } = &empty().await;
    let (alone, card) = card_with(store, &[component("f1", "c1", 80.0, 210.0)]).await;
    let add = [bare("b1", Status::Offered), bare("b2", Status::Offered)];
    store
        .add_findings(&alone, &card, None, &add, NOW)
        .await
        .unwrap();
    let confirm = |id| [to(id, Status::Accepted, None)];
    let done = store
        .change_status(&alone, &card, None, &confirm("b1"), NOW)
        .await;
    assert_eq!(waits(done), None);
    let second = store.create_member(&alone.department, "Cy Marsh", NOW);
    second.await.unwrap().unwrap();
    let done = store
        .change_status(&alone, &card, None, &confirm("b2"), NOW)
        .await;
    assert_eq!(waits(done), Some(WaitsFor::SecondPerson));
}

#[tokio::test]
async fn a_program_confirms_nothing_and_its_maker_not_what_it_recorded() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    let expires = NOW + time::Duration::days(9);
    let made = store.make_key(
        &crew.officer,
        ("tablet", Role::Officer),
        "s3cret",
        expires,
        NOW,
    );
    made.await.unwrap();
    let program = store.key_holder("s3cret", NOW).await.unwrap().unwrap();
    crew.add(store, &program, &[bare("b1", Status::Offered)])
        .await;
    crew.add(store, &crew.member, &[bare("b2", Status::Offered)])
        .await;
    let by_program = crew.set(store, &program, "b2", Status::Accepted).await;
    assert_eq!(by_program, Some(WaitsFor::SecondPerson));
    let by_maker = crew.set(store, &crew.officer, "b1", Status::Accepted).await;
    assert_eq!(by_maker, Some(WaitsFor::SecondPerson));
    assert_eq!(
        crew.set(store, &crew.member, "b1", Status::Accepted).await,
        None
    );
}

#[tokio::test]
async fn an_officer_who_did_not_record_it_resolves_a_contradiction() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    crew.add(store, &crew.officer, &[bare("b1", Status::Offered)])
        .await;
    let word = Resolved {
        by: "Di Holt".into(),
        on: NOW.date(),
    };
    for by in [&crew.member, &crew.officer] {
        let done = store
            .set_resolved(by, &crew.card, None, "b1", Some(&word), NOW)
            .await;
        assert_eq!(
            waits(done),
            Some(WaitsFor::OtherOfficer),
            "{}",
            by.member_name
        );
    }
    let by = &crew.other_officer;
    let done = store
        .set_resolved(by, &crew.card, None, "b1", Some(&word), NOW)
        .await;
    assert_eq!(waits(done), None);
    let back = store
        .set_resolved(&crew.member, &crew.card, None, "b1", None, NOW)
        .await;
    assert_eq!(waits(back), None, "taking it back is anybody's");
}

#[tokio::test]
async fn an_offer_is_never_resolved_and_takes_the_place_of_nothing_it_could_not_correct() {
    let Empty { store, .. } = &empty().await;
    let crew = crew(store).await;
    let guest = guest_of(store, &crew).await;
    crew.add(store, &crew.member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    let mut offered = bare("", Status::Accepted);
    if let Report::Bare(report) = &mut offered.report {
        report.resolved = Some(Resolved {
            by: "Ada Fenn".into(),
            on: NOW.date(),
        });
    }
    let done = store
        .offer_findings(&guest, &crew.card, &[offered.clone()], NOW)
        .await;
    assert_eq!(waits(done), None);
    let all = findings(store, &crew.member, &crew.card).await;
    let Report::Bare(report) = &all[1].report else {
        panic!("bare")
    };
    assert_eq!((all[1].status, &report.resolved), (Status::Offered, &None));
    offered.supersedes = Some("f1".into());
    let unlike = store
        .offer_findings(&guest, &crew.card, &[offered], NOW)
        .await;
    assert!(matches!(unlike, Err(StoreError::UnlikeCorrection { .. })));
    let correction = Finding {
        supersedes: Some("f1".into()),
        ..component("", "c1", 60.0, 230.0)
    };
    let done = store
        .offer_findings(&guest, &crew.card, &[correction], NOW)
        .await;
    assert_eq!(waits(done), None);
    let all = findings(store, &crew.member, &crew.card).await;
    assert_eq!(
        all[0].status,
        Status::Accepted,
        "it stays until an officer accepts"
    );
    assert_eq!(
        crew.set(store, &crew.officer, "f3", Status::Accepted).await,
        None
    );
    let all = findings(store, &crew.member, &crew.card).await;
    assert_eq!(all[0].status, Status::Superseded);
}

/// A member of a partner that reads the crew's card.
async fn guest_of(store: &Store, crew: &Crew) -> Actor {
    let guest = member_of(store, "Saltby").await;
    partners(store, &crew.member, &guest).await;
    let shown = store.set_visibility(&crew.member, &crew.card, Visibility::Partners, NOW);
    shown.await.unwrap().unwrap();
    guest
}

/// Something a partner, or a member without the owner's officer, tries.
#[derive(Debug, Clone)]
enum Try {
    Offer {
        component: u8,
        from_mm: f64,
        long_mm: f64,
        corrects: Option<u8>,
    },
    OfferBare {
        from_mm: f64,
        long_mm: f64,
        corrects: Option<u8>,
    },
    Set {
        who: u8,
        finding: u8,
        status: Status,
    },
    Resolve {
        who: u8,
        finding: u8,
    },
    Correct {
        finding: u8,
        from_mm: f64,
        long_mm: f64,
    },
}

fn tries() -> impl Strategy<Value = Vec<Try>> {
    let place = || (20.0..700.0f64, 1.0..300.0f64);
    let older = || proptest::option::of(0..6u8);
    let one = prop_oneof![
        (0..4u8, place(), older()).prop_map(|(component, (from_mm, long_mm), corrects)| {
            Try::Offer {
                component,
                from_mm,
                long_mm,
                corrects,
            }
        }),
        (place(), older()).prop_map(|((from_mm, long_mm), corrects)| Try::OfferBare {
            from_mm,
            long_mm,
            corrects
        }),
        (
            0..3u8,
            0..6u8,
            select(vec![Status::Accepted, Status::Declined, Status::Withdrawn])
        )
            .prop_map(|(who, finding, status)| {
                Try::Set {
                    who,
                    finding,
                    status,
                }
            }),
        (0..3u8, 0..6u8).prop_map(|(who, finding)| Try::Resolve { who, finding }),
        (0..6u8, place()).prop_map(|(finding, (from_mm, long_mm))| Try::Correct {
            finding,
            from_mm,
            long_mm
        }),
    ];
    proptest::collection::vec(one, 1..14)
}

impl Try {
    /// What comes of it does not matter: refused or done.
    async fn take(self, store: &Store, guest: &Actor, crew: &Crew) {
        let who = |n: u8| [guest, &crew.member, &crew.second][usize::from(n)];
        let id = |n: u8| format!("f{}", n + 1);
        let card = &crew.card;
        let _ = match self {
            Self::Offer {
                component: c,
                from_mm,
                long_mm,
                corrects,
            } => {
                let offer = Finding {
                    supersedes: corrects.map(id),
                    ..component("", &format!("c{}", c + 1), from_mm, from_mm + long_mm)
                };
                store.offer_findings(guest, card, &[offer], NOW).await
            }
            Self::OfferBare {
                from_mm,
                long_mm,
                corrects,
            } => {
                let mut offer = bare("", Status::Accepted);
                offer.supersedes = corrects.map(id);
                if let Report::Bare(report) = &mut offer.report {
                    (report.from_mm, report.to_mm) = (from_mm, from_mm + long_mm);
                }
                store.offer_findings(guest, card, &[offer], NOW).await
            }
            Self::Set {
                who: n,
                finding,
                status,
            } => {
                let change = [to(&id(finding), status, Some("x"))];
                store.change_status(who(n), card, None, &change, NOW).await
            }
            Self::Resolve { who: n, finding } => {
                let word = Resolved {
                    by: "x".into(),
                    on: NOW.date(),
                };
                let id = id(finding);
                store
                    .set_resolved(who(n), card, None, &id, Some(&word), NOW)
                    .await
            }
            Self::Correct {
                finding,
                from_mm,
                long_mm,
            } => {
                let all = findings(store, &crew.member, card).await;
                let old = all.iter().find(|f| f.id == id(finding)).map(|f| &f.report);
                let Some(Report::Component(old)) = old else {
                    return;
                };
                let new = component("", &old.component, from_mm, from_mm + long_mm);
                store
                    .correct_finding(&crew.member, card, None, &id(finding), new, NOW)
                    .await
            }
        };
    }
}

async fn owned(store: &Store, crew: &Crew) -> Card {
    let stored = store.card(&crew.member.department, &crew.card).await;
    stored.unwrap().unwrap().card
}

/// Whether each `no-cut` of the first is no-cut in the second.
fn is_kept(before: &Card, after: &Card) -> bool {
    let of = |card| zones(card, &Variant::default()).unwrap();
    let changes = no_cut_changes(&of(before), &of(after));
    changes.iter().all(|c| c.shrinks_mm <= LEAST_MM)
}

proptest! {
    #![proptest_config(cases(96))]

    /// Not against the start alone: what an offer has widened stays too, since only
    /// an officer declines it.
    #[test]
    fn nothing_a_partner_or_a_member_tries_takes_a_no_cut_away_without_an_officer(tries in tries()) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let held = empty().await;
            let store = &held.store;
            let crew = crew(store).await;
            let guest = guest_of(store, &crew).await;
            let first = [component("", "c1", 80.0, 210.0), component("", "c2", 400.0, 520.0)];
            crew.add(store, &crew.member, &first).await;
            crew.add(store, &crew.officer, &[bare("", Status::Offered)]).await;
            let mut before = owned(store, &crew).await;
            for tried in tries {
                tried.clone().take(store, &guest, &crew).await;
                let after = owned(store, &crew).await;
                assert!(is_kept(&before, &after), "{tried:?}");
                before = after;
            }
        });
    }
}
