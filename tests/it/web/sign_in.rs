//! Signing in and out, the first set-up, and what an attacker would try at the
//! door.

use super::door::{Answered, Door, PASSWORD, Who};
use axum::http::{Method, StatusCode};
use pillarbook::secret;
use pillarbook::store::{SESSION_IDLE, SESSION_LONGEST};
use pillarbook::web::set_up;
use time::{Duration, OffsetDateTime};

async fn sign_in(door: &Door, name: &str, password: &str, cookies: &str) -> Answered {
    let fields = [
        ("name", name),
        ("password", password),
        ("next", "/find?q=tarn"),
    ];
    door.form("/sign-in", &fields, cookies).await
}

#[tokio::test]
async fn the_right_password_begins_a_session_and_leads_back_to_the_page_asked_for() {
    let door = &Door::new().await;
    let asked = door.get(Who::Anonymous, "/find?q=tarn").await;
    assert_eq!(asked.location, "/sign-in?next=%2Ffind%3Fq%3Dtarn");
    let answer = sign_in(door, "Officer.Fenn", PASSWORD, "").await;
    assert_eq!(
        (answer.status, answer.location.as_str()),
        (StatusCode::SEE_OTHER, "/find?q=tarn")
    );
    let cookie = answer
        .cookies
        .iter()
        .find(|c| c.starts_with("session="))
        .unwrap();
    for mark in ["HttpOnly", "SameSite=Lax", "Path=/"] {
        assert!(cookie.contains(mark), "{cookie}");
    }
    let session = format!("session={}", answer.cookie("session").unwrap());
    let page = door
        .send(Method::GET, "/account", "text/plain", "", Some(&session))
        .await;
    assert!(page.body.contains("Officer Fenn"), "{}", page.body);

    let out = door.form("/sign-out", &[], &session).await;
    assert_eq!(out.location, "/sign-in");
    let after = door
        .send(Method::GET, "/account", "text/plain", "", Some(&session))
        .await;
    assert_eq!(
        after.status,
        StatusCode::SEE_OTHER,
        "the session ended on the server too"
    );
}

