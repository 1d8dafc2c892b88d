//! Notes, photos and details of a card that the book has already, brought by a
//! later archive or by the card's source.

use super::annotations::photo;
use super::archives::{arrived, compared, sender, sent, taken};
use super::{Empty, NOW, component, details, empty, member_of, officer_of};
use pillarbook::contract::archive::{Archive, Part};
use pillarbook::domain::annotation::{Annotation, Remark, Standing, Target};
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::{Actor, CardDetails, CardId, NewAbout, NewRemark, Store, StoreError, Take};
use std::collections::BTreeSet;

async fn write(store: &Store, by: &Actor, card: &CardId, about: NewAbout, text: &str) -> String {
    let one = NewRemark {
        about,
        text: text.to_owned(),
        photos: Vec::new(),
    };
    let written = store.add_remarks(by, card, None, &[one], NOW).await;
    written.unwrap().unwrap().ids.remove(0)
}

async fn notes(store: &Store, of: &Actor, card: &CardId) -> Vec<Annotation> {
    let read = store.card(&of.department, card).await.unwrap().unwrap();
    read.card.annotations
}

fn texts(notes: &[Annotation]) -> Vec<(&str, Standing)> {
    let remarks = notes.iter().flat_map(Annotation::remarks);
    remarks.map(|r| (r.text.as_str(), r.standing)).collect()
}

fn about(to: &str) -> NewAbout {
    NewAbout::Reply(to.to_owned())
}

/// A sender's card with one note, and the card an archive of it made elsewhere.
async fn two_books(store: &Store) -> ((Actor, CardId, String), (Actor, CardId)) {
    let (sender, card) = sender(store).await;
    let note = write(store, &sender, &card, NewAbout::Note(Target::Card), "first").await;
    let receiver = officer_of(store, &member_of(store, "Fenwick").await, "Ona Reed").await;
    let archive = arrived(&sent(store, &sender).await);
    let made = taken(store, &receiver, &archive, (false, false)).await;
    ((sender, card, note), (receiver, made[0].card.clone()))
}

#[tokio::test]
async fn new_notes_and_replies_of_a_known_card_come_as_offers_and_are_known_then() {
    let Empty { store, .. } = &empty().await;
    let ((sender, card, note), (receiver, copy)) = two_books(store).await;
    // Both books go on, and give out the same next number.
    write(
        store,
        &receiver,
        &copy,
        NewAbout::Note(Target::Card),
        "ours",
    )
    .await;
    write(store, &sender, &card, about(&note), "an answer").await;
    let found = [component("f3", "c2", 300.0, 350.0)];
    store
        .add_findings(&sender, &card, None, &found, NOW)
        .await
        .unwrap();
    let on_it = NewAbout::Note(Target::Finding("f3".to_owned()));
    let second = write(store, &sender, &card, on_it, "of the new part").await;
    write(store, &sender, &card, about(&second), "agreed").await;
    let hidden = write(
        store,
        &sender,
        &card,
        NewAbout::Note(Target::Card),
        "for us alone",
    )
    .await;
    let to = (Standing::Hidden, None);
    store
        .settle_remark(&sender, &card, &hidden, to, NOW)
        .await
        .unwrap();

    let archive = arrived(&sent(store, &sender).await);
    let done = taken(store, &receiver, &archive, (false, false)).await;
    assert_eq!(
        (done[0].notes, done[0].findings, done[0].left_out),
        (3, 1, 1)
    );
    let all = notes(store, &receiver, &copy).await;
    let offered = Standing::Offered;
    assert_eq!(
        texts(&all),
        [
            ("first", Standing::Open),
            ("an answer", offered),
            ("ours", Standing::Open),
            ("of the new part", offered),
            ("agreed", offered)
        ]
    );
    let of_finding = &all[2];
    assert_eq!(of_finding.target, Target::Finding("f3".to_owned()));
    assert_eq!(of_finding.note.department.as_deref(), Some("Saltby"));
    let revision = store
        .card_revision(&receiver.department, &copy)
        .await
        .unwrap();

    let again = taken(store, &receiver, &archive, (false, true)).await;
    assert!(again[0].is_nothing(), "{again:?}");
    let now = store
        .card_revision(&receiver.department, &copy)
        .await
        .unwrap();
    assert_eq!(now, revision, "and nothing was changed for nothing");
}

#[tokio::test]
async fn what_is_our_own_record_stands_as_it_stood_and_what_is_left_out_stays_out() {
    let Empty { store, .. } = &empty().await;
    let ((sender, card, note), (receiver, copy)) = two_books(store).await;
    write(store, &sender, &card, about(&note), "an answer").await;
    let archive = arrived(&sent(store, &sender).await);
    let mut incoming = compared(store, &receiver, &archive).await;
    incoming[0].take.remarks = false;
    let how = ((true, false), BTreeSet::new());
    let what = (&archive, incoming.as_slice());
    let left = store
        .take_in_archive(&receiver, what, how.0, &how.1, NOW)
        .await;
    assert!(left.unwrap()[0].is_nothing());
    assert_eq!(texts(&notes(store, &receiver, &copy).await).len(), 1);
    taken(store, &receiver, &archive, (true, false)).await;
    let all = notes(store, &receiver, &copy).await;
    assert_eq!(texts(&all)[1], ("an answer", Standing::Open));
}

