//! Markup, SQL and formulas typed into every field of every form, sent, and then
//! looked for on every page, drawing, file and answer there is. The payload is one
//! text: what breaks out of markup in any place it could stand in, what would end
//! a statement, and in front what a spreadsheet would work out.

use super::pages::{Form, Kind, forms, is_html, kind_of};
use super::rows::Rows;
use super::{County, Person, Place};
use crate::contract::EXAMPLE;
use crate::web::door::Answered;
use axum::http::{Method, StatusCode, header};
use pillarbook::web::who::access::TABLE;
use scraper::{Html, Selector};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::Cursor;

const PAYLOAD: &str = "=zq\"'><zq zq=1>&lt;');DROP TABLE cards;--";

/// No element, attribute, cell, name or line of a head was made of a payload.
fn stays_text(said: &str, answer: &Answered) {
    assert!(!answer.status.is_server_error(), "{said}: {}", answer.body);
    for (name, value) in &answer.headers {
        let value = String::from_utf8_lossy(value.as_bytes()).into_owned();
        assert!(
            !value.contains(['<', '\r', '\n']),
            "{said}: {name}: {value}"
        );
    }
    match kind_of(answer).split(';').next().unwrap() {
        "text/html" => markup(said, &answer.body),
        "image/svg+xml" => {
            let read = roxmltree::Document::parse(&answer.body);
            let read = read.unwrap_or_else(|e| panic!("{said}: {e}"));
            for node in read.descendants() {
                assert_ne!(node.tag_name().name(), "zq", "{said}");
                assert!(node.attributes().all(|a| a.name() != "zq"), "{said}");
            }
        }
        "application/json" | "application/problem+json" => {
            serde_json::from_slice::<Value>(&answer.bytes)
                .unwrap_or_else(|e| panic!("{said}: {e}"));
        }
        "text/csv" => cells(said, answer),
        "application/zip" => {
            let zip = zip::ZipArchive::new(Cursor::new(answer.bytes.clone())).unwrap();
            assert!(
                zip.file_names().all(|name| !name.unwrap().contains("zq")),
                "{said}"
            );
        }
        _ => assert!(!answer.body.contains("<zq"), "{said}: {}", answer.body),
    }
}

fn markup(said: &str, html: &str) {
    let page = Html::parse_document(html);
    for element in page.select(&Selector::parse("*").unwrap()) {
        assert_ne!(element.value().name(), "zq", "{said}");
        for (name, _) in element.value().attrs() {
            assert!(
                !name.contains("zq") && !name.contains('<'),
                "{said}: {}",
                element.html()
            );
        }
    }
}

fn cells(said: &str, answer: &Answered) {
    let mut reader = csv::Reader::from_reader(answer.bytes.as_ref());
    for row in reader.records() {
        for cell in row.unwrap_or_else(|e| panic!("{said}: {e}")).iter() {
            let begins = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
            assert!(!begins || cell.parse::<f64>().is_ok(), "{said}: {cell}");
        }
    }
}

/// Whether sending a form leaves what the rest of a test needs: partners, no
/// more and no fewer, and who is signed in.
fn spares(form: &Form, (name, value): &(String, String)) -> bool {
    let partners = name == "do" && value != "accept" && form.action == "/partners";
    !(partners || form.action == "/sign-out")
}

async fn fill_all(county: &County, who: &Person, place: &Place<'_>) -> usize {
    let mut sent = 0;
    for (path, page) in county.pages(who, place).await {
        stays_text(&path, &page);
        if !is_html(&page) {
            continue;
        }
        for form in forms(&path, &page.body) {
            for key in form.keys.iter().filter(|key| spares(&form, key)) {
                for answer in county.fill(who, &form, key, PAYLOAD).await {
                    stays_text(&format!("{path} {key:?}"), &answer);
                    sent += 1;
                }
                // What nobody could type or choose, too.
                let odd = form.fields.iter().filter(|f| f.kind != Kind::File);
                let mut odd: Vec<_> = odd.map(|f| (f.name.as_str(), PAYLOAD)).collect();
                odd.push((&key.0, &key.1));
                let answer = county.post(who, &form.action, &odd).await;
                stays_text(&format!("{path} {key:?}"), &answer);
            }
        }
    }
    sent
}

