//! People and the links that let them in: invitations, new passwords, leaving,
//! and what somebody in another department would try.

use super::door::{Answered, Door, PASSWORD, Who};
use axum::http::{Method, StatusCode};
use pillarbook::domain::role::{Role, Roles};
use pillarbook::secret;
use pillarbook::store::{INVITATION_HOLDS, MemberEntry, MemberId};
use time::OffsetDateTime;

const NEW_PASSWORD: &str = "tarn ottery wick seven";

/// The path of the link a page shows.
fn link_on(page: &Answered, start: &str) -> String {
    let at = page.body.find(start).expect("a link on the page");
    let link: String = page.body[at..].chars().take_while(|c| *c != '<').collect();
    assert_eq!(link.len(), start.len() + 64, "{link}");
    link
}

async fn person(door: &Door, who: Who) -> MemberEntry {
    let people = door
        .store
        .people(&door.members[&Who::Keeper])
        .await
        .unwrap();
    let id = &door.members[&who].member;
    people.into_iter().find(|p| p.id == *id).unwrap()
}

async fn account(door: &Door, cookie: &str) -> Answered {
    let cookie = format!("session={cookie}");
    door.send(Method::GET, "/account", "text/plain", "", Some(&cookie))
        .await
}

async fn invited(door: &Door, roles: &[&str]) -> String {
    let boxes: Vec<String> = roles.iter().map(|r| format!("role-{r}")).collect();
    let mut fields = vec![("do", "invite"), ("name", "Bea Holt")];
    fields.extend(boxes.iter().map(|b| (b.as_str(), "on")));
    let page = door.post(Who::Keeper, "/people", &fields).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    link_on(&page, "/invitations/")
}

fn joining<'a>(name: &'a str, password: &'a str) -> Vec<(&'a str, &'a str)> {
    let pairs = [
        ("member", "Beatrice Holt"),
        ("name", name),
        ("password", password),
        ("again", password),
    ];
    pairs.to_vec()
}

#[tokio::test]
async fn an_invitation_makes_one_member_with_the_roles_it_offers_whatever_else_is_sent() {
    let door = &Door::new().await;
    let link = invited(door, &["member", "trainer"]).await;
    let page = door.get(Who::Anonymous, &link).await;
    assert!(page.body.contains("Bea Holt"), "{}", page.body);
    assert!(page.body.contains("makes handouts"), "{}", page.body);

    let mut sent = joining("bea.holt", NEW_PASSWORD);
    sent.extend([("role-keeper", "on"), ("roles", "keeper"), ("local", "1")]);
    let answer = door.form(&link, &sent, "").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let own = account(door, answer.cookie("session").unwrap()).await;
    for part in [
        "Beatrice Holt",
        "bea.holt",
        "<b>member</b>",
        "<b>trainer</b>",
    ] {
        assert!(own.body.contains(part), "{part}: {}", own.body);
    }
    assert!(!own.body.contains("<b>keeper</b>"), "{}", own.body);

    assert_eq!(
        door.get(Who::Anonymous, &link).await.status,
        StatusCode::NOT_FOUND
    );
    let again = door
        .form(&link, &joining("eve.holt", NEW_PASSWORD), "")
        .await;
    assert_eq!(again.status, StatusCode::NOT_FOUND, "it works once");
}

