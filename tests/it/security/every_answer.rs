//! What every answer carries, whatever it is: a page, a refusal, a drawing, a
//! photo, a file to keep. And what no page has in it.

use super::county::{FORM, asked};
use super::pages::{is_html, kind_of};
use super::{County, Person};
use crate::web::door::{Answered, PASSWORD, answer};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use pillarbook::web::sign_in::Doorkeeper;
use pillarbook::web::site::Site;
use pillarbook::web::who::access::TABLE;
use pillarbook::web::{Service, router};
use scraper::{Html, Selector};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;

fn head<'a>(answer: &'a Answered, name: &str) -> &'a str {
    let value = answer.headers.get(name);
    value.map_or("", |value| value.to_str().unwrap())
}

fn keeps_others_out(said: &str, answer: &Answered) {
    assert_eq!(head(answer, "x-content-type-options"), "nosniff", "{said}");
    assert_eq!(head(answer, "x-frame-options"), "DENY", "{said}");
    let policies: Vec<_> = answer
        .headers
        .get_all("content-security-policy")
        .iter()
        .collect();
    assert_eq!(policies.len(), 1, "{said}: {policies:?}");
    let policy = head(answer, "content-security-policy");
    for part in ["default-src 'none'", "frame-ancestors 'none'"] {
        assert!(policy.contains(part), "{said}: {policy}");
    }
    for word in ["unsafe", "http:", "https:", "*", "nonce"] {
        assert!(!policy.contains(word), "{said}: {policy}");
    }
    // A drawing that is a file of its own has its style sheet inside, and it alone.
    let drawing = kind_of(answer) == "image/svg+xml" && !said.contains("/static/");
    assert_eq!(policy.contains("'sha256-"), drawing, "{said}: {policy}");
    if drawing {
        let read = roxmltree::Document::parse(&answer.body).unwrap();
        let styles: Vec<_> = read
            .descendants()
            .filter(|n| n.tag_name().name() == "style")
            .collect();
        assert_eq!(styles.len(), 1, "{said}");
        let hash = BASE64_STANDARD.encode(Sha256::digest(styles[0].text().unwrap()));
        assert!(
            policy.contains(&format!("style-src 'sha256-{hash}'")),
            "{said}: {policy}"
        );
    }
    let kept = head(answer, "cache-control");
    let shared = !kept.contains("private") && !kept.contains("no-store");
    let ours = said.contains("/static/");
    assert!(!shared || ours, "{said}: {kept}");
    let announced = !answer.bytes.is_empty() && kind_of(answer).is_empty();
    assert!(!announced, "{said}: a body of no kind");
}

/// Inline scripts, styles and handlers, and anything from elsewhere.
fn nothing_inline(said: &str, html: &str) {
    let page = Html::parse_document(html);
    for element in page.select(&Selector::parse("*").unwrap()) {
        let (name, value) = (element.value().name(), element.value());
        let inside = match name {
            "script" => value.attr("src").is_none(),
            "style" | "base" | "iframe" | "object" | "embed" | "foreignobject" => true,
            "meta" => value.attr("http-equiv").is_some(),
            _ => false,
        };
        assert!(!inside, "{said}: {}", element.html());
        for (name, value) in value.attrs() {
            let handler = name.starts_with("on") || name == "style" || name == "srcdoc";
            assert!(!handler, "{said}: {}", element.html());
            let leads = matches!(name, "href" | "src" | "action" | "formaction" | "srcset");
            let here = value.starts_with('/') && !value.starts_with("//")
                || value.starts_with(['#', '?'])
                || value.is_empty();
            assert!(!leads || here, "{said}: {}", element.html());
        }
    }
}

fn held_to_all(said: &str, answer: &Answered) {
    assert!(!answer.status.is_server_error(), "{said}: {}", answer.body);
    keeps_others_out(said, answer);
    if is_html(answer) {
        nothing_inline(said, &answer.body);
    }
}

#[tokio::test]
async fn every_page_drawing_photo_and_file_keeps_scripts_and_other_sites_out() {
    let county = &County::new().await;
    let mut kinds = BTreeSet::new();
    for (path, answer) in county.pages(&county.home.chief, &county.home.place()).await {
        held_to_all(&path, &answer);
        kinds.insert(kind_of(&answer).split(';').next().unwrap().to_owned());
    }
    for kind in [
        "text/html",
        "image/svg+xml",
        "image/png",
        "image/jpeg",
        "application/json",
        "application/problem+json",
        "application/zip",
        "text/csv",
        "text/css",
        "text/plain",
    ] {
        assert!(kinds.contains(kind), "no answer of {kind}: {kinds:?}");
    }
}

