//! Pages are made once a revision, kept compressed, and small enough for the
//! first flight of a slow link.

use super::reader::{Raw, Reader};
use axum::http::{StatusCode, header};
use pillarbook::domain::finding::{BareReport, Depth, Finding, Report, Source, Status};
use pillarbook::domain::vehicle::Variant;
use std::io::Read;
use time::OffsetDateTime;
use time::macros::date;

/// RFC 6928: ten segments of 1,460 bytes arrive before the first acknowledgement.
const FIRST_FLIGHT_BYTES: usize = 14_600;

fn unpacked(answer: &Raw) -> Vec<u8> {
    let mut plain = Vec::new();
    match answer.header(header::CONTENT_ENCODING) {
        "br" => brotli::Decompressor::new(answer.body.as_ref(), 4096).read_to_end(&mut plain),
        "gzip" => flate2::read::GzDecoder::new(answer.body.as_ref()).read_to_end(&mut plain),
        _ => answer.body.as_ref().read_to_end(&mut plain),
    }
    .unwrap();
    plain
}

/// Bytes of the status line and headers as HTTP/1.1 writes them, with what the
/// server adds.
fn head_bytes(answer: &Raw) -> usize {
    let lines = answer
        .headers
        .iter()
        .map(|(name, value)| name.as_str().len() + value.len() + 4);
    let added = "HTTP/1.1 200 OK\r\n".len()
        + "content-length: 14600\r\n".len()
        + "date: Wed, 25 Nov 2026 12:00:00 GMT\r\n\r\n".len();
    lines.sum::<usize>() + added
}

#[tokio::test]
async fn the_fullest_card_arrives_in_the_first_flight() {
    assert_eq!(pillarbook::demo::FULLEST, "kestrane-marram-2020");
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    for side in ["left", "right", "right&year=2021&drive=battery&region=EU"] {
        let path = format!("{address}?side={side}");
        for cookie in ["first=mm", "first=in"] {
            let headers = [
                (header::ACCEPT_ENCODING, "gzip, br"),
                (header::COOKIE, cookie),
            ];
            let answer = reader.get_with(&path, &headers).await;
            assert_eq!(answer.header(header::CONTENT_ENCODING), "br");
            let bytes = answer.body.len() + head_bytes(&answer);
            println!("{side} {cookie} {bytes}");
            assert!(
                bytes <= FIRST_FLIGHT_BYTES,
                "{side}, {cookie}: {bytes} bytes with its headers"
            );
            let html = String::from_utf8(unpacked(&answer)).unwrap();
            for inline in [
                "<svg class=\"k\"",
                "Expose and look before every cut",
                "Power off",
            ] {
                assert!(html.contains(inline), "{side}: {inline}");
            }
        }
    }
}

#[tokio::test]
async fn every_encoding_unpacks_to_the_same_page() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let plain = reader.get(&address).await;
    assert_eq!(plain.header(header::CONTENT_ENCODING), "");
    for (accepted, got) in [
        ("br", "br"),
        ("gzip", "gzip"),
        ("br;q=0, gzip", "gzip"),
        ("deflate", ""),
    ] {
        let answer = reader
            .get_with(&address, &[(header::ACCEPT_ENCODING, accepted)])
            .await;
        assert_eq!(answer.header(header::CONTENT_ENCODING), got, "{accepted}");
        assert_eq!(unpacked(&answer), plain.body, "{accepted}");
        assert_eq!(
            answer.header(header::ETAG),
            plain.header(header::ETAG),
            "{accepted}"
        );
        assert_eq!(answer.header(header::VARY), "accept-encoding");
    }
}

#[tokio::test]
async fn a_browser_that_has_the_page_is_told_so_until_the_card_changes() {
    let reader = Reader::demo().await;
    let cards = reader.cards().await;
    let own = cards
        .iter()
        .find(|c| c.department == reader.actor.department)
        .unwrap();
    let address = format!("/cards/{}", own.id);
    let first = reader.get(&address).await;
    let tag = first.header(header::ETAG).to_owned();
    let again = reader
        .get_with(&address, &[(header::IF_NONE_MATCH, &tag)])
        .await;
    assert_eq!(again.status, StatusCode::NOT_MODIFIED);
    assert!(again.body.is_empty());

    let finding = Finding {
        id: String::new(),
        report: Report::Bare(BareReport {
            span: "a-pillar.left".to_owned(),
            from_mm: 100.0,
            to_mm: 300.0,
            depth: Depth::Skin,
            resolved: None,
        }),
        source: Source::Seen,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: None,
        car: Some("a car of its own".to_owned()),
        observed: Variant::default(),
        status: Status::Offered,
        note: None,
        supersedes: None,
        reason: None,
    };
    let now = OffsetDateTime::now_utc();
    reader
        .store
        .add_findings(&reader.actor, &own.id, None, &[finding], now)
        .await
        .unwrap()
        .unwrap();

    let changed = reader
        .get_with(&address, &[(header::IF_NONE_MATCH, &tag)])
        .await;
    assert_eq!(changed.status, StatusCode::OK);
    assert_ne!(changed.header(header::ETAG), tag);
    assert!(changed.text().contains("a car of its own"));
}

#[tokio::test]
async fn pages_of_one_card_do_not_answer_for_each_other() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let pages = [
        "",
        "?side=right",
        "/print",
        "/print?paper=letter",
        "/sketch/left",
        "/sketch/left?turn=90",
        "/sketch/left?flip=yes",
        "/spans/b-pillar.left",
        "/sketch.svg",
    ];
    let mut tags = Vec::new();
    for page in pages {
        tags.push(
            reader
                .get(&format!("{address}{page}"))
                .await
                .header(header::ETAG)
                .to_owned(),
        );
    }
    tags.sort();
    tags.dedup();
    assert_eq!(tags.len(), pages.len());
}

#[tokio::test]
async fn every_asset_a_page_names_is_there_for_ever() {
    let reader = Reader::empty().await;
    for page in ["/", "/body-styles/sedan", "/cards/new"] {
        let answer = reader.get(page).await;
        let mut assets = answer.attributes("link[href]", "href");
        assets.extend(answer.attributes("script[src]", "src"));
        assert!(assets.len() >= 2, "{page}");
        for asset in assets {
            let file = reader.get(&asset).await;
            assert_eq!(file.status, StatusCode::OK, "{asset}");
            assert!(
                file.header(header::CACHE_CONTROL).contains("immutable"),
                "{asset}"
            );
            assert!(!file.body.is_empty(), "{asset}");
        }
    }
    let unhashed = reader.get("/static/app.css").await;
    assert_eq!(unhashed.status, StatusCode::NOT_FOUND);
}
