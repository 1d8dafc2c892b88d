//! What a partner's member can do to a card they read: offer, and nothing else.

use super::door::{Door, Who};
use super::waiting::{Acting, FORM};
use crate::store::{component, sharing::partners};
use axum::http::{Method, StatusCode};
use pillarbook::domain::finding::Status;
use pillarbook::domain::visibility::Visibility;
use time::OffsetDateTime;

/// A card with one part, read by everybody here or by partners; the stranger's
/// department is one.
async fn door(visibility: Visibility, partner: bool) -> Door {
    let door = Door::new().await;
    let (keeper, stranger) = (&door.members[&Who::Keeper], &door.members[&Who::Stranger]);
    if partner {
        partners(&door.store, keeper, stranger).await;
    }
    let now = OffsetDateTime::now_utc();
    let set = door
        .store
        .set_visibility(keeper, &door.card, visibility, now);
    set.await.unwrap().unwrap();
    door.record(Who::Member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    door
}

/// The form, with some of it changed.
fn form<'a>(changed: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut all: Vec<_> = FORM.to_vec();
    all.retain(|(name, _)| !changed.iter().any(|(c, _)| c == name));
    all.extend(changed);
    all
}

#[tokio::test]
async fn a_partner_offers_a_correction_that_widens_at_once_and_an_officer_accepts_it() {
    let door = door(Visibility::Partners, true).await;
    let list = format!("/cards/{}/findings", door.card);
    let page = door.get(Who::Stranger, &list).await.body;
    assert!(page.contains("Offer a finding") && !page.contains("/strip"));
    let page = door.get(Who::Stranger, &door.finding("f1")).await.body;
    assert!(page.contains("Offer a correction") && !page.contains("Withdraw"));
    let correct = format!("{}/correct", door.finding("f1"));
    let page = door.get(Who::Stranger, &correct).await.body;
    assert!(page.contains("What you enter is offered, with your name"));
    let page = scraper::Html::parse_document(&page);
    let typed = |name: &str| {
        let field = scraper::Selector::parse(&format!("input[name={name}]")).unwrap();
        let field = page.select(&field).next().unwrap();
        field.value().attr("value").unwrap_or_default().to_owned()
    };
    // What is corrected is filled in; whose look it is and on which car is theirs.
    assert_eq!(typed("from"), "80");
    let stranger = &door.members[&Who::Stranger].member_name;
    assert_eq!(
        (typed("by"), typed("car")),
        (stranger.clone(), String::new())
    );

    // Elsewhere and shorter: as an offer it only widens.
    let moved = [
        ("act", "preview"),
        ("from", "260"),
        ("to", "300"),
        ("revision", "2"),
    ];
    let shown = door.post(Who::Stranger, &correct, &form(&moved)).await.body;
    assert!(shown.contains("grows by") && !shown.contains("shrinks by"));
    let mut save = moved;
    save[0].1 = "save";
    let saved = door.post(Who::Stranger, &correct, &form(&save)).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    assert_eq!(door.status("f1").await, Status::Accepted);
    assert_eq!(door.status("f2").await, Status::Offered);

    let waiting = door.get(Who::Officer, "/waiting").await.body;
    assert!(waiting.contains("a correction of f1") && waiting.contains("yours to decide"));
    let accept = [("act", "accept"), ("shrink_seen", "yes")];
    for who in [Who::Member, Who::Stranger] {
        let refused = door.act(who, "f2", &accept).await;
        let expected = match who {
            Who::Member => StatusCode::FORBIDDEN,
            _ => StatusCode::NOT_FOUND,
        };
        assert_eq!(refused, expected, "{who:?}");
    }
    assert_eq!(
        door.act(Who::Officer, "f2", &accept).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Superseded);
    assert_eq!(door.status("f2").await, Status::Accepted);
}

