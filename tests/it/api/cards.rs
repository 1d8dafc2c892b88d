//! Cards over the API: made, listed, added to, edited by two at once.

use super::{JSON, Service};
use crate::contract::EXAMPLE;
use axum::http::{Method, StatusCode};
use pillarbook::contract::card_file::read;
use serde_json::{Value, json};

const BARE: &str = r#"{"findings":[{"report":"bare","place":{"span":"b-pillar.right","from_mm":300,"to_mm":800},
    "source":"seen","depth":"skin","observed_on":"2026-03-05","car":"yard 15"}]}"#;

fn inflator(from: f64, to: f64) -> String {
    json!({"findings": [{
        "report": "component", "kind": "inflator", "source": "told", "observed_on": "2026-03-05",
        "place": {"span": "roof-rail.left", "from_mm": from, "to_mm": to},
    }]})
    .to_string()
}

#[tokio::test]
async fn a_card_file_goes_in_and_comes_out_the_same() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let shown = service.get(&format!("/api/v1/cards/{id}")).await;
    assert_eq!(
        (shown.status, shown.header("etag")),
        (StatusCode::OK, "\"1\"")
    );
    let (sent, stored) = (
        read(EXAMPLE.as_bytes()).unwrap().card,
        read(&shown.body).unwrap().card,
    );
    assert_eq!(stored.findings, sent.findings);
    assert_eq!(
        (stored.vehicle, stored.measured),
        (sent.vehicle, sent.measured)
    );
    assert_eq!(
        (stored.glass, stored.annotations),
        (sent.glass, sent.annotations)
    );
    let again = [("if-none-match", "\"1\"")];
    let path = format!("/api/v1/cards/{id}");
    let again = service.send(Method::GET, &path, &again, "").await;
    assert_eq!(
        (again.status, again.body.len()),
        (StatusCode::NOT_MODIFIED, 0)
    );
}

#[tokio::test]
async fn zones_of_a_stored_card_carry_its_day_and_revision() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let zones = service.get(&format!("/api/v1/cards/{id}/zones")).await;
    let stored = zones.json();
    assert_eq!(
        (&stored["revision"], zones.header("etag")),
        (&json!(1), "\"1\"")
    );
    assert_eq!(stored["as_of"].as_str().unwrap().len(), 10);
    let posted = service.post("/api/v1/zones", EXAMPLE).await.json();
    assert_eq!(stored["spans"], posted["spans"]);
    service.get("/api/v1/cards/none/zones").await.problem(404);
}

#[tokio::test]
async fn the_list_is_read_page_by_page_without_gaps() {
    let service = Service::start().await;
    let mut made = Vec::new();
    for _ in 0..5 {
        made.push(service.make_card(EXAMPLE).await);
    }
    let mut seen: Vec<String> = Vec::new();
    let mut path = "/api/v1/cards?limit=2".to_owned();
    loop {
        let page = service.get(&path).await.json();
        let ids = page["cards"].as_array().unwrap().iter();
        seen.extend(ids.map(|card| card["id"].as_str().unwrap().to_owned()));
        match page["next"].as_str() {
            Some(next) => path = format!("/api/v1/cards?limit=2&after={next}"),
            None => break,
        }
    }
    assert_eq!(seen, made);
    for (query, field) in [
        ("limit=0", "limit"),
        ("limit=-3", "limit"),
        ("limit=abc", "limit"),
        ("after=zzz", "after"),
    ] {
        let refused = service
            .get(&format!("/api/v1/cards?{query}"))
            .await
            .problem(422);
        let error = &refused["errors"][0];
        assert_eq!(error["field"], field, "{query}");
        assert_eq!(error["given"], query.split('=').nth(1).unwrap());
        assert!(!error["accepted"].as_str().unwrap().is_empty());
    }
}

#[tokio::test]
async fn findings_are_added_numbered_and_change_the_zones() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/findings");
    let added = service.post(&path, inflator(500.0, 800.0)).await;
    assert_eq!(added.status, StatusCode::CREATED);
    assert_eq!(added.header("etag"), "\"2\"");
    let added = added.json();
    assert_eq!(added["findings"][0]["status"], "accepted");
    let component = added["findings"][0]["component"].as_str().unwrap();
    let zones = service
        .get(&format!("/api/v1/cards/{id}/zones"))
        .await
        .json();
    let components = zones["components"].as_array().unwrap();
    assert!(
        components
            .iter()
            .any(|c| c["id"] == component && c["kind"] == "inflator")
    );
    let bare = service.post(&path, BARE).await.json();
    assert_eq!(
        bare["findings"][0]["status"], "offered",
        "a second person has to confirm"
    );
    assert_eq!(bare["revision"], 3);
}

