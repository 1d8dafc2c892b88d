//! What every answer carries, and who is let in.

use super::reader::{Reader, ask};
use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use axum::middleware::from_fn;
use axum::routing::get;
use pillarbook::web::site::Site;
use pillarbook::web::{ServeError, Service, bind, boundary, router, serve, set_up};
use tower_http::catch_panic::CatchPanicLayer;

fn request(method: Method, path: &str) -> axum::http::request::Builder {
    Request::builder().method(method).uri(path)
}

#[tokio::test]
async fn every_page_keeps_inline_scripts_and_other_sites_out() {
    let reader = Reader::empty().await;
    for path in ["/", "/body-styles/sedan", "/no-such-page", "/healthz"] {
        let answer = reader.get(path).await;
        let policy = answer.header("content-security-policy");
        assert!(policy.contains("default-src 'none'"), "{path}: {policy}");
        assert!(
            policy.contains("frame-ancestors 'none'"),
            "{path}: {policy}"
        );
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("x-frame-options"), "DENY", "{path}");
        let kept = answer.header("cache-control");
        let alone = ["private", "no-store"]
            .iter()
            .any(|word| kept.contains(word));
        assert!(alone, "{path}: {kept}");
        assert_eq!(answer.header("referrer-policy"), "same-origin", "{path}");
    }
}

#[tokio::test]
async fn each_request_has_its_own_id() {
    let reader = Reader::empty().await;
    let ids =
        [reader.get("/").await, reader.get("/").await].map(|a| a.header("x-request-id").to_owned());
    assert!(
        ids.iter().all(|id| uuid::Uuid::parse_str(id).is_ok()),
        "{ids:?}"
    );
    assert_ne!(ids[0], ids[1]);
}

#[tokio::test]
async fn an_unknown_address_gives_a_page_with_ways_out() {
    let reader = Reader::empty().await;
    let answer = reader.get("/no-such-page").await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert_eq!(answer.words("h1"), "Not here");
    assert!(
        answer
            .attributes("main a", "href")
            .contains(&"/".to_owned())
    );
    assert_eq!(answer.words("code"), answer.header("x-request-id"));
}

#[tokio::test]
async fn an_unknown_address_of_the_api_gives_a_problem_document() {
    let reader = Reader::empty().await;
    let answer = reader.get("/api/v1/no-such-thing").await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert_eq!(
        answer.header(header::CONTENT_TYPE),
        "application/problem+json"
    );
    let problem: serde_json::Value = serde_json::from_slice(&answer.body).unwrap();
    assert_eq!(problem["status"], 404);
}

