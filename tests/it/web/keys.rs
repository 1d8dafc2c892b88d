//! Keys for programs: made by a keeper, shown once, good for the API alone.

use super::door::{Answered, Door, Who};
use crate::contract::EXAMPLE;
use axum::http::{Method, StatusCode, header};
use pillarbook::domain::role::Role;
use pillarbook::secret;
use serde_json::{Value, json};
use time::{Duration, OffsetDateTime};

async fn with_key(door: &Door, path: &str, key: &str) -> Answered {
    let key = format!("Bearer {key}");
    let with = [(header::AUTHORIZATION, key.as_str())];
    door.send_with(Method::GET, path, "text/plain", "", &with)
        .await
}

async fn made(door: &Door) -> String {
    let fields = [
        ("do", "make"),
        ("label", "Yard list"),
        ("role", "member"),
        ("days", "90"),
    ];
    let page = door.post(Who::Keeper, "/keys", &fields).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let at = page.body.find("pillarbook_").expect("the key is shown");
    page.body[at..].chars().take_while(|c| *c != '<').collect()
}

#[tokio::test]
async fn a_key_is_shown_once_opens_the_api_until_it_is_ended_and_never_a_page() {
    let door = &Door::new().await;
    let key = made(door).await;
    assert_eq!(key.len(), "pillarbook_".len() + 64);
    let list = door.get(Who::Keeper, "/keys").await;
    assert!(list.body.contains("Yard list"), "{}", list.body);
    assert!(!list.body.contains(&key), "shown once");
    assert_eq!(
        with_key(door, "/api/v1/cards", &key).await.status,
        StatusCode::OK
    );
    assert_eq!(
        with_key(door, "/", &key).await.status,
        StatusCode::SEE_OTHER
    );
    let people = door.get(Who::Keeper, "/people").await;
    assert!(!people.body.contains("Yard list"), "no person");

    let keeper = &door.members[&Who::Keeper];
    let keys = door.store.keys(keeper).await.unwrap();
    let one = keys.iter().find(|k| k.label == "Yard list").unwrap();
    assert!(one.last_used_at.is_some());
    let fields = [("do", "revoke"), ("key", one.id.as_str())];
    let stranger = door.post(Who::Stranger, "/keys", &fields).await;
    assert_eq!(stranger.status, StatusCode::NOT_FOUND);
    assert_eq!(
        with_key(door, "/api/v1/cards", &key).await.status,
        StatusCode::OK
    );
    door.post(Who::Keeper, "/keys", &fields).await;
    let ended = with_key(door, "/api/v1/cards", &key).await;
    assert_eq!(ended.status, StatusCode::UNAUTHORIZED);
    assert!(ended.body.contains("ended or too old"), "{}", ended.body);
}

#[tokio::test]
async fn a_key_that_does_not_hold_opens_nothing_even_beside_a_session_or_an_open_address() {
    let door = &Door::new().await;
    for key in ["", "x", "pillarbook_0000", &secret::draw()] {
        for path in ["/api/v1/cards", "/api/v1/openapi.json"] {
            let answer = with_key(door, path, key).await;
            assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{path} {key}");
        }
    }
    let (secret, now) = (secret::draw(), OffsetDateTime::now_utc());
    let keeper = &door.members[&Who::Keeper];
    let (from, until) = (now - Duration::days(2), now - Duration::days(1));
    let wanted = ("Old list", Role::Officer);
    let made = door.store.make_key(keeper, wanted, &secret, until, from);
    made.await.unwrap();
    let answer = with_key(door, "/api/v1/cards", &secret).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "too old");
}

#[tokio::test]
async fn the_keys_a_keeper_made_end_when_they_leave() {
    let door = &Door::new().await;
    let key = made(door).await;
    let second = door.members[&Who::Officer].member.to_string();
    let keeper = door.members[&Who::Keeper].member.to_string();
    let promoted = [
        ("do", "roles"),
        ("member", second.as_str()),
        ("role-keeper", "on"),
    ];
    door.post(Who::Keeper, "/people", &promoted).await;
    let leave = [("do", "leave"), ("member", keeper.as_str())];
    let answer = door.post(Who::Officer, "/people", &leave).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let answer = with_key(door, "/api/v1/cards", &key).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_key_takes_a_name_one_role_and_an_end() {
    let door = &Door::new().await;
    let before = door.store.keys(&door.members[&Who::Keeper]).await.unwrap();
    for (label, role, days, said) in [
        ("", "member", "30", "1 to 80"),
        ("List", "chief", "30", "choose what the program may do"),
        ("List", "member", "4000", "30, 90 or 365"),
    ] {
        let fields = [
            ("do", "make"),
            ("label", label),
            ("role", role),
            ("days", days),
        ];
        let page = door.post(Who::Keeper, "/keys", &fields).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{label} {role} {days}"
        );
        assert!(page.body.contains(said), "{}", page.body);
        assert!(!page.body.contains("pillarbook_"));
    }
    let after = door.store.keys(&door.members[&Who::Keeper]).await.unwrap();
    assert_eq!(before, after);
}

#[tokio::test]
async fn no_member_and_no_program_of_one_makes_bare_count_by_sending_it_as_decided() {
    let door = &Door::new().await;
    let json = "application/json";
    let post = async |who: Who, path: &str, body: &str| {
        let sent = door.send_as(who, Method::POST, path, json, body).await;
        (sent.status, sent.body)
    };
    let mut resolved: Value = serde_json::from_str(EXAMPLE).unwrap();
    resolved["findings"][2]["status"] = "offered".into();
    resolved["findings"][2]["resolved"] = json!({"by": "Di Holt", "on": "2026-03-05"});
    let files = [
        (EXAMPLE.to_owned(), "findings[2].status"),
        (resolved.to_string(), "findings[2].resolved"),
    ];
    for (file, field) in &files {
        let (status, said) = post(Who::Member, "/api/v1/cards", file).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert!(said.contains(field), "{said}");
        let (status, said) = post(Who::Officer, "/api/v1/cards", file).await;
        assert_eq!(status, StatusCode::CREATED, "their own record: {said}");
    }
    resolved["findings"][2]["resolved"].take();
    let undecided = resolved.to_string();
    let (status, said) = post(Who::Member, "/api/v1/cards", &undecided).await;
    assert_eq!(status, StatusCode::CREATED, "{said}");

    let findings = format!("/api/v1/cards/{}/findings", door.card);
    let bare = |resolved: Value| {
        json!({"findings": [{
            "report": "bare", "depth": "skin", "source": "seen", "car": "yard 15", "observed_on": "2026-03-05",
            "place": {"span": "b-pillar.right", "from_mm": 300, "to_mm": 800},
            "resolved": resolved,
        }]})
        .to_string()
    };
    let word = bare(json!({"by": "Di Holt", "on": "2026-03-05"}));
    for who in [Who::Member, Who::Officer] {
        let (status, said) = post(who, &findings, &word).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert!(said.contains("findings[0].resolved"), "{said}");
    }
    let (status, said) = post(Who::Member, &findings, &bare(Value::Null)).await;
    assert_eq!(status, StatusCode::CREATED, "{said}");
}