/// Table and column of everything kept that holds a payload.
fn reached(rows: &Rows) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (table, rows) in &rows.0 {
        for line in rows.iter().flat_map(|row| row.split('\n')) {
            if let Some((column, _)) = line.split_once('=').filter(|(_, v)| v.contains("zq zq=1")) {
                found.insert(format!("{table}.{column}"));
            }
        }
    }
    found
}

/// Rows of the stranger, who had no part in any of it.
fn strangers(county: &County, mut rows: Rows) -> Rows {
    let id = county.stranger.chief.actor.department.as_str();
    for rows in rows.0.values_mut() {
        rows.retain(|row| row.contains(id));
    }
    rows
}

#[tokio::test]
async fn what_is_typed_anywhere_is_text_everywhere() {
    let county = &County::beside(PAYLOAD).await;
    let before = strangers(county, county.rows().await);
    let (chief, place) = (&county.home.chief, county.home.place());
    let sent = fill_all(county, chief, &place).await;
    assert!(sent > 100, "{sent}");
    // Again: what was begun is gone on with, what waits is recorded.
    fill_all(county, chief, &place).await;
    fill_all(county, &county.partner.chief, &place).await;
    for who in [chief, &county.partner.chief, &county.home.second] {
        for (path, page) in county.pages(who, &place).await {
            stays_text(&path, &page);
        }
    }
    let rows = county.rows().await;
    let after = strangers(county, rows.clone());
    assert_eq!(before, after, "{}", before.difference(&after));
    let reached = reached(&rows);
    for column in [
        "annotations.text",
        "api_keys.label",
        "audit.detail",
        "audit.member_name",
        "card_details.identify",
        "card_details.make",
        "card_details.model",
        "card_details.power_off",
        "departments.name",
        "finding_status.reason",
        "findings.car",
        "findings.rest",
        "members.name",
        "once_links.offer",
        "photos.alt",
        "plan_settings.tools",
        "share_links.label",
    ] {
        assert!(
            reached.contains(column),
            "nothing typed reached {column}: {reached:#?}"
        );
    }
    assert_eq!(county.check().await, "ok");
}

#[tokio::test]
async fn what_is_asked_in_an_address_is_text_on_the_page() {
    let county = &County::new().await;
    let (chief, place) = (&county.home.chief, county.home.place());
    let mut asked = BTreeSet::new();
    for (path, page) in county.pages(chief, &place).await {
        let (bare, query) = path.split_once('?').unwrap_or((&path, ""));
        let mut names: BTreeSet<String> = form_urlencoded::parse(query.as_bytes())
            .map(|(n, _)| n.into_owned())
            .collect();
        if is_html(&page) {
            let read = Html::parse_document(&page.body);
            let fields = Selector::parse("form:not([method=post]) [name]").unwrap();
            names.extend(
                read.select(&fields)
                    .filter_map(|f| f.value().attr("name"))
                    .map(str::to_owned),
            );
        }
        for name in names {
            let pairs = [(name.as_str(), PAYLOAD)];
            let path = format!("{bare}?{}", super::county::encoded(&pairs));
            stays_text(&path, &county.get(chief, &path).await);
            asked.insert(name);
        }
        // In each piece of the address itself.
        let pieces: Vec<&str> = bare.split('/').collect();
        for at in 1..pieces.len() {
            let mut pieces = pieces.clone();
            let payload: String = form_urlencoded::byte_serialize(PAYLOAD.as_bytes()).collect();
            let payload = payload.replace('+', "%20");
            pieces[at] = &payload;
            let path = pieces.join("/");
            stays_text(&path, &county.get(chief, &path).await);
        }
    }
    for name in ["q", "side", "seat", "year", "about", "from"] {
        assert!(asked.contains(name), "{name} is not among {asked:?}");
    }
}

