//! Notes: written by members and offered by partners, settled by who may, read
//! as they stood, never edited.

use super::file::intrude;
use super::sharing::partners;
use super::*;
use pillarbook::domain::annotation::{
    Annotation, Photo, Picture, Remark, Settled, Standing, StandingError, Target,
};
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::{NewAbout, NewRemark, StoreError};
use std::collections::BTreeSet;

pub fn photo(name: &str) -> Photo {
    Photo {
        name: name.into(),
        alt: "trim off, tape on the metal".into(),
        width_px: 1600,
        height_px: 1200,
        sha256: Some("0f".repeat(32)),
    }
}

/// A note with a reply, as a card file brings it.
pub fn brought() -> Annotation {
    let note = Remark {
        id: "n7".into(),
        text: "Clip breaks when pulled".into(),
        by: Some("R. Okafor".into()),
        department: Some("Oakmere".into()),
        on: date!(2025 - 12 - 30),
        standing: Standing::Resolved,
        settled: Some(Settled {
            by: "P. Lunn".into(),
            on: date!(2026 - 01 - 02),
            reason: None,
        }),
        photos: Vec::new(),
    };
    Annotation {
        target: Target::Arrow {
            picture: Picture::Left,
            from_mm: [900.0, 400.25],
            to_mm: [1_250.0, 600.0],
            label: "wiring".into(),
        },
        replies: vec![Remark {
            id: "n8".into(),
            standing: Standing::Hidden,
            by: None,
            ..note.clone()
        }],
        note,
    }
}

pub fn note(target: Target, text: &str) -> NewRemark {
    NewRemark {
        about: NewAbout::Note(target),
        text: text.into(),
        photos: Vec::new(),
    }
}

fn reply(to: &str, text: &str) -> NewRemark {
    NewRemark {
        about: NewAbout::Reply(to.into()),
        ..note(Target::Card, text)
    }
}

/// A note with a photo on a card, for tests of what becomes of it.
pub async fn note_with_photos(store: &Store, actor: &Actor, card: &CardId, text: &str) {
    let new = NewRemark {
        photos: vec![photo("a1b2c3")],
        ..note(Target::Card, text)
    };
    let written = store.add_remarks(actor, card, None, &[new], NOW).await;
    let id = written.unwrap().unwrap().ids[0].clone();
    let again = photo("d4e5f6");
    store
        .add_photo(actor, card, &id, &again, NOW)
        .await
        .unwrap()
        .unwrap();
    store
        .remove_photo(actor, card, ("d4e5f6", "a face"), NOW)
        .await
        .unwrap()
        .unwrap();
}

async fn officer(store: &Store, of: &Actor) -> Actor {
    let roles = Roles::from_iter([Role::Officer]);
    let made = store.create_member_with(&of.department, "Holt", roles, NOW);
    made.await.unwrap().unwrap()
}

async fn notes(store: &Store, reader: &Actor, card: &CardId) -> Vec<Annotation> {
    let card = store.card(&reader.department, card).await.unwrap();
    card.unwrap().card.annotations
}

async fn standing(store: &Store, reader: &Actor, card: &CardId, id: &str) -> Standing {
    let all = notes(store, reader, card).await;
    let found = all.iter().find_map(|a| a.remark(id));
    found.unwrap().0.standing
}

/// An owner with a card that partners read, and a partner.
pub async fn shared(store: &Store) -> (Actor, Actor, CardId) {
    let (owner, other) = (
        member_of(store, "Oakmere").await,
        member_of(store, "Saltby").await,
    );
    let card = store.create_card(&owner, &details(), NOW).await.unwrap().id;
    partners(store, &owner, &other).await;
    store
        .set_visibility(&owner, &card, Visibility::Partners, NOW)
        .await
        .unwrap();
    (owner, other, card)
}

