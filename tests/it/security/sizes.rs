//! Bodies without an end, at every address that takes one: no more is read of
//! them than the address takes, and the answer says so.

use super::County;
use super::county::{FORM, JSON, asked};
use crate::web::door::answer;
use axum::body::{Body, Bytes, HttpBody};
use axum::http::{Method, StatusCode, header};
use http_body::Frame;
use pillarbook::web::who::access::TABLE;
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::task::{Context, Poll};

const CHUNK: usize = 64 * 1024;
/// Where a body is given up by its sender, so that a test ends.
const GIVEN_UP: usize = 40 << 20;

/// Begins as it should, goes on for ever, and counts what is read of it. As from a
/// network, nothing is there at once after what has just come.
struct Endless {
    has_come: bool,
    begin: Option<&'static str>,
    read: Arc<AtomicUsize>,
}

impl HttpBody for Endless {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        self.has_come = !self.has_come;
        if !self.has_come {
            context.waker().wake_by_ref();
            return Poll::Pending;
        }
        if let Some(begin) = self.begin.take() {
            return Poll::Ready(Some(Ok(Frame::data(Bytes::from_static(begin.as_bytes())))));
        }
        let read = self.read.fetch_add(CHUNK, Ordering::Relaxed);
        if read > GIVEN_UP {
            return Poll::Ready(None);
        }
        Poll::Ready(Some(Ok(Frame::data(Bytes::from_static(&[b'a'; CHUNK])))))
    }
}

/// What a body is said to be, and how it begins.
const BEGINNINGS: [(&str, &str); 5] = [
    (FORM, "text="),
    (JSON, "{\"findings\": \""),
    ("image/jpeg", "\u{7f}"),
    (
        "multipart/form-data; boundary=edge",
        "--edge\r\nContent-Disposition: form-data; name=\"text\"\r\n\r\n",
    ),
    (
        "multipart/form-data; boundary=edge",
        "--edge\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n",
    ),
];

/// Most bytes that an address has any use for.
fn most(pattern: &str) -> usize {
    match pattern {
        // A photo, or the text of a table; an archive's own file is not asked here.
        _ if pattern.contains("photos") || pattern.contains("/notes/") => 18 << 20,
        "/cards/{id}/import" => 4 << 20,
        _ if pattern.starts_with("/api/") => 2 << 20,
        _ => 1 << 20,
    }
}

#[tokio::test]
async fn no_address_reads_a_body_without_an_end() {
    let county = &County::new().await;
    let before = county.rows().await;
    let mut too_large = 0;
    for (pattern, _, send) in TABLE {
        if send.is_none() {
            continue;
        }
        let path = county.address(pattern, &county.home.place());
        for (kind, begin) in BEGINNINGS {
            // An archive is written to the disk as it comes, up to a gigabyte.
            if *pattern == "/import" && begin.contains("filename") {
                continue;
            }
            for method in [Method::POST, Method::PUT] {
                if pattern.starts_with("/sign-out") {
                    continue;
                }
                let read = Arc::new(AtomicUsize::new(0));
                let body = Endless {
                    has_come: false,
                    begin: Some(begin),
                    read: read.clone(),
                };
                let request = asked(Some(&county.home.chief), method.clone(), &path)
                    .header(header::CONTENT_TYPE, kind)
                    .header(header::IF_MATCH, "*")
                    .body(Body::new(body))
                    .unwrap();
                let refused = answer(&county.router, request).await;
                let read = read.load(Ordering::Relaxed);
                let said = format!("{method} {pattern} {kind}: {} after {read}", refused.status);
                assert!(refused.status.is_client_error() || read == 0, "{said}");
                assert!(read <= most(pattern) + 4 * CHUNK, "{said}");
                if read > CHUNK {
                    let refusals = [
                        StatusCode::PAYLOAD_TOO_LARGE,
                        StatusCode::UNPROCESSABLE_ENTITY,
                    ];
                    assert!(refusals.contains(&refused.status), "{said}");
                    too_large += usize::from(refused.status == StatusCode::PAYLOAD_TOO_LARGE);
                }
            }
        }
    }
    assert!(too_large > 40, "{too_large}");
    let after = county.rows().await;
    assert_eq!(before, after, "{}", before.difference(&after));
}

#[tokio::test]
async fn what_says_it_is_too_large_is_not_read_at_all() {
    let county = &County::new().await;
    for (pattern, _, send) in TABLE {
        if send.is_none() || pattern.starts_with("/sign-out") {
            continue;
        }
        let path = county.address(pattern, &county.home.place());
        let read = Arc::new(AtomicUsize::new(0));
        let body = Endless {
            has_come: false,
            begin: None,
            read: read.clone(),
        };
        let kind = if pattern.starts_with("/api/") {
            JSON
        } else {
            FORM
        };
        let request = asked(Some(&county.home.chief), Method::POST, &path)
            .header(header::CONTENT_TYPE, kind)
            .header(header::CONTENT_LENGTH, 1_u64 << 40)
            .body(Body::new(body))
            .unwrap();
        let refused = answer(&county.router, request).await;
        let read = read.load(Ordering::Relaxed);
        let said = format!("{pattern}: {} after {read}", refused.status);
        assert!(
            !refused.status.is_server_error() && read <= most(pattern) + 4 * CHUNK,
            "{said}"
        );
    }
}
