//! Partners and the reach of a card, on their pages.

use super::door::{Door, Who};
use axum::http::StatusCode;
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::PartnerStanding;

#[tokio::test]
async fn a_keeper_asks_the_other_accepts_and_a_card_reaches_as_far_as_it_says() {
    let door = &Door::new().await;
    let (keeper, stranger) = (&door.members[&Who::Keeper], &door.members[&Who::Stranger]);
    let (ours, theirs) = (keeper.department.as_str(), stranger.department.as_str());
    let asked = door.get(Who::Keeper, "/partners").await;
    assert!(asked.body.contains("Saltby") && asked.body.contains("No partners yet"));
    let ask = [("do", "ask"), ("department", theirs)];
    assert_eq!(
        door.post(Who::Keeper, "/partners", &ask).await.location,
        "/partners"
    );
    assert!(
        door.get(Who::Keeper, "/partners")
            .await
            .body
            .contains("not answered yet")
    );
    let accept = [("do", "accept"), ("department", ours)];
    assert!(
        door.get(Who::Stranger, "/partners")
            .await
            .body
            .contains("yours to answer")
    );
    door.post(Who::Stranger, "/partners", &accept).await;
    let now = door.store.partnerships(&keeper.department).await.unwrap();
    assert_eq!(now[0].standing, PartnerStanding::Partners);

    let (card, sharing) = (
        format!("/cards/{}", door.card),
        format!("/cards/{}/sharing", door.card),
    );
    assert_eq!(
        door.get(Who::Stranger, &card).await.status,
        StatusCode::NOT_FOUND
    );
    let page = door.get(Who::Keeper, &sharing).await.body;
    assert!(page.contains("value=\"department\" checked") && page.contains("Partners now: Saltby"));
    door.post(Who::Keeper, &sharing, &[("visibility", "partners")])
        .await;
    assert_eq!(door.get(Who::Stranger, &card).await.status, StatusCode::OK);
    let own = door
        .post(Who::Stranger, &sharing, &[("visibility", "everyone")])
        .await;
    assert_eq!(
        own.status,
        StatusCode::NOT_FOUND,
        "only its own department shares it"
    );

    let end = [("do", "end"), ("department", ours)];
    door.post(Who::Stranger, "/partners", &end).await;
    assert_eq!(
        door.get(Who::Stranger, &card).await.status,
        StatusCode::NOT_FOUND
    );
    let gone = door.post(Who::Stranger, "/partners", &end).await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_link_opens_one_card_to_read_and_nothing_else_until_it_is_ended() {
    let door = &Door::new().await;
    let sharing = format!("/cards/{}/sharing", door.card);
    let make = [("do", "link"), ("label", "Engine 4"), ("days", "7")];
    let made = door.post(Who::Keeper, &sharing, &make).await;
    let link = made.body.split("http://localhost:8080").nth(1).unwrap();
    let link = link.split('<').next().unwrap();
    assert!(link.starts_with("/shared/"), "{link}");
    let code = pillarbook::web::sharing::qr::svg(&format!("http://localhost:8080{link}"));
    assert!(made.body.contains(&code.unwrap()), "the link as a QR code");
    let again = door.get(Who::Keeper, &sharing).await;
    assert!(!again.body.contains(link) && again.body.contains("never opened"));

    let sheet = door.get(Who::Anonymous, link).await;
    assert_eq!(sheet.status, StatusCode::OK);
    assert!(
        sheet.body.contains("Corvel Tarn")
            && sheet.body.contains("Expose and look before every cut")
    );
    for elsewhere in ["/cards/0", "/cards/new", "/account", "aria-label=\"Main\""] {
        let leads = sheet.body.contains(elsewhere);
        assert!(!leads, "it leads nowhere else: {elsewhere}");
    }
    let card = format!("/cards/{}", door.card);
    assert_eq!(
        door.get(Who::Anonymous, &card).await.status,
        StatusCode::SEE_OTHER
    );
    let written = door.form(link, &[("make", "x")], "").await;
    assert_eq!(written.status, StatusCode::METHOD_NOT_ALLOWED);
    assert!(
        door.get(Who::Keeper, &sharing)
            .await
            .body
            .contains("opened once")
    );

    let own = &door.members[&Who::Keeper].department;
    let id = door.store.links(own, &door.card).await.unwrap()[0]
        .id
        .to_string();
    let end = [("do", "end"), ("link", id.as_str())];
    assert_eq!(
        door.post(Who::Keeper, &sharing, &end).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        door.get(Who::Anonymous, link).await.status,
        StatusCode::NOT_FOUND
    );
    let unknown = door.get(Who::Anonymous, "/shared/nothing").await;
    assert_eq!(unknown.status, StatusCode::NOT_FOUND);
    let forever = [("do", "link"), ("label", "Engine 4"), ("days", "4000")];
    let refused = door.post(Who::Keeper, &sharing, &forever).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.body.contains("1, 7, 30 or 90 days"));
}

#[tokio::test]
async fn what_cannot_be_meant_is_named_and_changes_nothing() {
    let door = &Door::new().await;
    let sharing = format!("/cards/{}/sharing", door.card);
    let refused = door
        .post(Who::Keeper, &sharing, &[("visibility", "the world")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.body.contains("choose one of the three"));
    let own = &door.members[&Who::Keeper].department;
    let now = door.store.visibility(own, &door.card).await.unwrap();
    assert_eq!(now, Some(Visibility::Department));
    let nobody = [("do", "ask"), ("department", "nobody")];
    let refused = door.post(Who::Keeper, "/partners", &nobody).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let strange = door.post(Who::Keeper, "/partners", &[("do", "sell")]).await;
    assert_eq!(strange.status, StatusCode::BAD_REQUEST);
}