#[tokio::test]
async fn every_kind_of_note_comes_back_signed_and_numbered() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[component("f1", "c1", 1.0, 2.0)]).await;
    let targets = [
        Target::Card,
        Target::Station {
            span: "b-pillar.left".into(),
            at_mm: 300.5,
        },
        Target::Place {
            picture: Picture::Top,
            at_mm: [1_200.0, -0.1],
        },
        brought().target,
        Target::Finding("f1".into()),
    ];
    let new: Vec<NewRemark> = targets
        .iter()
        .map(|t| note(t.clone(), "½ \"<b>\" 'x'"))
        .collect();
    let written = store.add_remarks(&actor, &card, Some(2), &new, NOW).await;
    let written = written.unwrap().unwrap();
    assert_eq!(written.ids, ["n1", "n2", "n3", "n4", "n5"]);
    assert_eq!(written.card.revision, 3, "all of them are one revision");
    let read = notes(store, &actor, &card).await;
    assert_eq!(
        read.iter().map(|a| &a.target).collect::<Vec<_>>(),
        targets.iter().collect::<Vec<_>>()
    );
    let first = &read[0].note;
    assert_eq!(first.text, "½ \"<b>\" 'x'");
    assert_eq!(first.by.as_deref(), Some("Local member"));
    assert_eq!(first.department.as_deref(), Some("Local department"));
    assert_eq!((first.on, first.standing), (NOW.date(), Standing::Open));

    let answer = store
        .add_remarks(&actor, &card, None, &[reply("n2", "Yes")], NOW)
        .await;
    assert_eq!(answer.unwrap().unwrap().ids, ["n6"]);
    let read = notes(store, &actor, &card).await;
    assert_eq!(read[1].replies[0].text, "Yes");
    let unknown = store
        .add_remarks(&actor, &card, None, &[reply("n9", "?")], NOW)
        .await;
    assert!(matches!(unknown, Err(StoreError::NoSuchRemark { id }) if id == "n9"));
    // A reply is no note: what answers it answers the note.
    let nested = store
        .add_remarks(&actor, &card, None, &[reply("n6", "?")], NOW)
        .await;
    assert!(matches!(nested, Err(StoreError::NoSuchRemark { .. })));
    let strange = note(Target::Finding("f9".into()), "?");
    assert!(
        store
            .add_remarks(&actor, &card, None, &[strange], NOW)
            .await
            .is_err()
    );
    assert_eq!(
        notes(store, &actor, &card).await.len(),
        5,
        "nothing was left behind"
    );
}

#[tokio::test]
async fn a_card_at_a_revision_has_its_notes_as_they_stood() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[]).await;
    let add = async |text: &str| {
        let new = [note(Target::Card, text)];
        store
            .add_remarks(&actor, &card, None, &new, NOW)
            .await
            .unwrap()
            .unwrap()
    };
    let first = add("one").await.card.revision;
    let second = add("two").await.card.revision;
    let to = (Standing::Resolved, None);
    store
        .settle_remark(&actor, &card, "n1", to, NOW)
        .await
        .unwrap()
        .unwrap();
    let at = async |revision| {
        let card = store
            .card_at(&actor.department, &card, revision)
            .await
            .unwrap();
        let all = card.unwrap().card.annotations;
        all.iter()
            .map(|a| (a.note.id.clone(), a.note.standing))
            .collect::<Vec<_>>()
    };
    let (n1, n2) = ("n1".to_owned(), "n2".to_owned());
    assert_eq!(at(first).await, [(n1.clone(), Standing::Open)]);
    assert_eq!(
        at(second).await,
        [(n1.clone(), Standing::Open), (n2.clone(), Standing::Open)]
    );
    assert_eq!(
        at(second + 1).await,
        [(n1, Standing::Resolved), (n2, Standing::Open)]
    );
    let now = notes(store, &actor, &card).await;
    let settled = now[0].note.settled.as_ref().unwrap();
    assert_eq!(
        (settled.by.as_str(), settled.on),
        ("Local member", NOW.date())
    );
    let said: Vec<String> = store
        .revisions(&actor.department, &card)
        .await
        .unwrap()
        .into_iter()
        .map(|r| r.summary)
        .collect();
    assert_eq!(
        said[..3],
        ["note n1 resolved", "note n2 added", "note n1 added"]
    );
    let audit = store.audit(&actor.department, None, 3).await.unwrap();
    let actions: Vec<&str> = audit.iter().map(|l| l.action.as_str()).collect();
    assert_eq!(actions, ["note-resolved", "notes-added", "notes-added"]);
}

