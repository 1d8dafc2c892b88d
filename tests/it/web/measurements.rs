//! Measurements, and the drawing that follows them.

use super::site::Site;
use crate::store::component;
use axum::http::StatusCode;
use pillarbook::domain::finding::{Place, Report};

#[tokio::test]
async fn measurements_are_taken_in_any_unit_and_stored_in_mm() {
    let site = Site::new().await;
    let page = site.get(&site.at("/measurements")).await;
    let revision = page.value("revision");
    let sent = [
        ("revision", revision.as_str()),
        ("unit", "in"),
        ("act", "save"),
        ("length_mm", "185 3/8"),
        ("wheelbase_mm", "2720 mm"),
        ("height_mm", "4' 9\""),
    ];
    let saved = site.post(&site.at("/measurements"), &sent).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let measured = site.stored().await.card.measured;
    assert!((measured.length_mm.unwrap() - 4708.525).abs() < 1e-9);
    assert_eq!(measured.wheelbase_mm, Some(2720.0));
    assert!((measured.height_mm.unwrap() - 1447.8).abs() < 1e-9);
    assert_eq!(measured.width_mm, None);
    let again = site.get(&site.at("/measurements?unit=in")).await;
    assert_eq!(again.value("length_mm"), "185 3/8");
}

#[tokio::test]
async fn the_drawing_follows_before_anything_is_saved() {
    let site = Site::new().await;
    let before = site.get(&site.at("/measurements")).await;
    let sent = [("act", "preview"), ("unit", "mm"), ("height_mm", "1700")];
    let shown = site.post(&site.at("/measurements"), &sent).await;
    assert_eq!(shown.status, StatusCode::OK);
    assert_eq!(shown.value("height_mm"), "1700");
    assert_eq!(shown.count("#preview .drawn svg"), 2);
    let drawing = |a: &super::site::Answer| {
        let svg = scraper::Selector::parse("#preview .drawn svg").unwrap();
        a.page.select(&svg).map(|s| s.html()).collect::<String>()
    };
    assert_ne!(drawing(&before), drawing(&shown));
    assert_eq!(site.stored().await.revision, 1, "nothing was stored");
}

#[tokio::test]
async fn what_does_not_fit_is_named_at_its_fields() {
    let site = Site::new().await;
    for (field, typed, said) in [
        ("length_mm", "1,250", "comma"),
        ("length_mm", "NaN", "is not a length"),
        ("height_mm", "16 3/8", "without its unit"),
        ("wheelbase_mm", "19 m", "accepted"),
        ("height_mm", "100 mm", "accepted"),
    ] {
        let sent = [("act", "save"), ("unit", "mm"), (field, typed)];
        let answer = site.post(&site.at("/measurements"), &sent).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}");
        assert!(
            answer.fault(field).contains(said),
            "{typed}: {}",
            answer.fault(field)
        );
        assert_eq!(answer.value(field), typed);
    }
    assert_eq!(site.stored().await.revision, 1);
}

#[tokio::test]
async fn a_wheelbase_longer_than_the_car_is_said_in_plain_words_at_both() {
    let site = Site::new().await;
    let fields = [
        ("unit", "mm"),
        ("length_mm", "2500"),
        ("wheelbase_mm", "2700"),
        ("act", "preview"),
    ];
    let refused = site.post(&site.at("/measurements"), &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = refused.page.html();
    assert_eq!(
        said.matches("is not shorter than the car").count(),
        4,
        "beside both and on top"
    );
    assert!(!said.contains("times as long"));
    assert_eq!(refused.value("length_mm"), "2500");
}

#[tokio::test]
async fn a_stale_revision_shows_both_versions() {
    let site = Site::new().await;
    let sent = |mm: &'static str| {
        [
            ("act", "save"),
            ("unit", "mm"),
            ("revision", "1"),
            ("height_mm", mm),
        ]
    };
    let first = site.post(&site.at("/measurements"), &sent("1480")).await;
    assert_eq!(first.status, StatusCode::SEE_OTHER);
    let second = site.post(&site.at("/measurements"), &sent("1500")).await;
    assert_eq!(second.status, StatusCode::PRECONDITION_FAILED);
    let table = second.text(".errors table");
    assert!(table.contains("1500") && table.contains("1480"), "{table}");
    assert_eq!(second.value("height_mm"), "1500");
    assert_eq!(site.stored().await.card.measured.height_mm, Some(1480.0));
}

#[tokio::test]
async fn figures_that_take_no_cut_away_are_looked_at_before_they_are_saved() {
    let site = Site::new().await;
    let mut rail = component("f1", "c1", 300.0, 1_200.0);
    if let Report::Component(part) = &mut rail.report {
        part.place = Place::OnSpan {
            span: "roof-rail.left".into(),
            from_mm: 300.0,
            to_mm: 1_200.0,
        };
    }
    let (now, rail) = (time::OffsetDateTime::now_utc(), [rail]);
    let added = site
        .store
        .add_findings(&site.actor, &site.card, None, &rail, now);
    added.await.unwrap().unwrap();
    let sent = [
        ("act", "save"),
        ("unit", "mm"),
        ("revision", "2"),
        ("height_mm", "1700"),
    ];
    let unseen = site.post(&site.at("/measurements"), &sent).await;
    assert_eq!(unseen.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unseen.text(".errors").contains("takes no-cut away"));
    assert!(unseen.text("#preview").contains("shrinks by"));
    assert_eq!(unseen.value("height_mm"), "1700");
    assert_eq!(site.stored().await.revision, 2, "nothing was stored");
    let seen = [&sent[..], &[("shrink_seen", "yes")]].concat();
    let saved = site.post(&site.at("/measurements"), &seen).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    assert_eq!(site.stored().await.card.measured.height_mm, Some(1_700.0));
}
