//! What pages of other sites can make a browser send here with its cookies:
//! forms, and links that are only read.

use super::county::{FORM, JSON, asked, encoded};
use super::pages::forms;
use super::rows::Rows;
use super::{County, Person};
use crate::web::door::{Answered, answer};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};
use pillarbook::web::who::access::TABLE;

/// What a browser says of where such a request comes from.
const ELSEWHERE: [(&str, &str); 7] = [
    ("origin", "https://evil.example"),
    ("origin", "http://localhost:8080.evil.example"),
    ("origin", "http://localhost:8081"),
    ("origin", "http://localhost"),
    ("origin", "null"),
    ("sec-fetch-site", "cross-site"),
    ("sec-fetch-site", "same-site"),
];

async fn sent_from(
    county: &County,
    who: &Person,
    (method, path): (Method, &str),
    (kind, body): (&str, &str),
    (name, value): (&'static str, &'static str),
) -> Answered {
    let mut request = asked(Some(who), method, path)
        .header(header::CONTENT_TYPE, kind)
        .body(Body::from(body.to_owned()))
        .unwrap();
    // In place of our own, which every request of these tests has.
    request.headers_mut().insert(name, value.parse().unwrap());
    answer(&county.router, request).await
}

#[tokio::test]
async fn no_address_takes_anything_that_a_page_of_another_site_sends() {
    let county = &County::new().await;
    let chief = &county.home.chief;
    let before = county.rows().await;
    for (pattern, _, send) in TABLE {
        let path = county.address(pattern, &county.home.place());
        let api = pattern.starts_with("/api/");
        let sent = if api { (JSON, "{}") } else { (FORM, "") };
        for method in [Method::POST, Method::PUT, Method::PATCH, Method::DELETE] {
            for from in ELSEWHERE {
                let asked = (method.clone(), path.as_str());
                let refused = sent_from(county, chief, asked, sent, from).await;
                let said = format!("{method} {pattern} {from:?}: {}", refused.body);
                assert_eq!(refused.status, StatusCode::FORBIDDEN, "{said}");
                assert!(refused.body.contains("another site"), "{said}");
                assert_eq!(refused.cookies, Vec::<String>::new(), "{said}");
            }
        }
        // From a page of our own it is not that which is wrong with it.
        if send.is_some() && *pattern != "/sign-out" {
            let own = county
                .send(Some(chief), Method::POST, &path, sent.0, sent.1)
                .await;
            assert!(!own.body.contains("another site"), "{pattern}");
        }
    }
    let after = county.rows().await;
    assert_eq!(before, after, "{}", before.difference(&after));
}

#[tokio::test]
async fn no_form_of_ours_filled_in_elsewhere_changes_anything() {
    let county = &County::new().await;
    let (chief, place) = (&county.home.chief, county.home.place());
    let before = county.rows().await;
    let mut sent = 0;
    for (path, page) in county.pages(chief, &place).await {
        for form in forms(&path, &page.body) {
            for key in &form.keys {
                let body = encoded(&form.sent(key));
                let asked = (Method::POST, form.action.as_str());
                let refused = sent_from(county, chief, asked, (FORM, &body), ELSEWHERE[0]).await;
                assert_eq!(refused.status, StatusCode::FORBIDDEN, "{path} {key:?}");
                sent += 1;
            }
        }
    }
    assert!(sent > 100, "{sent}");
    let after = without_counts(county.rows().await);
    let before = without_counts(before);
    assert_eq!(before, after, "{}", before.difference(&after));
}

/// Without how often links were opened, which looking does count.
fn without_counts(mut rows: Rows) -> Rows {
    rows.0.remove("share_links");
    rows
}

#[tokio::test]
async fn a_link_that_is_followed_changes_nothing_whatever_it_carries() {
    let county = &County::new().await;
    let (chief, place) = (&county.home.chief, county.home.place());
    let before = without_counts(county.rows().await);
    let pages = county.pages(chief, &place).await;
    for (path, page) in &pages {
        for form in forms(path, &page.body) {
            for key in &form.keys {
                let join = if form.action.contains('?') { '&' } else { '?' };
                let link = format!("{}{join}{}", form.action, encoded(&form.sent(key)));
                for method in [Method::GET, Method::HEAD] {
                    county.send(Some(chief), method, &link, FORM, "").await;
                }
            }
        }
    }
    let after = without_counts(county.rows().await);
    assert_eq!(before, after, "{}", before.difference(&after));
}

#[tokio::test]
async fn the_api_reads_no_body_that_a_form_could_send() {
    let county = &County::new().await;
    let before = county.rows().await;
    let sends = TABLE.iter().filter(|(_, _, send)| send.is_some());
    for (pattern, ..) in sends.filter(|(p, ..)| p.starts_with("/api/")) {
        // A photo comes as a form with a file; see the test of other sites' pages.
        if pattern.ends_with("/photos") {
            continue;
        }
        let path = county.address(pattern, &county.home.place());
        for kind in ["text/plain", FORM, "multipart/form-data; boundary=edge", ""] {
            for method in [Method::POST, Method::PUT] {
                let mut request = asked(Some(&county.home.chief), method, &path)
                    .header(header::CONTENT_TYPE, kind)
                    .header(header::IF_MATCH, "*")
                    .body(Body::from("{}"))
                    .unwrap();
                // As a browser does that says of no request where it comes from.
                request.headers_mut().remove(header::ORIGIN);
                let refused = answer(&county.router, request).await;
                let not_read = [
                    StatusCode::UNSUPPORTED_MEDIA_TYPE,
                    StatusCode::METHOD_NOT_ALLOWED,
                ];
                let said = format!("{pattern} {kind}: {} {}", refused.status, refused.body);
                assert!(not_read.contains(&refused.status), "{said}");
            }
        }
    }
    let after = county.rows().await;
    assert_eq!(before, after, "{}", before.difference(&after));
}
