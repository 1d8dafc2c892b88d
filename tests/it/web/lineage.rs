//! A neighbour's card copied, and what changed there taken over, on pages.

use super::door::{Door, Who};
use super::waiting::Acting;
use crate::store::{component, sharing::partners};
use axum::http::StatusCode;
use pillarbook::domain::finding::Status;
use pillarbook::domain::visibility::Visibility;
use time::OffsetDateTime;

#[tokio::test]
async fn a_neighbour_copies_a_card_and_takes_over_what_changed() {
    let door = Door::new().await;
    let (keeper, stranger) = (&door.members[&Who::Keeper], &door.members[&Who::Stranger]);
    let now = OffsetDateTime::now_utc();
    let adopt = format!("/cards/{}/adopt", door.card);
    let unread = door.post(Who::Stranger, &adopt, &[]).await;
    assert_eq!(unread.status, StatusCode::NOT_FOUND);
    partners(&door.store, keeper, stranger).await;
    let shown = door
        .store
        .set_visibility(keeper, &door.card, Visibility::Partners, now);
    shown.await.unwrap().unwrap();
    door.record(Who::Member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    let own = door.post(Who::Member, &adopt, &[]).await;
    assert_eq!(own.status, StatusCode::NOT_FOUND, "it is theirs already");
    let list = format!("/cards/{}/findings", door.card);
    assert!(
        door.get(Who::Stranger, &list)
            .await
            .body
            .contains("Copy it into our book")
    );
    assert!(
        !door
            .get(Who::Member, &list)
            .await
            .body
            .contains("Copy it into our book")
    );
    let source = door.post(Who::Stranger, &adopt, &[]).await.location;
    assert!(source.ends_with("/source"), "{source}");
    let again = door.post(Who::Stranger, &adopt, &[]).await.location;
    assert_eq!(again, source, "one copy of one card");
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("accepted there, offered here"), "{page}");
    let nobody = door.get(Who::Member, &source).await.status;
    assert_eq!(nobody, StatusCode::NOT_FOUND, "the copy is the neighbour's");

    let none = door
        .post(Who::Stranger, &source, &[("revision", "1")])
        .await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.body.contains("tick what is to be taken over"));
    let take = [("revision", "1"), ("take-f1", "yes")];
    let done = door.post(Who::Stranger, &source, &take).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("Every finding there is here"));
    let stale = [("revision", "1"), ("take-f2", "yes")];
    door.record(Who::Member, &[component("f2", "c2", 600.0, 620.0)])
        .await;
    let stale = door.post(Who::Stranger, &source, &stale).await;
    assert_eq!(stale.status, StatusCode::PRECONDITION_FAILED);
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("new there, accepted"));
    door.post(
        Who::Stranger,
        &source,
        &[("revision", "2"), ("take-f2", "yes")],
    )
    .await;
    let copy = source
        .trim_start_matches("/cards/")
        .trim_end_matches("/source");
    let copy = pillarbook::store::CardId::new(copy);
    let read = door
        .store
        .card(&stranger.department, &copy)
        .await
        .unwrap()
        .unwrap();
    let stands: Vec<Status> = read.card.findings.iter().map(|f| f.status).collect();
    assert_eq!(stands, [Status::Accepted; 2]);
}
