//! A book sent to an empty server gives the same zones there.

use crate::support::cards::card;
use pillarbook::contract::archive;
use pillarbook::domain::card::Card;
use pillarbook::domain::policy::Policy;
use pillarbook::store::Store;
use proptest::prelude::*;
use time::macros::datetime;

/// The cards as another server has them after an archive of the first.
async fn moved(cards: Vec<Card>) -> Vec<Card> {
    let now = datetime!(2026-03-05 10:00 UTC);
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let open = async |of: &tempfile::TempDir| {
        let path = of.path().join("book.db");
        Store::open(path.to_str().unwrap()).await.unwrap()
    };
    let (from, to) = (open(&here).await, open(&there).await);
    let sender = from.ensure_local(now).await.unwrap();
    let receiver = to.ensure_local(now).await.unwrap();
    for card in cards {
        from.import_card(&sender, card, now).await.unwrap();
    }
    let contents = from.archive(&sender.department, None, now).await.unwrap();
    let bytes = archive::write(&contents.unwrap()).unwrap();
    let archive = archive::read(&bytes).unwrap();
    let incoming = to.compare_archive(&receiver, &archive).await.unwrap();
    let (own, none) = ((true, false), Default::default());
    let taken = to.take_in_archive(&receiver, (&archive, &incoming), own, &none, now);
    let mut all = Vec::new();
    for one in taken.await.unwrap() {
        let read = to.card(&receiver.department, &one.card).await.unwrap();
        all.push(read.unwrap().card);
    }
    all
}

proptest! {
    #![proptest_config(super::cases(24))]

    #[test]
    fn export_then_import_into_an_empty_server_gives_the_same_zones(
        cards in prop::collection::vec(card(), 1..4),
    ) {
        // A stored card is under its department's own policy: the usual one here.
        let cards: Vec<Card> = cards
            .into_iter()
            .map(|card| Card { policy: Policy::default(), ..card })
            .collect();
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let there = runtime.block_on(moved(cards.clone()));
        prop_assert_eq!(there.len(), cards.len());
        for (card, other) in cards.iter().zip(&there) {
            prop_assert_eq!(&card.findings, &other.findings);
            prop_assert_eq!(super::answer(card), super::answer(other));
        }
    }
}