#[tokio::test]
async fn a_link_is_shown_once_and_gone_when_taken_back_or_too_old() {
    let door = &Door::new().await;
    let link = invited(door, &["member"]).await;
    let keeper = &door.members[&Who::Keeper];
    let now = OffsetDateTime::now_utc();
    let list = door.get(Who::Keeper, "/people").await;
    assert!(list.body.contains("Bea Holt"), "{}", list.body);
    assert!(!list.body.contains(&link), "only its maker saw it");

    let open = door.store.once_links(keeper, now).await.unwrap();
    let id = open[0].id.to_string();
    let fields = [("do", "revoke"), ("link", id.as_str())];
    let by_stranger = door.post(Who::Stranger, "/people", &fields).await;
    assert_eq!(by_stranger.status, StatusCode::NOT_FOUND);
    assert_eq!(door.get(Who::Anonymous, &link).await.status, StatusCode::OK);
    let answer = door.post(Who::Keeper, "/people", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(
        door.get(Who::Anonymous, &link).await.status,
        StatusCode::NOT_FOUND
    );

    let roles = Roles::from_iter([Role::Member]);
    let (secret, made) = (secret::draw(), now - INVITATION_HOLDS);
    door.store
        .invite(keeper, ("Bea Holt", &roles), &secret, made)
        .await
        .unwrap();
    let old = format!("/invitations/{secret}");
    assert_eq!(
        door.get(Who::Anonymous, &old).await.status,
        StatusCode::NOT_FOUND
    );
    let sent = door
        .form(&old, &joining("bea.holt", NEW_PASSWORD), "")
        .await;
    assert_eq!(sent.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_faulty_form_keeps_what_was_typed_and_uses_no_link_up() {
    let door = &Door::new().await;
    let empty = door.post(Who::Keeper, "/people", &[("do", "invite")]).await;
    assert_eq!(empty.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(empty.body.contains("choose at least one"), "{}", empty.body);

    let link = invited(door, &["member"]).await;
    let taken = door
        .form(&link, &joining("Officer.Fenn", NEW_PASSWORD), "")
        .await;
    assert_eq!(taken.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(taken.body.contains("is taken"), "{}", taken.body);
    assert!(taken.body.contains("Beatrice Holt"), "{}", taken.body);
    assert!(!taken.body.contains(NEW_PASSWORD), "{}", taken.body);
    let short = door.form(&link, &joining("bea.holt", "short"), "").await;
    assert_eq!(short.status, StatusCode::UNPROCESSABLE_ENTITY);
    let names = ["Bea Holt", "Beatrice Holt"];
    let people = door
        .store
        .people(&door.members[&Who::Keeper])
        .await
        .unwrap();
    assert!(people.iter().all(|p| !names.contains(&p.name.as_str())));
    let right = door
        .form(&link, &joining("bea.holt", NEW_PASSWORD), "")
        .await;
    assert_eq!(right.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_link_to_a_new_password_shuts_out_whoever_knew_the_old_one() {
    let door = &Door::new().await;
    let id = door.members[&Who::Member].member.to_string();
    let fields = [("do", "reset"), ("member", id.as_str())];
    let first = link_on(
        &door.post(Who::Keeper, "/people", &fields).await,
        "/resets/",
    );
    let second = link_on(
        &door.post(Who::Keeper, "/people", &fields).await,
        "/resets/",
    );
    let stale = door.get(Who::Anonymous, &first).await;
    assert_eq!(stale.status, StatusCode::NOT_FOUND, "the newer one counts");
    assert_eq!(
        door.get(Who::Member, "/account").await.status,
        StatusCode::OK
    );

    let sent = [
        ("password", NEW_PASSWORD),
        ("again", NEW_PASSWORD),
        ("member", "x"),
    ];
    let answer = door.form(&second, &sent, "").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let own = account(door, answer.cookie("session").unwrap()).await;
    assert!(own.body.contains("Member Fenn"), "{}", own.body);
    let before = door.get(Who::Member, "/account").await;
    assert_eq!(before.status, StatusCode::SEE_OTHER, "old sessions end");
    let old = [("name", "member.fenn"), ("password", PASSWORD)];
    let old = door.form("/sign-in", &old, "").await;
    assert_eq!(old.status, StatusCode::UNPROCESSABLE_ENTITY);
    let again = door.form(&second, &sent, "").await;
    assert_eq!(again.status, StatusCode::NOT_FOUND, "it works once");
}

#[tokio::test]
async fn who_leaves_is_out_at_once_keeps_their_name_and_can_come_back() {
    let door = &Door::new().await;
    let id = door.members[&Who::Officer].member.to_string();
    let leave = [("do", "leave"), ("member", id.as_str())];
    let answer = door.post(Who::Keeper, "/people", &leave).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(
        door.get(Who::Officer, "/").await.status,
        StatusCode::SEE_OTHER
    );
    let signing = [("name", "officer.fenn"), ("password", PASSWORD)];
    let answer = door.form("/sign-in", &signing, "").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let entry = person(door, Who::Officer).await;
    assert_eq!(entry.name, "Officer Fenn");
    assert!(entry.left_at.is_some());
    let reset = [("do", "reset"), ("member", id.as_str())];
    let answer = door.post(Who::Keeper, "/people", &reset).await;
    assert_eq!(
        answer.status,
        StatusCode::NOT_FOUND,
        "no way in for who left"
    );

    let back = [("do", "back"), ("member", id.as_str())];
    door.post(Who::Keeper, "/people", &back).await;
    let old = door.get(Who::Officer, "/").await;
    assert_eq!(old.status, StatusCode::SEE_OTHER, "old sessions stay ended");
    let answer = door.form("/sign-in", &signing, "").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_keeper_who_leaves_or_is_one_no_more_takes_their_open_links_along() {
    for act in ["leave", "roles"] {
        let door = &Door::new().await;
        let link = invited(door, &["keeper"]).await;
        let second = invited(door, &["keeper"]).await;
        let joined = door
            .form(&second, &joining("bea.holt", NEW_PASSWORD), "")
            .await;
        let session = format!("session={}", joined.cookie("session").unwrap());
        let keeper = door.members[&Who::Keeper].member.to_string();
        let fields = [
            ("do", act),
            ("member", keeper.as_str()),
            ("role-member", "on"),
        ];
        let answer = door.form("/people", &fields, &session).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{act}");
        let gone = door.get(Who::Anonymous, &link).await;
        assert_eq!(gone.status, StatusCode::NOT_FOUND, "{act}");
    }
}

#[tokio::test]
async fn the_last_keeper_who_can_sign_in_stays_one() {
    let door = &Door::new().await;
    let keeper = door.members[&Who::Keeper].member.to_string();
    for fields in [
        vec![("do", "leave"), ("member", keeper.as_str())],
        vec![("do", "roles"), ("member", &keeper), ("role-officer", "on")],
    ] {
        let answer = door.post(Who::Keeper, "/people", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.body.contains("last keeper"), "{}", answer.body);
        let entry = person(door, Who::Keeper).await;
        assert_eq!(entry.left_at, None);
        assert_eq!(entry.roles, Roles::from_iter([Role::Keeper]));
    }
    assert_eq!(
        door.get(Who::Keeper, "/people").await.status,
        StatusCode::OK
    );
}

#[tokio::test]
async fn nobody_reaches_people_of_another_department_by_their_id() {
    let door = &Door::new().await;
    let before = person(door, Who::Member).await;
    for act in ["roles", "leave", "back", "reset"] {
        let fields = [
            ("do", act),
            ("member", before.id.as_str()),
            ("role-keeper", "on"),
        ];
        let answer = door.post(Who::Stranger, "/people", &fields).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{act}");
    }
    assert_eq!(person(door, Who::Member).await, before);
    let nobody = MemberId::new("01890000-0000-7000-8000-000000000000");
    let fields = [("do", "leave"), ("member", nobody.as_str())];
    let answer = door.post(Who::Keeper, "/people", &fields).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    let page = door.get(Who::Stranger, "/people").await;
    assert!(!page.body.contains("Member Fenn"), "{}", page.body);
}

#[tokio::test]
async fn new_roles_count_from_the_next_request_on() {
    let door = &Door::new().await;
    let id = door.members[&Who::NoRole].member.to_string();
    let refused = door.get(Who::NoRole, "/cards/new").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let fields = [
        ("do", "roles"),
        ("member", id.as_str()),
        ("role-member", "on"),
    ];
    door.post(Who::Keeper, "/people", &fields).await;
    assert_eq!(
        door.get(Who::NoRole, "/cards/new").await.status,
        StatusCode::OK
    );
}
