//! Under which names passkeys are offered.

use super::door::{Door, PASSWORD, Who};
use super::passkeys::question;
use crate::support::authenticator::Authenticator;
use axum::http::{Method, StatusCode, header};
use pillarbook::web::site::Site;
use serde_json::Value;

#[tokio::test]
async fn under_a_number_no_passkeys_are_offered_and_the_page_says_why() {
    let door = &Door::new().await;
    let session = door.cookie(Who::Member);
    let number = async |method, path: &str, body: &str| {
        let with = [
            (header::HOST, "127.0.0.1:8080"),
            (header::ORIGIN, "http://127.0.0.1:8080"),
            (header::COOKIE, session.as_str()),
        ];
        let kind = "application/x-www-form-urlencoded";
        door.send_to(method, path, (kind, body), &with).await
    };
    let named = door.get(Who::Anonymous, "/sign-in").await;
    assert!(named.body.contains("Sign in with a passkey"));
    let page = number(Method::GET, "/sign-in", "").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.body.contains("passkey"), "{}", page.body);
    let page = number(Method::GET, "/account", "").await;
    assert!(
        page.body.contains("open the service as localhost"),
        "{}",
        page.body
    );
    assert!(!page.body.contains("Add a passkey"), "{}", page.body);
    for (path, body) in [
        ("/sign-in/passkey/ask", String::new()),
        ("/sign-in/passkey", "ceremony=x&answer=y".to_owned()),
        (
            "/account/passkeys",
            format!("do=add&passkey=x&own={PASSWORD}"),
        ),
    ] {
        let answer = number(Method::POST, path, &body).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{path}");
        assert!(answer.body.contains("belongs to a name"), "{path}");
    }
}

/// As others reach it; a proxy may pass on its own name for the public one.
#[tokio::test]
async fn under_a_public_address_passkeys_belong_to_its_name() {
    let site = Site::new("https://book.example.test".parse().ok(), &[]);
    let door = &Door::at(site).await;
    let (origin, party) = ("https://book.example.test", "book.example.test");
    for (who, host) in [(Who::Member, party), (Who::Officer, "127.0.0.1:8080")] {
        let session = format!("__Host-{}", door.cookie(who));
        let ask = async |path: &str, fields: &[(&str, &str)]| {
            let with = [
                (header::HOST, host),
                (header::ORIGIN, origin),
                (header::COOKIE, session.as_str()),
            ];
            let mut form = form_urlencoded::Serializer::new(String::new());
            let body = form.extend_pairs(fields).finish();
            let kind = "application/x-www-form-urlencoded";
            door.send_to(Method::POST, path, (kind, &body), &with).await
        };
        let add = [("do", "add"), ("passkey", "phone"), ("own", PASSWORD)];
        let (ceremony, options) = question(&ask("/account/passkeys", &add).await);
        assert_eq!(options["rp"]["id"], party, "{host}");
        let mut device = Authenticator::new(u8::try_from(host.len()).unwrap());
        let answer = device.make(&options, origin);
        let made = [("do", "made"), ("ceremony", &ceremony), ("answer", &answer)];
        let kept = ask("/account/passkeys", &made).await;
        assert_eq!(kept.location, "/account#passkeys", "{}", kept.body);
        let asked = ask("/sign-in/passkey/ask", &[]).await;
        let asked: Value = serde_json::from_str(&asked.body).unwrap();
        let answer = device.answer(&asked["options"], origin, party);
        let ceremony = asked["ceremony"].as_str().unwrap();
        let shown = [("ceremony", ceremony), ("answer", &answer)];
        let inside = ask("/sign-in/passkey", &shown).await;
        assert_eq!(inside.status, StatusCode::SEE_OTHER, "{}", inside.body);
        assert!(inside.cookie("__Host-session").is_some(), "{host}");
    }
}
