//! Every page of every demo card and body style: rendered, and held to what no
//! page may say or do.

use super::reader::{Raw, Reader};
use super::site::details;
use axum::http::StatusCode;
use pillarbook::domain::body::{StyleId, style};
use pillarbook::domain::card::{PowerOff, PowerSource};
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::Variant;
use time::OffsetDateTime;
use time::macros::date;

/// Never said of a place (whole words, in any case).
const NEVER_SAID: [&str; 5] = ["safe", "safely", "ready", "recommended", "recommend"];

async fn addresses(reader: &Reader) -> Vec<String> {
    let mut all = vec![
        "/".to_owned(),
        "/?q=sedan".to_owned(),
        "/body-styles".to_owned(),
    ];
    let pages = [
        "",
        "?side=right",
        "/print",
        "/sketch/left",
        "/sketch/top",
        "/sketch/frame-right",
        "/spans/rocker.left",
    ];
    for card in reader.cards().await {
        let below = |rest: &str| format!("/cards/{}{rest}", card.id);
        all.extend(pages.map(below));
        all.extend([
            below("/history"),
            below("/history/1"),
            below(&format!("/history/{}", card.revision)),
        ]);
    }
    for id in StyleId::ALL {
        all.extend(pages.map(|rest| format!("/body-styles/{id}{rest}")));
    }
    all
}

fn check(path: &str, page: &Raw) {
    assert_eq!(page.status, StatusCode::OK, "{path}");
    assert_eq!(page.count("h1"), 1, "{path}");
    assert_eq!(
        page.count("[style], style, script:not([src])"),
        0,
        "{path} has inline style or script"
    );
    assert_eq!(
        page.count("[onclick], [onload], [onerror]"),
        0,
        "{path} has an inline handler"
    );
    assert!(!page.text().contains("{{"), "{path}");
    let words = page.words("body").to_lowercase();
    let said: Vec<&str> = words.split(|c: char| !c.is_alphabetic()).collect();
    for word in NEVER_SAID {
        assert!(!said.contains(&word), "{path} says {word}");
    }
    for odd in ["NaN", "inf mm", "-0 mm", "None", "Some("] {
        assert!(!page.text().contains(odd), "{path} prints {odd}");
    }
    let ids = page.attributes("[id]", "id");
    let mut once = ids.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "{path} repeats an id");
}

#[tokio::test]
async fn every_page_renders_and_keeps_to_what_may_be_said() {
    let reader = Reader::demo().await;
    for path in addresses(&reader).await {
        check(&path, &reader.get(&path).await);
    }
}

#[tokio::test]
async fn every_page_about_a_car_tells_to_expose_and_look_first() {
    let reader = Reader::demo().await;
    for path in addresses(&reader).await {
        let page = reader.get(&path).await;
        let said = page.words("body");
        assert!(said.contains("Expose and look before every cut"), "{path}");
        if path.starts_with("/body-styles/") {
            assert!(
                said.to_lowercase()
                    .contains("nobody has looked at this car"),
                "{path}"
            );
        }
    }
}

#[tokio::test]
async fn every_link_of_a_card_leads_somewhere() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let mut seen = Vec::new();
    for from in [
        address.clone(),
        format!("{address}/spans/b-pillar.left"),
        "/body-styles/sedan".to_owned(),
        "/".to_owned(),
    ] {
        let page = reader.get(&from).await;
        let mut links = page.attributes("a[href]", "href");
        links.extend(page.attributes("img[src]", "src"));
        links.extend(page.attributes("source[srcset]", "srcset"));
        for link in links {
            let path = link.split('#').next().unwrap_or_default().to_owned();
            if !path.is_empty() && !seen.contains(&path) {
                let status = reader.get(&path).await.status;
                assert_eq!(status, StatusCode::OK, "{from} leads to {path}");
                seen.push(path);
            }
        }
    }
    assert!(seen.len() > 60, "only {} links", seen.len());
}

const HOSTILE: &str = "<img src=x onerror=alert(1)>\"'&amp;</svg><script>alert(2)</script>";

/// A card with markup in every field that takes text.
async fn hostile_card(reader: &Reader) -> String {
    let now = OffsetDateTime::now_utc();
    let hostile = || Some(HOSTILE.to_owned());
    let mut details = details();
    details.vehicle.make = hostile();
    details.vehicle.model = hostile();
    details.vehicle.region = hostile();
    details.identify = hostile();
    details.power_off = vec![PowerOff {
        what: PowerSource::Main12v,
        where_: HOSTILE.to_owned(),
        how: HOSTILE.to_owned(),
    }];
    let card = reader
        .store
        .create_card(&reader.actor, &details, now)
        .await
        .unwrap();
    let finding = |span: &str, status: Status| Finding {
        id: String::new(),
        report: Report::Component(ComponentReport {
            component: HOSTILE.to_owned(),
            kind: Kind::Battery12v,
            place: Place::OnSpan {
                span: span.to_owned(),
                from_mm: 100.0,
                to_mm: 200.0,
            },
            radius_mm: None,
            bag: None,
            belt_seat: hostile(),
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: hostile(),
        car: hostile(),
        observed: Variant::default(),
        status,
        note: hostile(),
        supersedes: None,
        reason: hostile(),
    };
    let both = [
        finding("b-pillar.left", Status::Accepted),
        finding("a-pillar.left", Status::Offered),
    ];
    reader
        .store
        .add_findings(&reader.actor, &card.id, None, &both, now)
        .await
        .unwrap()
        .unwrap();
    format!("/cards/{}", card.id)
}

#[tokio::test]
async fn markup_in_any_field_stays_text() {
    let reader = Reader::empty().await;
    let card = hostile_card(&reader).await;
    for rest in [
        "",
        "/print",
        "/history",
        "/history/2",
        "/spans/b-pillar.left",
        "/sketch/left",
        "/sketch/frame-left",
    ] {
        let path = format!("{card}{rest}");
        let page = reader.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        assert_eq!(
            page.count("[onerror], script:not([src]), img[src='x']"),
            0,
            "{path}"
        );
    }
    let found = reader.get("/").await;
    assert_eq!(found.count("[onerror], script:not([src])"), 0);
    let drawing = reader.get(&format!("{card}/sketch.svg")).await;
    assert!(roxmltree::Document::parse(&drawing.text()).is_ok());
    assert!(
        drawing
            .header("content-security-policy")
            .contains("sandbox")
    );
}

#[tokio::test]
async fn the_twelve_styles_are_offered_by_name() {
    let reader = Reader::empty().await;
    let words = reader.get("/body-styles").await.words("main li b");
    for id in StyleId::ALL {
        assert!(words.contains(&style(*id).name), "{id} in {words}");
    }
}
