//! Inches first: a person's choice for every page, in a plain cookie; paper,
//! drawings as files and the API stay as they are.

use super::reader::{Raw, Reader};
use super::site::encoded;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use pillarbook::domain::finding::{ComponentReport, Place, Report};
use pillarbook::domain::units::{Unit, parse_length};

async fn choose(reader: &Reader, first: &str, from: &str) -> Raw {
    let request = Request::post("/figures")
        .header(header::HOST, "localhost:8080")
        .header(header::ORIGIN, "http://localhost:8080")
        .header(header::REFERER, from)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(encoded(&[("first", first)])));
    reader.ask(request.unwrap()).await
}

async fn in_inches(reader: &Reader, path: &str) -> Raw {
    reader
        .get_with(path, &[(header::COOKIE, "other=1; first=in")])
        .await
}

#[tokio::test]
async fn the_choice_is_kept_in_the_browser_and_leads_back_to_the_page() {
    let reader = Reader::empty().await;
    let from = "http://localhost:8080/body-styles/sedan?side=right";
    let chosen = choose(&reader, "in", from).await;
    assert_eq!(chosen.status, StatusCode::SEE_OTHER);
    assert_eq!(
        chosen.header(header::LOCATION),
        "/body-styles/sedan?side=right"
    );
    let cookie = chosen.header(header::SET_COOKIE);
    assert!(
        cookie.starts_with("first=in;") && cookie.contains("Path=/"),
        "{cookie}"
    );
    let refused = choose(&reader, "cubits", from).await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
    assert!(refused.words("main").contains("accepted are mm, in"));
    assert_eq!(refused.header(header::SET_COOKIE), "");
}

#[tokio::test]
async fn every_page_offers_the_choice_but_the_printed_sheet() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    for path in ["/", "/body-styles", "/cards/new", "/no-such-page", &card] {
        let keys = "form[action='/figures'][method=post] button[name=first]";
        let page = reader.get(path).await;
        assert_eq!(page.attributes(keys, "value"), ["mm", "in"], "{path}");
    }
    let sheet = reader.get(&format!("{card}/print")).await;
    assert_eq!(sheet.count("form"), 0);
}

#[tokio::test]
async fn inches_lead_on_pages_and_millimetres_stay_beside_them() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    let page = in_inches(&reader, &card).await;
    let parts = page.words("#parts");
    assert!(parts.contains(" in (") && parts.contains(" mm)"), "{parts}");
    assert!(!parts.contains(" mm ("), "millimetres lead in: {parts}");
    for section in ["#rulers li", "#cross li", "#unseen li"] {
        let said = page.words(section);
        assert!(!said.contains(" mm ("), "{section}: {said}");
        assert!(said.contains(" in"), "{section}: {said}");
    }
    assert!(
        page.words("#frame text")
            .contains("inches from each bar’s foot")
    );
    let span = in_inches(&reader, &format!("{card}/spans/b-pillar.left")).await;
    assert!(span.words("table thead").contains("in from the foot"));
    let own = reader.get(&format!("{card}/spans/b-pillar.left")).await;
    let (leads, beside) = (own.words("table td b"), span.words("table td b"));
    assert_ne!(leads, beside);
    assert_eq!(own.words("table td").len(), span.words("table td").len());
}

#[tokio::test]
async fn both_choices_are_kept_apart_and_each_is_known_to_the_browser() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    let (mm, inches) = (reader.get(&card).await, in_inches(&reader, &card).await);
    assert_ne!(mm.header(header::ETAG), inches.header(header::ETAG));
    assert!(mm.words("#parts").contains("keep off"));
    assert_ne!(mm.words("#parts"), inches.words("#parts"));
    assert_eq!(reader.get(&card).await.body, mm.body);
    let wrong = [(header::COOKIE, "first=cubits")];
    assert_eq!(reader.get_with(&card, &wrong).await.body, mm.body);
}

#[tokio::test]
async fn paper_files_and_the_api_are_the_same_for_everyone() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    for path in [
        format!("{card}/print"),
        format!("{card}/sketch.svg"),
        format!("/api/v1{card}/zones"),
        format!("/api/v1{card}/sketch.svg"),
    ] {
        let (mm, inches) = (reader.get(&path).await, in_inches(&reader, &path).await);
        assert_eq!(mm.status, StatusCode::OK, "{path}");
        assert!(mm.body == inches.body, "{path} differs");
    }
}

#[tokio::test]
async fn forms_begin_in_the_chosen_unit() {
    let reader = Reader::demo().await;
    let cards = reader.cards().await;
    let own = cards
        .iter()
        .find(|c| c.department == reader.actor.department);
    let card = format!("/cards/{}", own.unwrap().id);
    for form in ["/findings/new", "/strip", "/measurements"] {
        let unit = |page: Raw| page.attributes("input[name=unit][checked]", "value");
        let path = format!("{card}{form}");
        assert_eq!(unit(reader.get(&path).await), ["mm"], "{path}");
        assert_eq!(unit(in_inches(&reader, &path).await), ["in"], "{path}");
    }
}

#[tokio::test]
async fn a_finding_that_is_checked_or_corrected_is_filled_in_as_long_as_it_was() {
    let reader = Reader::demo().await;
    let cards = reader.cards().await;
    let mut own = cards
        .iter()
        .filter(|c| c.department == reader.actor.department);
    let card = own
        .find(|c| c.vehicle.model.as_deref() == Some("Marram"))
        .unwrap();
    let read = reader.store.card(&card.department, &card.id).await;
    let read = read.unwrap().unwrap();
    let (finding, from_mm, to_mm) = read
        .card
        .findings
        .iter()
        .filter(|f| f.acts())
        .find_map(|f| match &f.report {
            Report::Component(ComponentReport {
                place: Place::OnSpan { from_mm, to_mm, .. },
                ..
            }) => Some((&f.id, *from_mm, *to_mm)),
            _ => None,
        })
        .unwrap();
    let forms = [
        format!("findings/new?check={finding}"),
        format!("findings/{finding}/correct"),
    ];
    for form in forms {
        let page = in_inches(&reader, &format!("/cards/{}/{form}", card.id)).await;
        let unit = page.attributes("input[name=unit][checked]", "value");
        let unit = Unit::from_word(&unit[0]).unwrap();
        for (name, mm) in [("from", from_mm), ("to", to_mm)] {
            let text = page.attributes(&format!("input[name={name}]"), "value");
            let read = parse_length(&text[0], unit).unwrap();
            assert!((read - mm).abs() < 0.001, "{form}: {name} {text:?} {unit}");
        }
    }
}
