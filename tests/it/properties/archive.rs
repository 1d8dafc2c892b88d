//! A book sent to an empty server says the same there: zones, findings, details of
//! the cars, notes with everything about them, and the bytes of every photo.

use super::noted::{NotedCard, noted_card};
use crate::web::site::Site;
use axum::http::StatusCode;
use pillarbook::domain::annotation::Annotation;
use pillarbook::domain::card::Card;
use pillarbook::domain::policy::Policy;
use pillarbook::photo::Taken;
use pillarbook::store::{CardDetails, PhotoFiles, PhotoSize};
use proptest::prelude::*;
use sha2::{Digest, Sha256};
use time::OffsetDateTime;

/// The cards as one server sends them and another has them afterwards: out by the
/// page that sends every card, in by the pages that show what comes and take it in
/// as the department's own record. Both departments work under one policy.
async fn moved(cards: Vec<NotedCard>) -> (PhotoFiles, Vec<Card>, PhotoFiles) {
    let now = OffsetDateTime::now_utc();
    let (from, to) = (Site::empty().await, Site::empty().await);
    for site in [&from, &to] {
        let policy = &cards[0].card.policy;
        site.store
            .set_policy(&site.actor, policy, now)
            .await
            .unwrap();
    }
    for NotedCard { card, photos } in &cards {
        for (name, shades) in photos {
            let Taken { full, small, .. } = shades.taken();
            from.photos
                .keep(name, full.into(), small.into())
                .await
                .unwrap();
        }
        let names = photos.keys().cloned().collect();
        let made = from
            .store
            .import_card_with(&from.actor, card.clone(), &names, now);
        made.await.unwrap();
    }
    let bytes = from.bytes("/export").await;
    let sent = to.upload("/import", &[("act", "read")], Some(("book.zip", &bytes)));
    assert_eq!(sent.await.status, StatusCode::SEE_OTHER);
    let seen = to.get("/import").await.value("seen");
    let own = [("act", "save"), ("seen", seen.as_str()), ("own", "yes")];
    assert_eq!(to.post("/import", &own).await.status, StatusCode::SEE_OTHER);
    let mut all = Vec::new();
    for listed in to
        .store
        .list_cards(&to.actor.department, None, 100)
        .await
        .unwrap()
    {
        let read = to.store.card(&to.actor.department, &listed.id).await;
        all.push(read.unwrap().unwrap().card);
    }
    (from.photos.clone(), all, to.photos.clone())
}

/// The notes of a card with the SHA-256 of each photo's file where its name stands:
/// a photo is kept under another name on every server.
async fn noted(card: &Card, photos: &PhotoFiles) -> Vec<Annotation> {
    let mut notes = card.annotations.clone();
    for note in &mut notes {
        for remark in std::iter::once(&mut note.note).chain(&mut note.replies) {
            for photo in &mut remark.photos {
                let full = photos.read(&photo.name, PhotoSize::Full).await.unwrap();
                let small = photos.read(&photo.name, PhotoSize::Small).await.unwrap();
                assert!(small.is_some(), "each has its thumbnail");
                let digest = Sha256::digest(full.expect("each has its file"));
                let hex = digest.iter().map(|byte| format!("{byte:02x}"));
                photo.name = hex.collect();
                photo.sha256 = None;
                // Known or not, it says nothing that the bytes do not.
                photo.sha256 = None;
            }
        }
    }
    notes
}

proptest! {
    #![proptest_config(super::cases(24))]

    #[test]
    fn export_then_import_into_an_empty_server_gives_the_same_zones_notes_and_photos(
        cards in prop::collection::vec(noted_card(), 1..4),
    ) {
        // Names of photos are drawn for each card alone.
        let cards: Vec<NotedCard> = cards.into_iter().enumerate().map(|(n, c)| c.named_apart(n)).collect();
        // A stored card is under its department's own policy.
        let policy: Policy = cards[0].card.policy.clone();
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let (photos, there, photos_there) = runtime.block_on(moved(cards.clone()));
        prop_assert_eq!(there.len(), cards.len());
        for (NotedCard { card, .. }, other) in cards.iter().zip(&there) {
            let card = &Card { policy: policy.clone(), ..card.clone() };
            prop_assert_eq!(&card.findings, &other.findings);
            prop_assert_eq!(CardDetails::from(card), CardDetails::from(other));
            prop_assert_eq!(super::answer(card), super::answer(other));
            let (here, there) = runtime.block_on(async {
                (noted(card, &photos).await, noted(other, &photos_there).await)
            });
            prop_assert_eq!(here, there);
        }
    }
}