/// Every text in a document, replaced one at a time, and all of them.
fn replaced(document: &Value) -> Vec<Value> {
    let mut places = Vec::new();
    texts(document, String::new(), &mut places);
    let one = |place: &String| {
        let mut changed = document.clone();
        *changed.pointer_mut(place).unwrap() = json!(PAYLOAD);
        changed
    };
    let free = [
        "by", "car", "note", "identify", "where", "how", "text", "label", "make", "model",
        "region", "name",
    ];
    let mut all = document.clone();
    for place in &places {
        if free.contains(&place.rsplit('/').next().unwrap()) {
            *all.pointer_mut(place).unwrap() = json!(PAYLOAD);
        }
    }
    places.iter().map(one).chain([all]).collect()
}

fn texts(value: &Value, at: String, found: &mut Vec<String>) {
    match value {
        Value::String(_) => found.push(at),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .for_each(|(n, item)| texts(item, format!("{at}/{n}"), found)),
        Value::Object(fields) => fields
            .iter()
            .for_each(|(name, item)| texts(item, format!("{at}/{name}"), found)),
        _ => {}
    }
}

/// A document that each address of the API takes.
async fn documents(county: &County, pattern: &str, path: &str) -> Value {
    let card: Value = serde_json::from_str(EXAMPLE).unwrap();
    let ask = json!({"seats": ["front-left"], "care": "gentle"});
    match pattern.rsplit('/').next().unwrap() {
        "zones" | "cards" => card,
        "plan" if pattern.contains("{id}") => json!({ "ask": ask }),
        "plan" => json!({"card": card, "ask": ask}),
        "findings" => json!({"findings": [card["findings"][1]]}),
        "annotations" => {
            json!({"annotations": [{"at": {"span": "b-pillar.left", "at_mm": 300}, "text": "x"}]})
        }
        "status" => json!({"status": "withdrawn", "reason": "Another car"}),
        _ => {
            let known = county.get(&county.home.chief, path).await.expect(200);
            serde_json::from_str(&known.body).unwrap()
        }
    }
}

#[tokio::test]
async fn what_the_api_is_sent_is_text_everywhere() {
    let county = &County::new().await;
    let (chief, place) = (&county.home.chief, county.home.place());
    let mut taken = BTreeSet::new();
    for (pattern, _, send) in TABLE.iter().filter(|(p, ..)| p.starts_with("/api/")) {
        // Bytes of a photo are no text.
        if send.is_none() || pattern.contains("photos") {
            continue;
        }
        let path = county.address(pattern, &place);
        let document = documents(county, pattern, &path).await;
        for document in replaced(&document) {
            for method in [Method::POST, Method::PUT] {
                let request = super::county::asked(Some(chief), method, &path)
                    .header(header::CONTENT_TYPE, super::county::JSON)
                    .header(header::IF_MATCH, "*")
                    .body(document.to_string().into())
                    .unwrap();
                let answer = crate::web::door::answer(&county.router, request).await;
                stays_text(pattern, &answer);
                if answer.status.is_success() {
                    taken.insert(*pattern);
                }
                if answer.status == StatusCode::CREATED && *pattern == "/api/v1/cards" {
                    let id = answer
                        .body
                        .split("\"id\":\"")
                        .nth(1)
                        .unwrap()
                        .split('"')
                        .next()
                        .unwrap();
                    for below in [
                        "",
                        "/print",
                        "/findings",
                        "/notes",
                        "/sketch.svg",
                        "/sketch/left",
                        "/history",
                        "/export.zip",
                    ] {
                        let path = format!("/cards/{id}{below}");
                        stays_text(&path, &county.get(chief, &path).await.expect(200));
                    }
                }
            }
        }
    }
    for pattern in [
        "/api/v1/zones",
        "/api/v1/cards",
        "/api/v1/cards/{id}/findings",
        "/api/v1/cards/{id}/annotations",
    ] {
        assert!(taken.contains(pattern), "{taken:?}");
    }
    for (path, page) in county.pages(chief, &place).await {
        stays_text(&path, &page);
    }
    assert_eq!(county.check().await, "ok");
}