#[tokio::test]
async fn a_partner_offers_notes_signed_by_its_department_and_an_officer_decides() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = shared(store).await;
    let new = [note(Target::Card, "Ours had a second battery")];
    let offered = store.add_remarks(&other, &card, None, &new, NOW).await;
    assert_eq!(offered.unwrap().unwrap().card.department, owner.department);
    let read = notes(store, &owner, &card).await;
    assert_eq!(read[0].note.by.as_deref(), Some("Ada Fenn"));
    assert_eq!(read[0].note.department.as_deref(), Some("Saltby"));
    assert_eq!(read[0].note.standing, Standing::Offered);

    let settle = async |by: &Actor, to, reason| {
        store
            .settle_remark(by, &card, "n1", (to, reason), NOW)
            .await
    };
    for (by, to) in [
        (&other, Standing::Open),
        (&owner, Standing::Open),
        (&owner, Standing::Withdrawn),
    ] {
        let refused = settle(by, to, Some("because")).await;
        assert!(
            matches!(
                refused,
                Err(StoreError::Standing(StandingError::NotYours { .. }))
            ),
            "{to}"
        );
    }
    let officer = officer(store, &owner).await;
    let silent = settle(&officer, Standing::Declined, Some(" ")).await;
    assert!(matches!(
        silent,
        Err(StoreError::Standing(StandingError::ReasonMissing { .. }))
    ));
    settle(&officer, Standing::Open, None)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(standing(store, &other, &card, "n1").await, Standing::Open);
    // Written by them, it is theirs to withdraw, and nobody else's to change.
    let hidden = settle(&other, Standing::Hidden, None).await;
    assert!(matches!(hidden, Err(StoreError::Standing(_))));
    settle(&other, Standing::Withdrawn, Some("another car"))
        .await
        .unwrap()
        .unwrap();
    let last = settle(&officer, Standing::Open, None).await;
    assert!(matches!(
        last,
        Err(StoreError::Standing(StandingError::Fixed { .. }))
    ));
    let late = store
        .add_remarks(&owner, &card, None, &[reply("n1", "?")], NOW)
        .await;
    assert!(matches!(late, Err(StoreError::Settled { .. })));
}

#[tokio::test]
async fn who_is_no_partner_or_cannot_read_the_card_writes_nothing_on_it() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = shared(store).await;
    let stranger = member_of(store, "Wick").await;
    let new = [note(Target::Card, "x")];
    let add = async |by: &Actor| store.add_remarks(by, &card, None, &new, NOW).await.unwrap();
    assert!(add(&stranger).await.is_none());
    store
        .set_visibility(&owner, &card, Visibility::Everyone, NOW)
        .await
        .unwrap();
    assert!(add(&stranger).await.is_none(), "reading is not partnership");
    assert!(add(&other).await.is_some());
    store
        .end_partner(&owner, &other.department, NOW)
        .await
        .unwrap()
        .unwrap();
    assert!(add(&other).await.is_none(), "ended, it is over at once");
    let to = (Standing::Withdrawn, Some("why"));
    let settled = store
        .settle_remark(&other, &card, "n1", to, NOW)
        .await
        .unwrap();
    assert!(settled.is_none());
    assert_eq!(notes(store, &owner, &card).await.len(), 1);
    assert_eq!(
        store.own_remarks(&other, &card).await.unwrap(),
        BTreeSet::from(["n1".to_owned()])
    );
    assert!(store.own_remarks(&owner, &card).await.unwrap().is_empty());
}

