//! The OpenAPI description against what is really answered.

use super::Service;
use serde_json::Value;

#[tokio::test]
async fn the_description_is_openapi_3_1_and_every_reference_in_it_leads_somewhere() {
    let service = Service::start().await;
    let description = service.get("/api/v1/openapi.json").await.json();
    assert!(description["openapi"].as_str().unwrap().starts_with("3.1"));
    let mut references = Vec::new();
    collect_references(&description, &mut references);
    assert!(references.len() > 20);
    for reference in references {
        let pointer = reference
            .strip_prefix('#')
            .expect("a reference inside the document");
        assert!(
            description.pointer(pointer).is_some(),
            "{reference} leads nowhere"
        );
    }
}

fn collect_references(value: &Value, into: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            if let Some(Value::String(reference)) = fields.get("$ref") {
                into.push(reference.clone());
            }
            fields
                .values()
                .for_each(|field| collect_references(field, into));
        }
        Value::Array(items) => items.iter().for_each(|item| collect_references(item, into)),
        _ => {}
    }
}

#[tokio::test]
async fn every_address_of_the_contract_is_described() {
    let service = Service::start().await;
    let description = service.get("/api/v1/openapi.json").await.json();
    for (path, method) in [
        ("/api/v1/zones", "post"),
        ("/api/v1/cards", "get"),
        ("/api/v1/cards", "post"),
        ("/api/v1/cards/{id}", "get"),
        ("/api/v1/cards/{id}/zones", "get"),
        ("/api/v1/cards/{id}/findings", "post"),
        ("/api/v1/cards/{id}/findings/{finding}/status", "post"),
        ("/api/v1/cards/{id}/details", "get"),
        ("/api/v1/cards/{id}/details", "put"),
        ("/api/v1/cards/{id}/sketch.svg", "get"),
        ("/api/v1/cards/{id}/sketch.png", "get"),
        ("/api/v1/audit", "get"),
        ("/api/v1/find", "get"),
        ("/api/v1/vin/{vin}", "get"),
        ("/api/v1/body-styles", "get"),
        ("/api/v1/body-styles/{id}", "get"),
    ] {
        let operation = &description["paths"][path][method];
        assert!(operation["responses"].is_object(), "{method} {path}");
        assert!(
            operation["summary"].is_string(),
            "{method} {path} says what it does"
        );
    }
}