#[tokio::test]
async fn a_finding_that_cannot_be_added_adds_none_of_its_fellows() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/findings");
    let mut body: Value = serde_json::from_str(&inflator(500.0, 800.0)).unwrap();
    let mut off = body["findings"][0].clone();
    off["place"]["to_mm"] = json!(9_000.0);
    body["findings"].as_array_mut().unwrap().push(off);
    let refused = service.post(&path, body.to_string()).await;
    assert_eq!(refused.fields(422), ["findings[1].place.to_mm"]);
    let taken = BARE.replacen("\"report\"", "\"id\":\"f1\",\"report\"", 1);
    service.post(&path, taken).await.problem(409);
    let confirmed = BARE.replacen("\"report\"", "\"status\":\"accepted\",\"report\"", 1);
    assert_eq!(
        service.post(&path, confirmed).await.fields(422),
        ["findings[0].status"]
    );
    let shown = service.get(&format!("/api/v1/cards/{id}")).await;
    assert_eq!(shown.header("etag"), "\"1\"", "nothing was changed");
}

#[tokio::test]
async fn a_finding_is_withdrawn_with_a_reason_and_stays_on_record() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/findings/f1/status");
    let headers = [JSON, ("if-match", "\"1\"")];
    let unsaid = service
        .send(Method::POST, &path, &headers, r#"{"status":"withdrawn"}"#)
        .await;
    assert_eq!(unsaid.fields(422), ["reason"]);
    let body = r#"{"status":"withdrawn","reason":"measured from the wrong end"}"#;
    let done = service.send(Method::POST, &path, &headers, body).await;
    assert_eq!(done.status, StatusCode::OK);
    assert_eq!(done.json()["findings"][0]["status"], "withdrawn");
    let card = service.get(&format!("/api/v1/cards/{id}")).await.json();
    assert_eq!(card["findings"].as_array().unwrap().len(), 3);
    assert_eq!(card["findings"][0]["reason"], "measured from the wrong end");
    service
        .send(Method::POST, &path, &[JSON], body)
        .await
        .problem(428);
    let none = format!("/api/v1/cards/{id}/findings/f99/status");
    let headers = [JSON, ("if-match", "\"2\"")];
    service
        .send(Method::POST, &none, &headers, body)
        .await
        .problem(404);
}

#[tokio::test]
async fn two_edit_the_details_at_once_and_neither_edit_is_lost() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/details");
    let read = service.get(&path).await;
    let tag = read.header("etag").to_owned();
    let with = |identify: &str| {
        let mut details = read.json();
        details["identify"] = json!(identify);
        details.to_string()
    };
    let headers = [JSON, ("if-match", tag.as_str())];
    let first = service
        .send(Method::PUT, &path, &headers, with("two lamps"))
        .await;
    assert_eq!(
        (first.status, first.header("etag")),
        (StatusCode::OK, "\"2\"")
    );
    let second = service
        .send(Method::PUT, &path, &headers, with("three lamps"))
        .await;
    let stale = second.problem(412);
    assert_eq!(
        (&stale["expected_revision"], &stale["current_revision"]),
        (&json!(1), &json!(2))
    );
    assert_eq!(stale["yours"]["identify"], "three lamps");
    assert_eq!(stale["current"]["identify"], "two lamps");
    assert_eq!(service.get(&path).await.json()["identify"], "two lamps");
    service
        .send(Method::PUT, &path, &[JSON], with("four lamps"))
        .await
        .problem(428);
}

#[tokio::test]
async fn details_that_leave_a_finding_off_the_body_are_refused() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/details");
    let mut details = service.get(&path).await.json();
    details["measured"]["wheelbase_mm"] = json!(900.0);
    let headers = [JSON, ("if-match", "\"1\"")];
    let refused = service
        .send(Method::PUT, &path, &headers, details.to_string())
        .await;
    assert!(
        refused
            .fields(422)
            .iter()
            .all(|field| field.starts_with("measured"))
    );
    assert_eq!(service.get(&path).await.header("etag"), "\"1\"");
}