/// The sender's archive with two photos on its first note, as if they lay in it.
async fn with_photos(store: &Store, sender: &Actor, names: &[&str]) -> Archive {
    let mut contents = sent(store, sender).await;
    let note = &mut contents.cards[0].card.annotations[0].note;
    note.photos = names.iter().map(|name| photo(name)).collect();
    for (nth, photo) in note.photos.iter_mut().enumerate() {
        photo.alt = format!("view {nth}");
        let file = pillarbook::contract::archive::photo_file(&photo.name);
        contents
            .files
            .insert(file, vec![u8::try_from(nth).unwrap()]);
    }
    arrived(&contents)
}

#[tokio::test]
async fn a_photo_that_was_taken_out_here_does_not_come_back() {
    let Empty { store, .. } = &empty().await;
    let ((sender, ..), (receiver, copy)) = two_books(store).await;
    let names = [
        "0123456789abcdef0123456789abcde0",
        "0123456789abcdef0123456789abcde1",
    ];
    let archive = with_photos(store, &sender, &names).await;
    let incoming = compared(store, &receiver, &archive).await;
    let what = (&archive, incoming.as_slice());
    let kept = names.iter().map(|n| (*n).to_owned()).collect();
    let done = store
        .take_in_archive(&receiver, what, (false, false), &kept, NOW)
        .await;
    assert_eq!(done.unwrap()[0].photos, 2);
    let gone = (names[0], "a face in it");
    store
        .remove_photo(&receiver, &copy, gone, NOW)
        .await
        .unwrap();
    let again = compared(store, &receiver, &archive).await;
    let (_, difference) = again[0].here.as_ref().unwrap();
    assert!(difference.is_nothing_new(), "{difference:?}");
    let shown: Vec<Remark> = notes(store, &receiver, &copy)
        .await
        .into_iter()
        .map(|a| a.note)
        .collect();
    assert_eq!(shown[0].photos.len(), 1);
}

#[tokio::test]
async fn details_are_taken_over_part_by_part_and_only_where_chosen() {
    let Empty { store, .. } = &empty().await;
    let ((sender, card, _), (receiver, copy)) = two_books(store).await;
    let revision = store
        .card_revision(&sender.department, &card)
        .await
        .unwrap()
        .unwrap();
    let mut changed = details();
    changed.identify = Some("Two reversing lamps".to_owned());
    changed.measured.wheelbase_mm = Some(2_720.0);
    let update = store.update_details(&sender, &card, revision, &changed, NOW);
    update.await.unwrap();
    let archive = arrived(&sent(store, &sender).await);
    let mut incoming = compared(store, &receiver, &archive).await;
    let (_, difference) = incoming[0].here.as_ref().unwrap();
    assert_eq!(difference.details, [Part::Measured, Part::Identify]);
    incoming[0].take.details = vec![Part::Measured];
    let what = (&archive, incoming.as_slice());
    let none = BTreeSet::new();
    let done = store
        .take_in_archive(&receiver, what, (false, false), &none, NOW)
        .await;
    done.unwrap();
    let read = store
        .card(&receiver.department, &copy)
        .await
        .unwrap()
        .unwrap();
    let now = CardDetails::from(&read.card);
    assert_eq!(now.measured, changed.measured);
    assert_eq!(now.identify, details().identify, "not chosen");

    // Somebody else was faster: nothing is taken in.
    let stale = store
        .take_in_archive(&receiver, what, (false, false), &none, NOW)
        .await;
    assert!(matches!(stale, Err(StoreError::Conflict { .. })));
}

#[tokio::test]
async fn a_copy_takes_over_notes_and_details_of_its_source() {
    let Empty { store, .. } = &empty().await;
    let (source_of, card) = sender(store).await;
    let copier = officer_of(store, &member_of(store, "Fenwick").await, "Ona Reed").await;
    super::sharing::partners(store, &source_of, &copier).await;
    let shown = Visibility::Partners;
    store
        .set_visibility(&source_of, &card, shown, NOW)
        .await
        .unwrap();
    let copy = store.adopt(&copier, &card, NOW).await.unwrap().unwrap();
    let note = write(
        store,
        &source_of,
        &card,
        NewAbout::Note(Target::Card),
        "later",
    )
    .await;
    write(store, &source_of, &card, about(&note), "and more").await;
    let beside = store
        .beside_source(&copier.department, &copy.id)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(beside.difference.remarks.count(), 2);
    let what = (copy.revision, &BTreeSet::new(), &Take::default());
    store.take_over(&copier, &copy.id, what, NOW).await.unwrap();
    let all = notes(store, &copier, &copy.id).await;
    let offered = Standing::Offered;
    assert_eq!(texts(&all), [("later", offered), ("and more", offered)]);
    let beside = store
        .beside_source(&copier.department, &copy.id)
        .await
        .unwrap()
        .unwrap();
    assert!(beside.difference.remarks.is_nothing_new());
}