#[tokio::test]
async fn two_members_note_and_settle_at_once_and_nothing_is_lost() {
    let Empty { store, .. } = &empty().await;
    let (actor, card) = card_with(store, &[]).await;
    let texts = ["a", "b", "c", "d"];
    let all = texts.map(|text| {
        let (store, actor, card) = (store.clone(), actor.clone(), card.clone());
        tokio::spawn(async move {
            let new = [note(Target::Card, text)];
            store
                .add_remarks(&actor, &card, None, &new, NOW)
                .await
                .unwrap()
                .unwrap()
        })
    });
    for one in all {
        one.await.unwrap();
    }
    let read = notes(store, &actor, &card).await;
    let ids: BTreeSet<&str> = read.iter().map(|a| a.note.id.as_str()).collect();
    assert_eq!(ids, BTreeSet::from(["n1", "n2", "n3", "n4"]));
    let settle = |to| store.settle_remark(&actor, &card, "n1", (to, None), NOW);
    let (one, other) = tokio::join!(settle(Standing::Resolved), settle(Standing::Hidden));
    let done = [one, other].into_iter().filter(Result::is_ok).count();
    assert_eq!(done, 1, "the second is told that it is settled");
    let stale = [note(Target::Card, "late")];
    let conflict = store.add_remarks(&actor, &card, Some(2), &stale, NOW).await;
    assert!(matches!(conflict, Err(StoreError::Conflict { .. })));
}

#[tokio::test]
async fn a_card_that_is_brought_in_keeps_its_notes_and_no_photo_that_was_not_brought_along() {
    let Empty { store, .. } = &empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let mut note = brought();
    note.note.photos = vec![photo("stolen"), photo("mine")];
    let card = pillarbook::domain::card::Card {
        annotations: vec![note],
        ..pillarbook::domain::card::Card::unrecorded(details().vehicle)
    };
    let stored = store.import_card(&actor, card.clone(), NOW).await.unwrap();
    assert_eq!(stored.card.annotations, [brought()]);
    let mine = BTreeSet::from(["mine".to_owned()]);
    let stored = store
        .import_card_with(&actor, card, &mine, NOW)
        .await
        .unwrap();
    assert_eq!(stored.card.annotations[0].note.photos, [photo("mine")]);
    let next = store
        .add_remarks(&actor, &stored.id, None, &[reply("n7", "Ours too")], NOW)
        .await;
    assert_eq!(
        next.unwrap().unwrap().ids,
        ["n9"],
        "numbers go on after the brought ones"
    );
}

#[tokio::test]
async fn the_database_itself_keeps_every_note() {
    let held = empty().await;
    let (actor, card) = card_with(&held.store, &[]).await;
    let new = [NewRemark {
        photos: vec![photo("aa")],
        ..note(Target::Card, "Kept")
    }];
    held.store
        .add_remarks(&actor, &card, None, &new, NOW)
        .await
        .unwrap();
    held.store
        .remove_photo(&actor, &card, ("aa", "x"), NOW)
        .await
        .unwrap();
    let intrusions: [&'static [&'static str]; 8] = [
        &["DELETE FROM annotations"],
        &["UPDATE annotations SET text = 'x'"],
        &["DELETE FROM annotation_standing"],
        &["UPDATE annotation_standing SET standing = 'open'"],
        &["DELETE FROM photos"],
        &["UPDATE photos SET alt = 'x'"],
        &["DELETE FROM photo_removals"],
        &["UPDATE photo_removals SET reason = 'x'"],
    ];
    for intrusion in intrusions {
        let why = intrude(&held.path, intrusion)
            .await
            .unwrap_err()
            .to_string();
        assert!(why.contains("never"), "{intrusion:?}: {why}");
    }
}
