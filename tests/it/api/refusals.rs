//! Bad input over HTTP: a clear problem document, and nothing changed.

use super::{JSON, Service};
use crate::contract::EXAMPLE;
use axum::http::Method;
use rstest::rstest;
use serde_json::Value;

/// Every address that takes a body, for a card that exists.
async fn writing_addresses(service: &Service) -> Vec<(Method, String)> {
    let id = service.make_card(EXAMPLE).await;
    vec![
        (Method::POST, "/api/v1/zones".to_owned()),
        (Method::POST, "/api/v1/cards".to_owned()),
        (Method::POST, format!("/api/v1/cards/{id}/findings")),
        (
            Method::POST,
            format!("/api/v1/cards/{id}/findings/f1/status"),
        ),
        (Method::PUT, format!("/api/v1/cards/{id}/details")),
    ]
}

/// The list of cards: what would show any change.
async fn cards(service: &Service) -> Value {
    service.get("/api/v1/cards").await.json()
}

#[tokio::test]
async fn only_json_is_accepted_as_a_body() {
    let service = Service::start().await;
    let addresses = writing_addresses(&service).await;
    let before = cards(&service).await;
    for (method, path) in &addresses {
        for kind in [
            "text/plain",
            "application/x-www-form-urlencoded",
            "multipart/form-data",
        ] {
            let headers = [("content-type", kind), ("if-match", "\"1\"")];
            service
                .send(method.clone(), path, &headers, EXAMPLE)
                .await
                .problem(415);
        }
        let headers = [("if-match", "\"1\"")];
        service
            .send(method.clone(), path, &headers, EXAMPLE)
            .await
            .problem(415);
    }
    assert_eq!(cards(&service).await, before);
}

#[tokio::test]
async fn a_body_of_ten_megabytes_is_refused_everywhere() {
    let service = Service::start().await;
    let addresses = writing_addresses(&service).await;
    let before = cards(&service).await;
    let body = vec![b' '; 10_000_000];
    for (method, path) in &addresses {
        let headers = [JSON, ("if-match", "\"1\""), ("content-length", "10000000")];
        let refused = service
            .send(method.clone(), path, &headers, body.clone())
            .await
            .problem(413);
        assert!(refused["detail"].as_str().unwrap().contains("2 MiB"));
        assert_eq!(refused["errors"][0]["given"], 10_000_000);
        let accepted = refused["errors"][0]["accepted"].as_str().unwrap();
        assert!(accepted.contains("findings on a card"), "{accepted}");
    }
    assert_eq!(cards(&service).await, before);
}

#[tokio::test]
async fn malformed_json_is_refused_with_its_line() {
    let service = Service::start().await;
    let addresses = writing_addresses(&service).await;
    let before = cards(&service).await;
    for (method, path) in &addresses {
        let headers = [JSON, ("if-match", "\"1\"")];
        for body in [
            "{\n \"findings\": [NaN]",
            "",
            "\u{1}",
            "{\n\"status\": 1e999}",
        ] {
            let refused = service
                .send(method.clone(), path, &headers, body)
                .await
                .problem(400);
            assert!(
                refused["errors"][0]["line"].as_u64().unwrap() >= 1,
                "{path} {body}"
            );
        }
    }
    assert_eq!(cards(&service).await, before);
}

#[rstest]
#[case("\"petrol\"", "\"steam\"", "vehicle.drive")]
#[case("\"coverage\":0.99", "\"coverage\":0.5", "policy.coverage")]
#[case("[2019,2023]", "[1850,2023]", "vehicle.years[0]")]
#[case("\"from_mm\":80", "\"from_mm\":800", "findings[0].place.from_mm")]
#[case("\"to_mm\":210", "\"to_mm\":3000", "findings[0].place.to_mm")]
#[case("\"b-pillar.left\"", "\"z-pillar\"", "findings[0].place.span")]
#[case("\"pretensioner\"", "\"gadget\"", "findings[0].kind")]
#[case("\"radius_mm\":25", "\"radius_mm\":1e9", "findings[0].radius_mm")]
#[tokio::test]
async fn an_invalid_field_is_named_and_nothing_is_made(
    #[case] from: &str,
    #[case] to: &str,
    #[case] field: &str,
) {
    let service = Service::start().await;
    assert!(EXAMPLE.contains(from), "{from}");
    let file = EXAMPLE.replacen(from, to, 1);
    for path in ["/api/v1/zones", "/api/v1/cards"] {
        let refused = service.post(path, file.clone()).await;
        assert_eq!(refused.fields(422), [field]);
        let error = &refused.json()["errors"][0];
        assert!(!error["accepted"].as_str().unwrap().is_empty());
        assert!(error.get("given").is_some() && error["line"].is_u64());
    }
    assert_eq!(cards(&service).await["cards"], serde_json::json!([]));
}

#[tokio::test]
async fn measurements_that_contradict_each_other_are_all_named() {
    let service = Service::start().await;
    let file = EXAMPLE.replacen(
        "{\"b-pillar-foot.left\":[1250,null,null]}",
        "{\"b-pillar-foot.left\":[3400,null,null]}",
        1,
    );
    let refused = service.post("/api/v1/zones", file).await;
    let fields = refused.fields(422);
    assert!(
        fields.iter().all(|field| field.starts_with("measured")),
        "{fields:?}"
    );
}

#[tokio::test]
async fn ten_thousand_findings_are_one_error() {
    let service = Service::start().await;
    let many = vec!["{}"; 10_000].join(",");
    let file = format!(
        r#"{{"format":"pillarbook-card/1","vehicle":{{"body_style":"suv"}},"findings":[{many}]}}"#
    );
    assert_eq!(
        service.post("/api/v1/zones", file).await.fields(422),
        ["findings"]
    );
    let id = service.make_card(EXAMPLE).await;
    let body = format!(r#"{{"findings":[{many}]}}"#);
    let path = format!("/api/v1/cards/{id}/findings");
    assert_eq!(service.post(&path, body).await.fields(422), ["findings"]);
}

#[tokio::test]
async fn a_request_of_another_site_changes_nothing() {
    let service = Service::start().await;
    let headers = [JSON, ("origin", "http://example.test")];
    service
        .send(Method::POST, "/api/v1/cards", &headers, EXAMPLE)
        .await
        .problem(403);
    assert_eq!(cards(&service).await["cards"], serde_json::json!([]));
}