#[tokio::test]
async fn a_wrong_password_and_an_unknown_name_are_answered_alike_and_typed_words_stay_but_the_password()
 {
    let door = &Door::new().await;
    let wrong = sign_in(door, "officer.fenn", "hinge copper ladle mos", "").await;
    let unknown = sign_in(door, "nobody.fenn", PASSWORD, "").await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(unknown.status, wrong.status);
    let same = wrong.body.replace("officer.fenn", "nobody.fenn");
    assert_eq!(same, unknown.body);
    assert!(wrong.body.contains(r#"value="officer.fenn""#));
    assert!(!wrong.body.contains("ladle mos"));
    assert!(wrong.cookies.is_empty());
}

#[tokio::test]
async fn a_session_planted_beforehand_is_not_the_one_that_begins() {
    let door = &Door::new().await;
    let planted = secret::draw();
    let answer = sign_in(door, "member.fenn", PASSWORD, &format!("session={planted}")).await;
    assert_ne!(answer.cookie("session").unwrap(), planted);
    let cookie = format!("session={planted}");
    let page = door
        .send(Method::GET, "/account", "text/plain", "", Some(&cookie))
        .await;
    assert_eq!(page.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn guessing_is_slowed_down_and_a_browser_known_to_the_member_is_not_shut_out() {
    let door = &Door::new().await;
    let before = sign_in(door, "keeper.fenn", PASSWORD, "").await;
    let device = format!("device={}", before.cookie("device").unwrap());
    let mut refused = 0;
    for _ in 0..8 {
        let answer = sign_in(door, "keeper.fenn", "not the password", "").await;
        refused += usize::from(answer.status == StatusCode::TOO_MANY_REQUESTS);
    }
    assert!(refused >= 2, "{refused}");
    let right = sign_in(door, "keeper.fenn", PASSWORD, "").await;
    assert_eq!(
        right.status,
        StatusCode::TOO_MANY_REQUESTS,
        "an unknown browser waits"
    );

    // What others try from anywhere does not reach a browser that is known.
    let now = OffsetDateTime::now_utc();
    door.store
        .forget_failures("account keeper.fenn from unknown")
        .await
        .unwrap();
    for _ in 0..100 {
        door.store
            .note_failure("account keeper.fenn", now)
            .await
            .unwrap();
    }
    let elsewhere = sign_in(door, "keeper.fenn", PASSWORD, "").await;
    assert_eq!(elsewhere.status, StatusCode::TOO_MANY_REQUESTS);
    let known = sign_in(door, "keeper.fenn", PASSWORD, &device).await;
    assert_eq!(known.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn nobody_is_sent_to_another_site_and_no_header_is_smuggled_in() {
    let door = &Door::new().await;
    for next in [
        "//evil.example",
        "https://evil.example",
        "/\\evil.example",
        "/a\r\nSet-Cookie: x=1",
    ] {
        let fields = [
            ("name", "member.fenn"),
            ("password", PASSWORD),
            ("next", next),
        ];
        let answer = door.form("/sign-in", &fields, "").await;
        assert_eq!(answer.location, "/", "{next:?}");
        assert!(answer.cookie("x").is_none());
    }
}

#[tokio::test]
async fn what_is_sent_beyond_a_forms_fields_changes_nothing() {
    let door = &Door::new().await;
    let card = door
        .store
        .card(&door.members[&Who::Member].department, &door.card)
        .await;
    let before = card.unwrap().unwrap();
    let fields = [
        ("body_style", "sedan"),
        ("make", "Corvel"),
        ("department", "another"),
        ("roles", "keeper"),
        ("member", "another"),
        ("revision", "1"),
        ("member_id", "another"),
        ("department_id", "another"),
    ];
    door.post(Who::Member, &format!("/cards/{}/edit", door.card), &fields)
        .await;
    let card = door
        .store
        .card(&door.members[&Who::Member].department, &door.card)
        .await;
    assert_eq!(card.unwrap().unwrap().department, before.department);
    let again = door
        .post(
            Who::Member,
            "/account",
            &[("do", "roles"), ("roles", "keeper")],
        )
        .await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    let known = door.store.credential("member.fenn").await.unwrap().unwrap();
    assert_eq!(known.actor.roles.to_string(), "member");
}

#[tokio::test]
async fn a_new_password_ends_the_other_sessions_and_takes_the_old_one() {
    let door = &Door::new().await;
    let here = sign_in(door, "trainer.fenn", PASSWORD, "").await;
    let there = sign_in(door, "trainer.fenn", PASSWORD, "").await;
    let cookie = |answer: &Answered| format!("session={}", answer.cookie("session").unwrap());
    let new = "barrel quarry thistle oar";
    let change = async |old: &str| {
        let fields = [
            ("do", "password"),
            ("old", old),
            ("password", new),
            ("again", new),
        ];
        door.form("/account", &fields, &cookie(&here)).await
    };
    assert_eq!(
        change("not this one at all").await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(change(PASSWORD).await.status, StatusCode::SEE_OTHER);
    let account = async |answer: &Answered| {
        let cookie = cookie(answer);
        door.send(Method::GET, "/account", "text/plain", "", Some(&cookie))
            .await
            .status
    };
    assert_eq!(account(&here).await, StatusCode::OK);
    assert_eq!(account(&there).await, StatusCode::SEE_OTHER);
    assert_eq!(
        sign_in(door, "trainer.fenn", new, "").await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test]
async fn a_session_ends_by_hand_by_idleness_and_by_age_and_its_old_secret_soon() {
    let door = &Door::new().await;
    let (store, member) = (&door.store, &door.members[&Who::Member]);
    let began = OffsetDateTime::now_utc();
    let (secret, newer) = (secret::draw(), secret::draw());
    let begin = async |at| {
        store
            .begin_session(member, (&secret::draw(), "d"), "a phone", at)
            .await
            .unwrap()
    };
    let id = store
        .begin_session(member, (&secret, "d"), "a phone", began)
        .await
        .unwrap();
    let holds = async |secret: &str, at| store.session(secret, at).await.unwrap().is_some();
    assert!(holds(&secret, began).await);
    assert!(!holds(&secret, began + SESSION_IDLE + Duration::minutes(1)).await);
    store.renew_session(&id, &newer, began).await.unwrap();
    assert!(
        holds(&secret, began + Duration::minutes(1)).await,
        "requests under way"
    );
    assert!(!holds(&secret, began + Duration::minutes(3)).await);
    let mut seen = began;
    while seen - began < SESSION_LONGEST {
        assert!(holds(&newer, seen).await, "{}", seen - began);
        seen += SESSION_IDLE - Duration::days(1);
    }
    assert!(!holds(&newer, began + SESSION_LONGEST + Duration::minutes(1)).await);

    let other = begin(began).await;
    let stranger = &door.members[&Who::Officer];
    assert!(
        store
            .end_session(stranger, &other, began)
            .await
            .unwrap()
            .is_none()
    );
    assert!(
        store
            .end_session(member, &other, began)
            .await
            .unwrap()
            .is_some()
    );
}

#[tokio::test]
async fn the_first_set_up_link_works_once_and_makes_a_keeper_of_what_is_there() {
    let door = &Door::new().await;
    let now = OffsetDateTime::now_utc();
    assert_eq!(
        set_up::offer(&door.store, now).await.unwrap(),
        None,
        "somebody can sign in"
    );

    let site = super::site::Site::signing_in().await;
    let old = set_up::offer(&site.store, now).await.unwrap().unwrap();
    let link = set_up::offer(&site.store, now).await.unwrap().unwrap();
    assert_eq!(
        site.get(&old).await.status,
        StatusCode::NOT_FOUND,
        "a newer one replaced it"
    );
    let page = site.get("/").await;
    assert_eq!(page.location, "/sign-in");
    assert!(
        site.get("/sign-in")
            .await
            .page
            .html()
            .contains("set-up link")
    );
    assert_eq!(site.get(&link).await.status, StatusCode::OK);
    let fields = [
        ("department", "Oakmere Fire"),
        ("member", "Ada Fenn"),
        ("name", "ada fenn"),
        ("password", PASSWORD),
        ("again", PASSWORD),
    ];
    let refused = site.post(&link, &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!refused.page.html().contains(PASSWORD));
    let mut good = fields;
    good[2] = ("name", "ada.fenn");
    assert_eq!(site.post(&link, &good).await.location, "/");
    assert_eq!(
        site.post(&link, &good).await.status,
        StatusCode::NOT_FOUND,
        "used up"
    );
    let keeper = site
        .store
        .credential("ADA.fenn")
        .await
        .unwrap()
        .unwrap()
        .actor;
    assert_eq!(
        keeper.department, site.actor.department,
        "its cards stay its own"
    );
    assert!(
        site.store
            .card(&keeper.department, &site.card)
            .await
            .unwrap()
            .is_some()
    );
    assert!(!site.store.needs_set_up().await.unwrap());
}
