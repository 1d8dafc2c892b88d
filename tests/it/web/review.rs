//! Reviews on their page, and what every page says of them.

use super::door::{Door, Who};
use super::waiting::Acting;
use crate::store::{bare, component};
use axum::http::StatusCode;
use pillarbook::domain::finding::Status;
use time::{Duration, OffsetDateTime};

#[tokio::test]
async fn an_officer_reviews_a_card_and_every_page_of_it_says_so() {
    let door = Door::new().await;
    door.record(Who::Member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    let card = format!("/cards/{}", door.card);
    let pages = [
        "",
        "/findings",
        "/print",
        "/spans/b-pillar.left",
        "/findings/f1",
        "/plan?seat=front-left&care=gentle",
    ];
    for page in pages {
        let shown = door.get(Who::Member, &format!("{card}{page}")).await.body;
        assert!(shown.contains("not reviewed"), "{page}");
    }
    let review = format!("{card}/review");
    let page = door.get(Who::Member, &review).await.body;
    assert!(page.contains("Not yours to make") && page.contains("Since the last review: 2"));
    let fields = [("do", "review"), ("revision", "2"), ("note", "All spans")];
    let by_member = door.post(Who::Member, &review, &fields).await;
    assert_eq!(by_member.status, StatusCode::FORBIDDEN);
    let stale = [("do", "review"), ("revision", "1")];
    let stale = door.post(Who::Officer, &review, &stale).await;
    assert_eq!(stale.status, StatusCode::PRECONDITION_FAILED);
    let done = door.post(Who::Officer, &review, &fields).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    for page in pages {
        let shown = door.get(Who::Member, &format!("{card}{page}")).await.body;
        assert!(shown.contains("by Officer Fenn"), "{page}");
    }
    assert_eq!(
        door.get(Who::Stranger, &review).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn an_overdue_review_is_shown_though_the_page_was_kept_before() {
    let door = Door::new().await;
    door.record(Who::Member, &[bare("f1", Status::Offered)])
        .await;
    door.act(Who::Officer, "f1", &[("act", "accept")]).await;
    let (card, officer) = (
        format!("/cards/{}", door.card),
        &door.members[&Who::Officer],
    );
    let zones = format!("/api/v1{card}/zones");
    // Made a day short of two years ago, so that it is late by the default and not by
    // the days set at first.
    let made = OffsetDateTime::now_utc() - Duration::days(729);
    door.store
        .set_review_days(officer, 730, made)
        .await
        .unwrap();
    let reviewed = door.store.review_card(officer, &door.card, 3, None, made);
    reviewed.await.unwrap().unwrap();
    let before = door.get(Who::Member, &card).await.body;
    assert!(!before.contains("REVIEW OVERDUE"));
    let answer = door.get(Who::Member, &zones).await.body;
    assert!(answer.contains(r#""class":"bare""#));
    let field = [("do", "days"), ("days", "365")];
    let review = format!("{card}/review");
    let by_member = door.post(Who::Member, &review, &field).await;
    assert_eq!(by_member.status, StatusCode::FORBIDDEN);
    let none = door
        .post(Who::Officer, &review, &[("do", "days"), ("days", "soon")])
        .await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.body.contains("enter whole days, 1 to 3650") && none.body.contains("soon"));
    door.post(Who::Officer, &review, &field).await;
    // No revision came: the kept page is not shown again all the same.
    for page in ["", "/print", "/sketch/left", "/findings"] {
        let page = door.get(Who::Member, &format!("{card}{page}")).await.body;
        assert!(
            page.contains("REVIEW OVERDUE") || page.contains("A review of this card is overdue")
        );
    }
    let answer = door.get(Who::Member, &zones).await.body;
    assert!(!answer.contains(r#""class":"bare""#) && answer.contains("review-overdue"));
}
