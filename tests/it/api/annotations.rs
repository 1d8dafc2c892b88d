//! Notes over the API: read and written in the card file's own form.

use super::{JSON, Service};
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

const CARD: &str = include_str!("../contract/example-card.json");

async fn card() -> (Service, String) {
    let service = Service::start().await;
    let id = service.make_card(CARD).await;
    let path = format!("/api/v1/cards/{id}/annotations");
    (service, path)
}

async fn post(service: &Service, path: &str, notes: Value) -> super::Answer {
    service
        .post(path, json!({"annotations": notes}).to_string())
        .await
}

#[tokio::test]
async fn notes_read_back_as_the_card_file_has_them() {
    let (service, path) = card().await;
    let read = service.get(&path).await;
    assert_eq!(read.status, StatusCode::OK);
    let sent: Value = serde_json::from_str(CARD).unwrap();
    let mut expected = sent["annotations"].clone();
    expected[0]["standing"] = json!("open");
    // A number reads back as a number of the same value.
    expected[0]["at"]["at_mm"] = json!(300.0);
    expected[1]["at"]["arrow_mm"] = json!([[900.0, 400.0], [1250.5, 600.0]]);
    assert_eq!(read.json(), json!({"revision": 1, "annotations": expected}));
    let whole = service.get(&path.replace("/annotations", "")).await.json();
    assert_eq!(whole["annotations"], read.json()["annotations"]);
    let again = [("if-none-match", read.header("etag"))];
    let known = service.send(Method::GET, &path, &again, "").await;
    assert_eq!(known.status, StatusCode::NOT_MODIFIED);
}

#[tokio::test]
async fn notes_and_replies_are_written_signed_by_who_sends_them() {
    let (service, path) = card().await;
    let new = json!([
        {"text": "Whole card"},
        {"at": {"view": "top", "spot_mm": [1200, -450]}, "text": "Here"},
        {"at": {"finding": "f1"}, "text": "About it"},
        {"reply_to": "n1", "text": "Yes"},
    ]);
    let made = post(&service, &path, new).await;
    assert_eq!(
        made.status,
        StatusCode::CREATED,
        "{:?}",
        String::from_utf8_lossy(&made.body)
    );
    let made = made.json();
    assert_eq!(made["revision"], 2);
    let ids: Vec<&str> = made["annotations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n["id"].as_str().unwrap())
        .collect();
    assert_eq!(
        ids,
        ["n1", "n4", "n5", "n6"],
        "the answered note and the new ones"
    );
    assert_eq!(made["annotations"][0]["replies"][1]["text"], "Yes");
    assert_eq!(made["annotations"][1]["by"], "Local member");
    assert_eq!(made["annotations"][1]["standing"], "open");
    assert_eq!(
        made["annotations"][2]["at"],
        json!({"view": "top", "spot_mm": [1200.0, -450.0]})
    );
}

#[tokio::test]
async fn what_is_wrong_is_named_and_nothing_is_written() {
    let (service, path) = card().await;
    for (notes, field) in [
        (json!([]), "annotations"),
        (json!([{"text": " "}]), "annotations[0].text"),
        (
            json!([{"text": "x"}, {"text": "x".repeat(2_001)}]),
            "annotations[1].text",
        ),
        (
            json!([{"reply_to": "n9", "text": "x"}]),
            "annotations[0].reply_to",
        ),
        (
            json!([{"reply_to": "n1", "at": {"finding": "f1"}, "text": "x"}]),
            "annotations[0].at",
        ),
        (
            json!([{"at": {"finding": "f9"}, "text": "x"}]),
            "annotations[0].at.finding",
        ),
        (
            json!([{"at": {"span": "b-pillar.left", "at_mm": 9000}, "text": "x"}]),
            "annotations[0].at",
        ),
        (
            json!([{"at": {"view": "left", "spot_mm": [1e9, 0]}, "text": "x"}]),
            "annotations[0].at.spot_mm[0]",
        ),
        (json!([{"at": {}, "text": "x"}]), "annotations[0].at"),
        (json!([7]), "annotations[0]"),
    ] {
        let refused = post(&service, &path, notes.clone()).await;
        assert_eq!(refused.fields(422), [field], "{notes}");
    }
    let stale = [JSON, ("if-match", "\"7\"")];
    let body = json!({"annotations": [{"text": "x"}]}).to_string();
    let refused = service.send(Method::POST, &path, &stale, body).await;
    let problem = refused.problem(412);
    assert_eq!(problem["current_revision"], 1);
    assert_eq!(
        problem["current"]["annotations"].as_array().unwrap().len(),
        2
    );
    assert_eq!(service.get(&path).await.json()["revision"], 1);
}

#[tokio::test]
async fn nobody_signs_for_another_nor_accepts_their_own() {
    let (service, path) = card().await;
    let pushed = json!([{"text": "x", "by": "Somebody else", "standing": "resolved", "id": "n77", "photos": [{"name": "aa"}]}]);
    let made = post(&service, &path, pushed).await;
    let note = made.json()["annotations"][0].clone();
    assert_eq!(note["by"], "Local member");
    assert_eq!(
        (note["id"].as_str(), note["standing"].as_str()),
        (Some("n4"), Some("open"))
    );
    assert!(note.get("photos").is_none());
}
