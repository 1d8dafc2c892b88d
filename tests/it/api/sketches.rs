//! Sketches over the API.

use super::Service;
use crate::contract::EXAMPLE;
use axum::http::{Method, StatusCode};

#[tokio::test]
async fn every_view_is_drawn_as_svg_with_the_revision_it_shows() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    for view in ["frame-left", "frame-right", "left", "right", "top", "front"] {
        let path = format!("/api/v1/cards/{id}/sketch.svg?view={view}&look=print");
        let svg = service.get(&path).await;
        assert_eq!(
            (svg.status, svg.header("content-type")),
            (StatusCode::OK, "image/svg+xml")
        );
        assert_eq!(svg.header("etag"), "\"1\"");
        let text = String::from_utf8(svg.body).unwrap();
        let document = roxmltree::Document::parse(&text).unwrap();
        let words: String = document
            .descendants()
            .filter_map(|node| node.text())
            .collect();
        assert!(
            words.contains("Revision 1 "),
            "{view} says which revision it shows:\n{words}"
        );
    }
}

#[tokio::test]
async fn a_picture_is_as_wide_as_asked_for() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/sketch.png?view=top&width=320&turn=180&flip=yes");
    let png = service.get(&path).await;
    assert_eq!(
        (png.status, png.header("content-type")),
        (StatusCode::OK, "image/png")
    );
    assert_eq!(
        u32::from_be_bytes(png.body[16..20].try_into().unwrap()),
        320
    );
    let again = service
        .send(Method::GET, &path, &[("if-none-match", "\"1\"")], "")
        .await;
    assert_eq!(again.status, StatusCode::NOT_MODIFIED);
}

#[tokio::test]
async fn what_is_not_drawn_is_refused_with_what_is() {
    let service = Service::start().await;
    let id = service.make_card(EXAMPLE).await;
    let path = format!("/api/v1/cards/{id}/sketch.png?view=inside&look=pink&turn=45&width=9999");
    let refused = service.get(&path).await;
    assert_eq!(refused.fields(422), ["view", "look", "turn", "width"]);
    service
        .get("/api/v1/cards/none/sketch.svg")
        .await
        .problem(404);
    let path = format!("/api/v1/cards/{id}/sketch.svg?year=1850");
    assert_eq!(service.get(&path).await.fields(422), ["year"]);
}
