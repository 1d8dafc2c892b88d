//! Drafts: one a member, card and kind of work; no part of the card.

use super::*;
use pillarbook::store::{CardId, StoreError};
use serde_json::json;

#[tokio::test]
async fn a_draft_is_kept_read_and_removed_and_leaves_the_card_alone() {
    let Empty {
        store,
        directory: _keep,
        ..
    } = empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let body = json!({"entries": [1, 2]});
    let kept = store
        .keep_draft(&actor, &card.id, "strip", 0, &body, NOW)
        .await;
    assert_eq!(kept.unwrap(), Some(1));
    let read = store
        .draft(&actor, &card.id, "strip")
        .await
        .unwrap()
        .unwrap();
    assert_eq!((read.version, read.body), (1, body));
    assert!(
        store
            .draft(&actor, &card.id, "other")
            .await
            .unwrap()
            .is_none()
    );
    let now = store
        .card(&actor.department, &card.id)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(now, card, "the card is as it was");
    store
        .drop_draft(&actor, &card.id, "strip", 1)
        .await
        .unwrap();
    assert!(
        store
            .draft(&actor, &card.id, "strip")
            .await
            .unwrap()
            .is_none()
    );
}

#[tokio::test]
async fn a_draft_that_moved_on_is_neither_written_over_nor_removed() {
    let Empty {
        store,
        directory: _keep,
        ..
    } = empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let (one, two) = (json!({"n": 1}), json!({"n": 2}));
    store
        .keep_draft(&actor, &card.id, "strip", 0, &one, NOW)
        .await
        .unwrap();
    let late = store
        .keep_draft(&actor, &card.id, "strip", 0, &two, NOW)
        .await;
    assert!(matches!(
        late.unwrap_err(),
        StoreError::Conflict {
            expected: 0,
            current: 1
        }
    ));
    store
        .drop_draft(&actor, &card.id, "strip", 0)
        .await
        .unwrap();
    let read = store
        .draft(&actor, &card.id, "strip")
        .await
        .unwrap()
        .unwrap();
    assert_eq!(read.body, one);
}

#[tokio::test]
async fn a_member_has_drafts_of_their_own_and_none_on_anothers_card() {
    let Empty {
        store,
        directory: _keep,
        ..
    } = empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let other = member_of(&store, "Other county").await;
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let body = json!({});
    store
        .keep_draft(&actor, &card.id, "strip", 0, &body, NOW)
        .await
        .unwrap();
    assert!(
        store
            .draft(&other, &card.id, "strip")
            .await
            .unwrap()
            .is_none()
    );
    let theirs = store
        .keep_draft(&other, &card.id, "strip", 0, &body, NOW)
        .await;
    assert_eq!(theirs.unwrap(), None);
    let nobodys = CardId::new("nobody");
    let none = store
        .keep_draft(&actor, &nobodys, "strip", 0, &body, NOW)
        .await;
    assert_eq!(none.unwrap(), None);
}
