//! A department's own openings over HTTP, and what they do to the plans of its
//! cards.

use super::{JSON, Service};
use crate::contract::EXAMPLE;
use axum::http::Method;
use pillarbook::domain::opening::catalogue::catalogue;
use serde_json::{Value, json};

const PATH: &str = "/api/v1/department/openings";

/// The catalogue's side removal under a name of the department's own.
fn own_opening() -> Value {
    let found = catalogue().iter().find(|o| o.id == "side-removal");
    let mut opening = serde_json::to_value(found.unwrap()).unwrap();
    opening["id"] = json!("westmoor-side");
    opening["name"] = json!("Side removal, our way");
    opening
}

fn ids(plan: &Value, list: &str) -> Vec<String> {
    let items = plan[list].as_array().unwrap().iter();
    items
        .map(|o| o["id"].as_str().unwrap().to_owned())
        .collect()
}

async fn put(service: &Service, if_match: &str, body: &Value) -> super::Answer {
    let headers = [JSON, ("if-match", if_match)];
    service
        .send(Method::PUT, PATH, &headers, body.to_string())
        .await
}

#[tokio::test]
async fn an_opening_of_its_own_is_kept_and_comes_up_in_the_departments_plans() {
    let service = Service::start().await;
    let none = service.get(PATH).await;
    assert_eq!(none.header("etag"), "\"0\"");
    assert_eq!(none.json(), json!({"openings": [], "rules_off": []}));

    let body = json!({"openings": [own_opening()], "rules_off": []});
    let saved = put(&service, "\"0\"", &body).await;
    assert_eq!(
        (saved.status.as_u16(), saved.header("etag")),
        (200, "\"1\"")
    );
    assert_eq!(saved.json(), body);
    assert_eq!(service.get(PATH).await.json(), body);

    let id = service.make_card(EXAMPLE).await;
    let ask = json!({"seats": ["front-left"], "care": "gentle"});
    let path = format!("/api/v1/cards/{id}/plan");
    let request = json!({"ask": ask}).to_string();
    let plan = service.send(Method::POST, &path, &[JSON], request).await;
    assert_eq!(plan.status.as_u16(), 200);
    let plan = plan.json();
    let of = |id: &str| {
        let id = id.to_owned();
        ids(&plan, "openings").contains(&id) || ids(&plan, "not_offered").contains(&id)
    };
    assert!(of("westmoor-side") && of("side-removal"));

    let card: Value = serde_json::from_str(EXAMPLE).unwrap();
    let file = json!({"card": card, "ask": ask}).to_string();
    let of_file = service
        .send(Method::POST, "/api/v1/plan", &[JSON], file)
        .await
        .json();
    let own = "westmoor-side".to_owned();
    assert!(!ids(&of_file, "openings").contains(&own));
    assert!(!ids(&of_file, "not_offered").contains(&own));
}

#[tokio::test]
async fn a_version_that_moved_on_is_not_written_over() {
    let service = Service::start().await;
    let body = json!({"openings": [own_opening()]});
    put(&service, "\"0\"", &body).await;
    let late = put(&service, "\"0\"", &json!({})).await.problem(412);
    assert_eq!(late["current_revision"], 1);
    assert_eq!(late["current"]["openings"][0]["id"], "westmoor-side");
    let headers = [JSON];
    service
        .send(Method::PUT, PATH, &headers, body.to_string())
        .await
        .problem(428);
    assert_eq!(service.get(PATH).await.header("etag"), "\"1\"");
}

#[tokio::test]
async fn a_bad_opening_is_refused_with_its_field_and_changes_nothing() {
    let service = Service::start().await;
    let mut bad_act = own_opening();
    bad_act["steps"][0]["act"] = json!("explode");
    let mut bad_name = own_opening();
    bad_name["name"] = json!("");
    let mut taken = own_opening();
    taken["id"] = json!("side-removal");
    for (body, field) in [
        (json!({"openings": [bad_act]}), "openings[0].steps[0].act"),
        (json!({"openings": [bad_name]}), "openings[0].name"),
        (json!({"openings": [taken]}), "openings[0].id"),
        (json!({"openings": {}}), "openings"),
        (json!({"rules_off": ["gravity"]}), "rules_off[0]"),
    ] {
        let problem = put(&service, "\"0\"", &body).await.problem(422);
        let error = &problem["errors"][0];
        assert_eq!(error["field"], field, "{problem}");
        assert!(error["line"].is_u64(), "{problem}");
    }
    assert_eq!(service.get(PATH).await.header("etag"), "\"0\"");
}