#[tokio::test]
async fn a_name_pointed_at_this_machine_from_outside_is_refused() {
    let reader = Reader::empty().await;
    for host in [
        "pillarbook.example.test",
        "10.0.0.7:8080",
        "127.0.0.1.example.test",
    ] {
        let ask = request(Method::GET, "/").header(header::HOST, host);
        let answer = reader.ask(ask.body(Body::empty()).unwrap()).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{host}");
        assert!(answer.words("main").contains("this machine only"), "{host}");
    }
    let without = reader
        .ask(request(Method::GET, "/").body(Body::empty()).unwrap())
        .await;
    assert_eq!(without.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn nothing_is_taken_from_a_page_of_another_site() {
    let reader = Reader::empty().await;
    let from = [
        (header::ORIGIN.as_str(), "http://example.test"),
        (header::ORIGIN.as_str(), "null"),
        ("sec-fetch-site", "cross-site"),
    ];
    for (name, value) in from {
        let ask = request(Method::POST, "/cards/new")
            .header(header::HOST, "localhost:8080")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header(name, value);
        let answer = reader
            .ask(ask.body(Body::from("body_style=sedan")).unwrap())
            .await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{name}: {value}");
    }
    assert!(reader.cards().await.is_empty());
}

#[tokio::test]
async fn a_known_address_asked_in_the_wrong_way_says_so() {
    let reader = Reader::empty().await;
    let ask = request(Method::DELETE, "/").header(header::HOST, "localhost");
    let answer = reader.ask(ask.body(Body::empty()).unwrap()).await;
    assert_eq!(answer.status, StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(answer.words("h1"), "Cannot do that");
}

#[tokio::test]
async fn a_form_of_two_megabytes_is_refused_with_a_page() {
    let reader = Reader::empty().await;
    let ask = request(Method::POST, "/cards/new")
        .header(header::HOST, "localhost:8080")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    let body = format!("make={}", "a".repeat(2 << 20));
    let answer = reader.ask(ask.body(Body::from(body)).unwrap()).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(
        answer.words("main").contains("too large"),
        "{}",
        answer.text()
    );
}

#[tokio::test]
async fn a_panic_becomes_a_page_that_tells_its_number_and_nothing_else() {
    let reader = Reader::empty().await;
    let state = Service::walk_in(reader.store.clone(), reader.actor.clone());
    let router = Router::new()
        .route(
            "/",
            get(|| async { panic!("the inner secret") as &'static str }),
        )
        .layer(CatchPanicLayer::custom(boundary::answer_panic))
        .layer(from_fn(boundary::pass))
        .with_state(state);
    let answer = ask(
        &router,
        request(Method::GET, "/").body(Body::empty()).unwrap(),
    )
    .await;
    assert_eq!(answer.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(!answer.text().contains("secret"));
    assert_eq!(answer.words("code"), answer.header("x-request-id"));
}

#[tokio::test]
async fn only_this_machine_can_be_listened_on() {
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.1:0"] {
        let refused = bind(address.parse().unwrap(), &Site::default()).await;
        assert!(
            matches!(refused, Err(ServeError::NotLoopback(_))),
            "{address}"
        );
    }
}

#[tokio::test]
async fn a_service_told_to_stop_ends() {
    let reader = Reader::empty().await;
    let state = Service::walk_in(reader.store.clone(), reader.actor.clone());
    let listener = bind("127.0.0.1:0".parse().unwrap(), &Site::default())
        .await
        .unwrap();
    serve(listener, state, std::future::ready(()))
        .await
        .unwrap();
}

#[tokio::test]
async fn under_a_public_address_cookies_are_for_tls_and_other_names_and_sites_are_refused() {
    let reader = Reader::empty().await;
    let site = Site::new("https://book.example.test".parse().ok(), &[]);
    let any = bind("0.0.0.0:0".parse().unwrap(), &site).await;
    assert!(any.is_ok(), "others may reach it");
    let service = Service::new(reader.store.clone()).at(site);
    let secret = set_up::offer(&reader.store, time::OffsetDateTime::now_utc());
    let path = secret.await.unwrap().unwrap();
    let router = router(service);
    let password = "hinge copper ladle moss";
    let body = form_urlencoded::Serializer::new(String::new())
        .extend_pairs([("department", "Oakmere"), ("member", "Ada Fenn")])
        .extend_pairs([("name", "ada.fenn"), ("password", password)])
        .append_pair("again", password)
        .finish();
    let sent = |host: &str, origin: &str| {
        let sent = request(Method::POST, &path)
            .header(header::HOST, host)
            .header(header::ORIGIN, origin)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        sent.body(Body::from(body.clone())).unwrap()
    };
    let own = "https://book.example.test";
    for (host, origin) in [
        ("evil.example", own),
        ("book.example.test", "https://evil.example"),
        ("book.example.test", "http://book.example.test"),
        ("book.example.test", "null"),
    ] {
        let answer = ask(&router, sent(host, origin)).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{host} {origin}");
    }
    let answer = ask(&router, sent("book.example.test", own)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let cookies = answer.headers.get_all(header::SET_COOKIE);
    let cookies: Vec<&str> = cookies.iter().map(|c| c.to_str().unwrap()).collect();
    assert!(cookies.iter().any(|c| c.starts_with("__Host-session=")));
    for cookie in cookies {
        assert!(
            cookie.contains("Secure") && cookie.contains("HttpOnly"),
            "{cookie}"
        );
    }
}
