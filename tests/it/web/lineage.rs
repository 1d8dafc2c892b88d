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

    let at = |here, there| [("revision", here), ("source_revision", there)];
    let none = door.post(Who::Stranger, &source, &at("1", "2")).await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.body.contains("tick what is to be taken over"));
    let tick = |id, (here, there)| [&at(here, there)[..], &[(id, "yes")]].concat();
    let take = tick("take-f1", ("1", "2"));
    let done = door.post(Who::Stranger, &source, &take).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("Every finding there is here"));
    door.record(Who::Member, &[component("f2", "c2", 600.0, 620.0)])
        .await;
    for (here, there) in [("1", "3"), ("2", "2"), ("2", "")] {
        let stale = tick("take-f2", (here, there));
        let stale = door.post(Who::Stranger, &source, &stale).await;
        let at = format!("copy at {here}, source at {there}");
        assert_eq!(stale.status, StatusCode::PRECONDITION_FAILED, "{at}");
        assert!(stale.body.contains("changed meanwhile"), "{at}");
    }
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("new there, accepted"));
    let take = tick("take-f2", ("2", "3"));
    door.post(Who::Stranger, &source, &take).await;
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

#[tokio::test]
async fn what_taking_over_takes_away_is_shown_in_mm_and_looked_at_first() {
    let door = Door::new().await;
    let (keeper, stranger) = (&door.members[&Who::Keeper], &door.members[&Who::Stranger]);
    let now = OffsetDateTime::now_utc();
    partners(&door.store, keeper, stranger).await;
    let shown = door
        .store
        .set_visibility(keeper, &door.card, Visibility::Partners, now);
    shown.await.unwrap().unwrap();
    door.record(Who::Member, &[component("f1", "c1", 80.0, 500.0)])
        .await;
    let adopt = format!("/cards/{}/adopt", door.card);
    let source = door.post(Who::Stranger, &adopt, &[]).await.location;
    let shorter = component("", "c1", 80.0, 210.0);
    let corrected = door
        .store
        .correct_finding(keeper, &door.card, None, "f1", shorter, now);
    corrected.await.unwrap().unwrap();
    let accept = [("act", "accept"), ("shrink_seen", "yes")];
    door.act(Who::Officer, "f2", &accept).await;
    assert_eq!(door.status("f2").await, Status::Accepted);

    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("shrinks by") && page.contains("I have looked at what it takes away"));
    let take = |more: &[(&'static str, &'static str)]| {
        let mut all = vec![("revision", "1"), ("source_revision", "4")];
        all.extend([("take-f1", "yes"), ("take-f2", "yes")]);
        all.extend(more);
        all
    };
    let unseen = door.post(Who::Stranger, &source, &take(&[])).await;
    assert_eq!(unseen.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unseen.body.contains("this takes no-cut away"));
    assert!(
        unseen
            .body
            .contains(r#"name="take-f1" value="yes" checked"#)
    );
    let seen = [("shrink_seen", "yes")];
    let done = door.post(Who::Stranger, &source, &take(&seen)).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let page = door.get(Who::Stranger, &source).await.body;
    assert!(page.contains("Every finding there is here"), "{page}");
}
