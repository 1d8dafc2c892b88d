//! Photos that hang on notes: who sees them, and that one taken out is gone from
//! every revision.

use super::annotations::{note, photo, shared};
use super::*;
use pillarbook::domain::annotation::{MOST_PHOTOS, Target};
use pillarbook::store::{NewRemark, StoreError};

#[tokio::test]
async fn a_photo_is_there_for_who_reads_the_card_until_it_is_taken_out_of_every_revision() {
    let Empty { store, .. } = &empty().await;
    let (owner, other, card) = shared(store).await;
    let stranger = member_of(store, "Wick").await;
    let new = [NewRemark {
        photos: vec![photo("aa")],
        ..note(Target::Card, "Seen here")
    }];
    store
        .add_remarks(&owner, &card, None, &new, NOW)
        .await
        .unwrap()
        .unwrap();
    let theirs = store
        .add_photo(&other, &card, "n1", &photo("bb"), NOW)
        .await;
    assert!(
        matches!(theirs, Err(StoreError::Standing(_))),
        "a guest's own notes alone"
    );
    let with = store
        .add_photo(&owner, &card, "n1", &photo("bb"), NOW)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(
        with.card.annotations[0].note.photos,
        [photo("aa"), photo("bb")]
    );
    let has = async |by: &Actor, card: &CardId, name: &str| {
        store.has_photo(by, card, name).await.unwrap()
    };
    assert!(has(&owner, &card, "aa").await && has(&other, &card, "aa").await);
    assert!(!has(&stranger, &card, "aa").await);
    let another = store.create_card(&owner, &details(), NOW).await.unwrap().id;
    assert!(!has(&owner, &another, "aa").await, "only at its own card");

    let taken = store
        .remove_photo(&other, &card, ("aa", "a face"), NOW)
        .await;
    assert!(matches!(taken, Err(StoreError::Standing(_))));
    store
        .remove_photo(&owner, &card, ("aa", "a face"), NOW)
        .await
        .unwrap()
        .unwrap();
    assert!(!has(&owner, &card, "aa").await);
    let before = store
        .card_at(&owner.department, &card, with.revision)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(before.card.annotations[0].note.photos, [photo("bb")]);
    let again = store
        .remove_photo(&owner, &card, ("aa", "a face"), NOW)
        .await;
    assert!(matches!(again, Err(StoreError::NoSuchPhoto)));
    for n in 0..MOST_PHOTOS - 1 {
        let one = photo(&format!("c{n}"));
        store
            .add_photo(&owner, &card, "n1", &one, NOW)
            .await
            .unwrap()
            .unwrap();
    }
    let full = store
        .add_photo(&owner, &card, "n1", &photo("dd"), NOW)
        .await;
    assert!(matches!(full, Err(StoreError::TooMany { .. })));
    let audit = store.audit(&owner.department, None, 99).await.unwrap();
    let removed = audit.iter().find(|l| l.action == "photo-removed").unwrap();
    assert_eq!(removed.detail["reason"], "a face");
}
