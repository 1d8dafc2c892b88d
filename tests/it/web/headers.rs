//! What goes out in the head of an answer: nothing a visitor could write there,
//! no way to another site, and TLS alone where others come.

use super::door::{Door, PASSWORD, Who};
use super::reader::{Reader, ask};
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use pillarbook::web::site::Site;
use pillarbook::web::{Service, router};

/// Texts that would end a line of the head or lead to another site.
const HOSTILE: [&str; 12] = [
    "/\r\nSet-Cookie: session=planted",
    "/a\nLocation: https://evil.example",
    "/%0d%0aSet-Cookie:%20session=planted\r\n",
    "\r\n\r\n<script>alert(1)</script>",
    "//evil.example",
    "/\\evil.example",
    "/\t/evil.example",
    "https://evil.example/",
    "https:evil.example",
    "javascript:alert(1)",
    "/\u{2028}/evil.example",
    "/cards/\u{0}",
];

#[tokio::test]
async fn signing_in_leads_to_a_page_here_whatever_next_says() {
    let door = &Door::new().await;
    for next in HOSTILE {
        let fields = [
            ("name", "officer.fenn"),
            ("password", PASSWORD),
            ("next", next),
        ];
        let answer = door.form("/sign-in", &fields, "").await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{next:?}");
        assert_eq!(answer.location, "/", "{next:?}");
        let names: Vec<&str> = answer
            .cookies
            .iter()
            .map(|c| c.split('=').next().unwrap())
            .collect();
        assert!(
            names
                .iter()
                .all(|n| ["session", "device", "signed-out"].contains(n)),
            "{names:?}"
        );
        assert!(
            answer.cookies.iter().all(|c| !c.contains("planted")),
            "{next:?}"
        );
        // Shown first, it is kept as text and no more.
        let query = form_urlencoded::Serializer::new(String::new())
            .append_pair("next", next)
            .finish();
        let page = door.get(Who::Anonymous, &format!("/sign-in?{query}")).await;
        assert_eq!(page.status, StatusCode::OK, "{next:?}");
        assert!(!page.body.contains("<script>alert"), "{next:?}");
    }
}

#[tokio::test]
async fn an_address_is_never_written_into_the_head_as_it_came() {
    let door = &Door::new().await;
    for path in [
        "/cards/%0d%0aSet-Cookie:%20session=planted",
        "/cards/x?q=%0d%0aSet-Cookie:%20session=planted",
        "/find?q=%0d%0aLocation:%20https://evil.example",
        "/find?//evil.example",
        "/cards/%0d%0a/sharing",
    ] {
        for who in [Who::Anonymous, Who::Keeper] {
            let answer = door.get(who, path).await;
            assert!(!answer.status.is_server_error(), "{who:?} {path}");
            assert_eq!(answer.cookies, Vec::<String>::new(), "{who:?} {path}");
            let to = answer.location.as_str();
            let here = to.is_empty() || to.starts_with('/') && !to.starts_with("//");
            assert!(here && !to.contains(['\r', '\n']), "{who:?} {path}: {to}");
        }
    }
}

#[tokio::test]
async fn the_part_of_the_find_page_is_reached_as_the_whole_page() {
    let door = &Door::new().await;
    let alone = door.get(Who::Member, "/find?q=corvel%20tarn").await;
    assert_eq!(
        (alone.status, alone.location.as_str()),
        (StatusCode::SEE_OTHER, "/?q=corvel%20tarn")
    );
    assert_eq!(door.get(Who::Member, "/find").await.location, "/");
}

async fn strict(service: Service, host: &str, path: &str) -> String {
    let router = router(service);
    let asked = Request::builder()
        .method(Method::GET)
        .uri(path)
        .header(header::HOST, host);
    let answer = ask(&router, asked.body(Body::empty()).unwrap()).await;
    answer.header("strict-transport-security").to_owned()
}

#[tokio::test]
async fn a_browser_that_comes_under_the_public_name_comes_by_tls_from_then_on() {
    let reader = Reader::empty().await;
    let public = || {
        let site = Site::new("https://book.example.test".parse().ok(), &[]);
        Service::new(reader.store.clone()).at(site)
    };
    for path in [
        "/sign-in",
        "/",
        "/no-such-page",
        "/static/none",
        "/api/v1/cards",
        "/healthz",
    ] {
        let said = strict(public(), "book.example.test", path).await;
        let seconds = said
            .strip_prefix("max-age=")
            .and_then(|s| s.parse::<u64>().ok());
        assert!(seconds.is_some_and(|s| s >= 31_536_000), "{path}: {said}");
        // Over plain HTTP on this machine it would shut its own keeper out.
        assert_eq!(strict(public(), "localhost:8080", path).await, "", "{path}");
        let local = Service::new(reader.store.clone());
        assert_eq!(strict(local, "localhost:8080", path).await, "", "{path}");
    }
}
