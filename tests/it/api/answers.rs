//! What reading addresses answer.

use super::Service;
use crate::contract::EXAMPLE;
use axum::http::{Method, StatusCode};
use pillarbook::contract::{ZonesFile, zones_of_file};
use pillarbook::domain::vehicle::Variant;

#[tokio::test]
async fn zones_of_a_posted_file_are_the_contract_s_own_bytes() {
    let service = Service::start().await;
    let answer = service.post("/api/v1/zones", EXAMPLE).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.header("content-type"), "application/json");
    let expected = zones_of_file(EXAMPLE.as_bytes(), &Variant::default()).unwrap();
    assert_eq!(
        answer.body,
        ZonesFile::from(&expected.zones).to_json().into_bytes()
    );
}

#[tokio::test]
async fn a_variant_in_the_query_decides_what_counts_as_bare() {
    let service = Service::start().await;
    let file = EXAMPLE.replacen(
        "\"depth\"",
        "\"observed\":{\"drive\":\"petrol\"},\"depth\"",
        1,
    );
    let bare = |answer: super::Answer| answer.json()["bare"].as_array().unwrap().len();
    assert_eq!(bare(service.post("/api/v1/zones", file.clone()).await), 1);
    assert_eq!(
        bare(
            service
                .post("/api/v1/zones?drive=battery", file.clone())
                .await
        ),
        0
    );
    let refused = service
        .post("/api/v1/zones?drive=steam&year=1850", file)
        .await;
    assert_eq!(refused.fields(422), ["year", "drive"]);
}

#[tokio::test]
async fn fields_that_were_passed_over_are_named_in_a_header() {
    let service = Service::start().await;
    let file = EXAMPLE.replacen("\"identify\"", "\"weather\":\"rain\",\"identify\"", 1);
    let answer = service.post("/api/v1/zones", file).await;
    assert_eq!(answer.header("x-ignored-fields"), "weather");
}

#[tokio::test]
async fn body_styles_are_listed_and_shown_with_all_their_parts() {
    let service = Service::start().await;
    let list = service.get("/api/v1/body-styles").await.json();
    let styles = list["body_styles"].as_array().unwrap();
    assert_eq!(styles.len(), 12);
    for style in styles {
        let id = style["id"].as_str().unwrap();
        let shown = service.get(&format!("/api/v1/body-styles/{id}")).await;
        assert_eq!(shown.status, StatusCode::OK);
        let shown = shown.json();
        for part in [
            "spans",
            "seats",
            "landmarks",
            "expectations",
            "doors",
            "panes",
        ] {
            assert!(
                !shown[part].as_array().unwrap().is_empty(),
                "{id} has no {part}"
            );
        }
        let d = &shown["dimensions"];
        let mm = |name: &str| d[name].as_f64().unwrap();
        let sum = mm("front_overhang_mm") + mm("wheelbase_mm") + mm("rear_overhang_mm");
        assert!(
            (mm("length_mm") - sum).abs() < 0.01,
            "{id}: L103 = L104 + L101 + L105"
        );
    }
    service
        .get("/api/v1/body-styles/hovercraft")
        .await
        .problem(404);
}

/// 49 CFR 565.15, worked example of the outline for new manufacturers.
#[tokio::test]
async fn a_vin_is_read_and_a_mismatch_is_a_warning_only() {
    let service = Service::start().await;
    let right = service.get("/api/v1/vin/1J9RP1A36A1644345").await.json();
    assert_eq!(
        (&right["check_digit"], &right["expected"]),
        (&"6".into(), &"6".into())
    );
    assert_eq!(
        (&right["well_formed"], &right["matches"]),
        (&true.into(), &true.into())
    );
    assert_eq!(right["warnings"], serde_json::json!([]));
    let wrong = service.get("/api/v1/vin/1J9RP1A35A1644345").await;
    assert_eq!(wrong.status, StatusCode::OK);
    let wrong = wrong.json();
    assert_eq!(
        (&wrong["expected"], &wrong["matches"]),
        (&"6".into(), &false.into())
    );
    assert_eq!(wrong["warnings"].as_array().unwrap().len(), 1);
    let ones = service.get("/api/v1/vin/11111111111111111").await.json();
    assert_eq!(ones["matches"], true);
}

#[tokio::test]
async fn find_answers_cards_and_the_generic_style() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let found = service.get("/api/v1/find?q=corvle%202020").await.json();
    assert_eq!(found["results"][0]["card"], id.as_str());
    assert_eq!(
        found["results"][0]["years"],
        serde_json::json!([2019, 2023])
    );
    let none = service.get("/api/v1/find?q=minivan&limit=3").await.json();
    assert_eq!(none["generic"], "minivan");
    for (query, field) in [
        ("q=x&limit=0", "limit"),
        ("limit=many", "limit"),
        (&*format!("q={}", "x".repeat(201)), "q"),
    ] {
        let refused = service
            .get(&format!("/api/v1/find?{query}"))
            .await
            .problem(422);
        assert_eq!(refused["errors"][0]["field"], field);
    }
}

/// 49 CFR 565.15: L at position 10 with a letter at position 7 is 2020, with a
/// figure there 1990.
#[tokio::test]
async fn a_vin_finds_the_cards_of_its_model_year_as_the_find_page_does() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let of_2020 = "/api/v1/find?q=1J9RP1A30LA644345";
    let found = service.get(of_2020).await.json();
    assert_eq!(found["vin"]["year"], 2020);
    assert_eq!(found["results"][0]["card"], id.as_str());
    assert_eq!(found["generic"], serde_json::Value::Null);
    let page = service.get("/?q=1J9RP1A30LA644345").await;
    let page = String::from_utf8(page.body).unwrap();
    assert!(page.contains(&format!("/cards/{id}")) && page.contains("model year 2020"));
    let older = "/api/v1/find?q=1J9RP1230LA644345";
    let older = service.get(older).await.json();
    assert_eq!(older["vin"]["year"], 1990);
    assert_eq!(older["results"], serde_json::json!([]));
    let words = service.get("/api/v1/find?q=corvel").await.json();
    assert!(words.get("vin").is_none());
}

#[tokio::test]
async fn health_readiness_and_metrics_answer() {
    let service = Service::start().await;
    assert_eq!(service.get("/healthz").await.body, b"ok\n");
    assert_eq!(service.get("/readyz").await.body, b"ok\n");
    service.get("/api/v1/body-styles/sedan").await;
    let metrics = String::from_utf8(service.get("/metrics").await.body).unwrap();
    let route = r#"route="/api/v1/body-styles/{id}""#;
    assert!(
        metrics
            .lines()
            .any(|l| l.starts_with("pillarbook_requests_total") && l.contains(route))
    );
}

#[tokio::test]
async fn readiness_fails_when_the_database_is_gone() {
    let service = Service::start().await;
    service.store.close().await;
    assert_eq!(
        service.get("/readyz").await.status,
        StatusCode::SERVICE_UNAVAILABLE
    );
    assert_eq!(service.get("/healthz").await.status, StatusCode::OK);
    service.get("/api/v1/cards").await.problem(503);
}

#[tokio::test]
async fn an_unknown_address_under_api_is_a_problem_document() {
    let service = Service::start().await;
    service.get("/api/v1/nothing").await.problem(404);
    service.get("/api/v2/zones").await.problem(404);
    service
        .send(Method::DELETE, "/api/v1/zones", &[], "")
        .await
        .problem(405);
}