const TOOLS: &str = "/api/v1/department/tools";

async fn put_tools(service: &Service, if_match: &str, body: &Value) -> super::Answer {
    let headers = [JSON, ("if-match", if_match)];
    service
        .send(Method::PUT, TOOLS, &headers, body.to_string())
        .await
}

#[tokio::test]
async fn tools_are_kept_and_stand_in_a_plan_that_names_none() {
    let service = Service::start().await;
    assert_eq!(service.get(TOOLS).await.json(), json!({"tools": []}));
    let body = json!({"tools": [
        {"name": "big cutter", "kind": "cutter", "force_kn": 640, "designation": "A4/B5/C6/D3/E4"},
    ]});
    let saved = put_tools(&service, "\"0\"", &body).await;
    assert_eq!(
        (saved.status.as_u16(), saved.header("etag")),
        (200, "\"1\"")
    );
    let kept = service.get(TOOLS).await.json();
    assert_eq!(kept["tools"][0]["force_kn"], 640.0);
    assert_eq!(kept["tools"][0]["mass_kg"], Value::Null);
    // What was read can be put again, and changes nothing.
    let again = put_tools(&service, "\"1\"", &kept).await;
    assert_eq!(again.header("etag"), "\"1\"");
    // The openings beside them are left alone.
    assert_eq!(
        service.get(PATH).await.json(),
        json!({"openings": [], "rules_off": []})
    );

    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/plan");
    let plan = async |ask: Value| {
        let request = json!({"ask": ask}).to_string();
        service
            .send(Method::POST, &path, &[JSON], request)
            .await
            .json()
    };
    let none_named = plan(json!({"seats": ["front-left"], "care": "gentle"})).await;
    assert_eq!(none_named["ask"]["tools"][0]["name"], "big cutter");
    let own = json!([{"name": "small cutter", "kind": "cutter"}]);
    let named = plan(json!({"seats": ["front-left"], "care": "gentle", "tools": own})).await;
    assert_eq!(named["ask"]["tools"].as_array().unwrap().len(), 1);
    assert_eq!(named["ask"]["tools"][0]["name"], "small cutter");
}

#[tokio::test]
async fn a_bad_tool_is_refused_with_its_field_and_changes_nothing() {
    let service = Service::start().await;
    let tool = |field: &str, value: Value| {
        let mut tool = json!({"name": "cutter 1", "kind": "cutter"});
        tool[field] = value;
        json!({"tools": [tool]})
    };
    let twice = json!({"tools": [{"name": "a", "kind": "ram"}, {"name": "a", "kind": "saw"}]});
    for (body, field) in [
        (tool("name", json!(" ")), "tools[0].name"),
        (tool("kind", json!("wand")), "tools[0].kind"),
        (tool("kind", Value::Null), "tools[0].kind"),
        (tool("force_kn", json!(-5)), "tools[0].force_kn"),
        (tool("force_kn", json!(500_000)), "tools[0].force_kn"),
        (tool("mass_kg", json!("heavy")), "tools[0].mass_kg"),
        (tool("designation", json!("best")), "tools[0].designation"),
        (twice, "tools[1].name"),
        (json!({"tools": "all"}), "tools"),
    ] {
        let problem = put_tools(&service, "\"0\"", &body).await.problem(422);
        let error = &problem["errors"][0];
        assert_eq!(error["field"], field, "{problem}");
        assert!(error["line"].is_u64(), "{problem}");
    }
    assert_eq!(service.get(TOOLS).await.header("etag"), "\"0\"");
    put_tools(&service, "\"0\"", &tool("force_kn", json!(500))).await;
    let late = put_tools(&service, "\"0\"", &json!({"tools": []})).await;
    let late = late.problem(412);
    assert_eq!(late["current"]["tools"][0]["force_kn"], 500.0);
    service
        .send(Method::PUT, TOOLS, &[JSON], json!({}).to_string())
        .await
        .problem(428);
}