#[tokio::test]
async fn who_reads_a_card_of_no_partner_offers_nothing() {
    let door = door(Visibility::Everyone, false).await;
    let list = format!("/cards/{}/findings", door.card);
    let page = door.get(Who::Stranger, &list).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.body.contains("Only partners offer") && !page.body.contains("findings/new"));
    let new = format!("{list}/new");
    for path in [new.clone(), format!("{}/correct", door.finding("f1"))] {
        let get = door.get(Who::Stranger, &path).await;
        assert_eq!(get.status, StatusCode::NOT_FOUND, "{path}");
        let post = door.post(Who::Stranger, &path, &FORM).await;
        assert_eq!(post.status, StatusCode::NOT_FOUND, "{path}");
    }
    let api = format!("/api/v1{list}");
    let answer = door.ask(Who::Stranger, Method::POST, &api).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn over_the_api_a_partner_offers_whatever_status_is_claimed() {
    let door = door(Visibility::Partners, true).await;
    let api = format!("/api/v1/cards/{}/findings", door.card);
    let body = r#"{"findings": [
        {"report": "component", "kind": "inflator", "status": "accepted", "source": "measured",
         "place": {"span": "b-pillar.left", "from_mm": 500, "to_mm": 560},
         "observed_on": "2026-03-04", "car": "yard 2"}]}"#;
    let sent = door
        .send_as(Who::Stranger, Method::POST, &api, "application/json", body)
        .await;
    assert_eq!(sent.status, StatusCode::CREATED, "{}", sent.body);
    assert!(sent.body.contains(r#""status":"offered""#));
    assert_eq!(door.status("f2").await, Status::Offered);
    let change = format!("{api}/f2/status");
    let body = r#"{"status": "accepted"}"#;
    let own = door
        .send_as(
            Who::Stranger,
            Method::POST,
            &change,
            "application/json",
            body,
        )
        .await;
    assert!(own.status.is_client_error(), "{}", own.status);
    assert_eq!(door.status("f2").await, Status::Offered);
}

#[tokio::test]
async fn a_finding_is_checked_on_ones_own_car_and_a_bare_same_counts_for_nothing() {
    let door = door(Visibility::Partners, true).await;
    let finding = door.finding("f1");
    for who in [Who::Member, Who::Stranger] {
        let page = door.get(who, &finding).await.body;
        assert!(page.contains("Check it on a car of ours"), "{who:?}");
        let form = format!("/cards/{}/findings/new?check=f1", door.card);
        let form = door.get(who, &form).await.body;
        assert!(
            form.contains(r#"value="80"#) && form.contains(r#"value="c1""#),
            "{who:?}"
        );
    }
    let department = &door.members[&Who::Member].department;
    let zones = format!("/api/v1/cards/{}/zones", door.card);
    let before = door.get(Who::Member, &zones).await.body;
    let same = format!("{finding}/same");
    let unnamed = door.post(Who::Member, &same, &[("same_on", " ")]).await;
    assert_eq!(unnamed.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unnamed.body.contains("name the car"));
    let done = door
        .post(Who::Member, &same, &[("same_on", "yard <9>")])
        .await;
    assert_eq!(done.location, finding);
    let page = door.get(Who::Member, &finding).await.body;
    assert!(page.contains("Same on our car “yard &#60;9&#62;”, not measured"));
    let after = door.get(Who::Member, &zones).await.body;
    let parts = |text: &str| text.split("\"components\"").nth(1).unwrap().to_owned();
    assert_eq!(parts(&before), parts(&after));
    let card = door
        .store
        .card(department, &door.card)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(card.card.findings.len(), 1);
    let unknown = format!("/cards/{}/findings/f9/same", door.card);
    let unread = door.post(Who::Stranger, &unknown, &[]).await;
    assert_eq!(unread.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_part_corrected_as_bare_is_refused_beside_the_field_for_owner_and_partner() {
    let door = door(Visibility::Partners, true).await;
    let correct = format!("{}/correct", door.finding("f1"));
    let bare = [("what", "bare"), ("depth", "skin"), ("revision", "2")];
    for who in [Who::Member, Who::Stranger] {
        let refused = door.post(who, &correct, &form(&bare)).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{who:?}");
        assert!(refused.body.contains("a part is corrected by a part"));
        assert!(
            refused.body.contains("Tape slipped"),
            "what was typed stays"
        );
    }
    assert_eq!(door.status("f1").await, Status::Accepted);
}