#[tokio::test]
async fn every_refusal_does_so_too() {
    let county = &County::new().await;
    let mut met = BTreeSet::new();
    let visitors: [Option<&Person>; 3] = [
        None,
        Some(&county.stranger.chief),
        Some(&county.home.second),
    ];
    for (pattern, ..) in TABLE {
        let path = county.address(pattern, &county.home.place());
        // The second asks for what needs no body, with one that cannot be read.
        for who in visitors {
            for (method, path) in [
                (Method::GET, path.clone()),
                (Method::POST, path.clone()),
                (Method::DELETE, path.clone()),
                (Method::GET, format!("{path}?side=%00&q=%ff&year=x")),
                (Method::GET, format!("{path}/below")),
            ] {
                if path.starts_with("/sign-out") {
                    continue;
                }
                let body = "\u{0}=%zz&=&&";
                let answer = county.send(who, method.clone(), &path, FORM, body).await;
                held_to_all(&format!("{method} {path}"), &answer);
                met.insert(answer.status.as_u16());
            }
        }
    }
    for status in [303, 400, 401, 403, 404, 405, 415, 422] {
        assert!(met.contains(&status), "no answer of {status}: {met:?}");
    }
}

#[tokio::test]
async fn files_are_kept_and_not_shown_as_pages() {
    let county = &County::new().await;
    for pattern in [
        "/cards/{id}/export.zip",
        "/export",
        "/audit.csv",
        "/cards/{id}/import/template.csv",
    ] {
        let path = county.address(pattern, &county.home.place());
        let answer = county.get(&county.home.chief, &path).await.expect(200);
        let kept = head(&answer, "content-disposition");
        assert!(
            kept.starts_with("attachment; filename=\""),
            "{path}: {kept}"
        );
    }
}

#[tokio::test]
async fn every_cookie_of_a_service_behind_tls_is_its_host_s_alone() {
    let county = &County::new().await;
    let site = Site::new("https://book.example.test".parse().ok(), &[]);
    let service = Service {
        door: Doorkeeper::hasty(),
        ..Service::new(county.store.clone())
    };
    let router = router(service.at(site));
    let sent = async |path: &str, fields: &[(&str, &str)], cookie: &str| {
        let mut request = asked(None, Method::POST, path)
            .header(header::CONTENT_TYPE, FORM)
            .header(header::COOKIE, cookie)
            .body(Body::from(super::county::encoded(fields)))
            .unwrap();
        let headers = request.headers_mut();
        headers.insert(header::HOST, "book.example.test".parse().unwrap());
        headers.insert(header::ORIGIN, "https://book.example.test".parse().unwrap());
        answer(&router, request).await.expect(303)
    };
    let account = [("name", "ada.oakmere"), ("password", PASSWORD)];
    let signed_in = sent("/sign-in", &account, "").await;
    let secret = signed_in.cookie("__Host-session").unwrap().to_owned();
    let session = format!("__Host-session={secret}");
    let figures = sent("/figures", &[("first", "in")], &session).await;
    let out = sent("/sign-out", &[], &session).await;
    let again = sent("/sign-in", &account, "").await;
    let all: Vec<&String> = [&signed_in, &figures, &out]
        .iter()
        .flat_map(|a| &a.cookies)
        .collect();
    assert!(all.len() >= 6, "{all:?}");
    for cookie in all {
        for mark in ["; Secure", "; HttpOnly", "; SameSite=Lax", "; Path=/"] {
            assert!(cookie.contains(mark), "{cookie}");
        }
        assert!(
            cookie.starts_with("__Host-") && !cookie.contains("Domain"),
            "{cookie}"
        );
    }
    // A name below ours, or plain HTTP, can plant the other name: it opens nothing.
    let planted = again.cookie("__Host-session").unwrap();
    for (name, status) in [("session", 303), ("__Host-session", 200)] {
        let mut request = asked(None, Method::GET, "/account")
            .header(header::COOKIE, format!("{name}={planted}"))
            .body(Body::empty())
            .unwrap();
        let host = "book.example.test".parse().unwrap();
        request.headers_mut().insert(header::HOST, host);
        let answer = answer(&router, request).await;
        assert_eq!(
            answer.status,
            StatusCode::from_u16(status).unwrap(),
            "{name}"
        );
    }
}
