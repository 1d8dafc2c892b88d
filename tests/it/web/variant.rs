//! Another variant of the car than the card's own: asked for in the address or
//! with the form, and said plainly wherever it is shown.

use super::reader::{Raw, Reader};
use axum::http::{StatusCode, header};
use pillarbook::domain::finding::{BareReport, Depth, Finding, Report, Source, Status};
use pillarbook::domain::vehicle::{Drive, Variant, WheelSide};
use time::OffsetDateTime;
use time::macros::date;

/// A sedan of 2019–2023, petrol, on which the left B-pillar was seen bare on a
/// car with the wheel on the left.
async fn seen_bare(reader: &Reader) -> String {
    let now = OffsetDateTime::now_utc();
    let card = reader
        .store
        .create_card(&reader.actor, &super::site::details(), now)
        .await
        .unwrap();
    let bare = Finding {
        id: String::new(),
        report: Report::Bare(BareReport {
            span: "b-pillar.left".to_owned(),
            from_mm: 200.0,
            to_mm: 900.0,
            depth: Depth::Through,
            resolved: None,
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: None,
        car: Some("yard 14".to_owned()),
        observed: Variant {
            drive: Some(Drive::Petrol),
            wheel: Some(WheelSide::Left),
            ..Variant::default()
        },
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    };
    reader
        .store
        .add_findings(&reader.actor, &card.id, None, &[bare], now)
        .await
        .unwrap()
        .unwrap();
    format!("/cards/{}", card.id)
}

/// What the ruler of the left B-pillar says, in words for those who cannot see it.
fn b_pillar(page: &Raw) -> String {
    let rulers = page.words("#rulers article");
    let of = |ruler: &&str| ruler.trim_start().starts_with("B-pillar, left");
    let found = rulers.split(" | ").find(of);
    found.expect("the left B-pillar has a ruler").to_owned()
}

#[tokio::test]
async fn zones_rulers_and_drawings_follow_the_variant() {
    let reader = Reader::empty().await;
    let address = seen_bare(&reader).await;
    let own = reader.get(&address).await;
    assert!(b_pillar(&own).contains("Seen bare"), "{}", b_pillar(&own));
    for other in [
        "?drive=battery",
        "?wheel=right",
        "?drive=petrol&wheel=right",
    ] {
        let page = reader.get(&format!("{address}{other}")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!b_pillar(&page).contains("Seen bare"), "{other}");
        assert!(
            page.words("#evidence")
                .contains("was seen on another variant"),
            "{other}"
        );
    }
    let same = reader
        .get(&format!("{address}?drive=petrol&wheel=left"))
        .await;
    assert!(b_pillar(&same).contains("Seen bare"));
    let span = |query: &str| format!("{address}/spans/b-pillar.left{query}");
    let gaps = |page: Raw| page.words("table tbody th");
    assert!(gaps(reader.get(&span("")).await).contains("seen bare"));
    assert!(!gaps(reader.get(&span("?drive=battery")).await).contains("seen bare"));
}

#[tokio::test]
async fn every_page_of_a_variant_says_which_one_and_leads_back() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    for below in [
        "",
        "?side=right",
        "/spans/b-pillar.left",
        "/sketch/left",
        "/print",
        "/print?paper=letter",
    ] {
        let join = if below.contains('?') { '&' } else { '?' };
        let path = format!("{address}{below}{join}year=2031&drive=diesel&region=Far+%26+wide");
        let page = reader.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        let said = page.words("main .notice");
        assert!(
            said.to_lowercase()
                .contains("shown for: 2031, diesel, region far & wide."),
            "{path}: {said}"
        );
        assert!(said.contains("outside this card’s years"), "{path}: {said}");
        let back = page.attributes("main .notice:not(#touched) a", "href");
        assert_eq!(back.len(), 1, "{path}");
        let own = reader.get(&back[0]).await;
        assert_eq!(own.status, StatusCode::OK);
        assert!(!own.words("main").to_lowercase().contains("shown for"));
    }
    let drawing = reader
        .get(&format!("{address}/sketch.svg?view=left&year=2031"))
        .await;
    assert!(drawing.text().contains("SHOWN FOR: 2031"));
}

#[tokio::test]
async fn links_of_a_variant_stay_with_it() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let page = reader
        .get(&format!("{address}?wheel=right&year=2021"))
        .await;
    let mut links = page.attributes("#frame a[href]", "href");
    links.extend(page.attributes("#rulers a[href], #cross a[href], #unseen a[href]", "href"));
    links.extend(page.attributes("#sketch a[href]", "href"));
    links.extend(page.attributes("img[src]", "src"));
    links.extend(page.attributes("source[srcset]", "srcset"));
    assert!(links.len() > 20, "{}", links.len());
    for link in links {
        assert!(link.contains("year=2021&wheel=right"), "{link}");
        let path = link.split('#').next().unwrap();
        let answer = reader.get(path).await;
        assert_eq!(answer.status, StatusCode::OK, "{link}");
        assert!(
            answer.text().to_lowercase().contains("shown for"),
            "{link} does not say the variant"
        );
    }
}

#[tokio::test]
async fn high_voltage_of_either_car_is_still_to_be_looked_for() {
    let reader = Reader::empty().await;
    let address = seen_bare(&reader).await;
    let own = reader.get(&address).await;
    assert!(!own.words("#power dt").contains("High voltage"));
    let battery = reader.get(&format!("{address}?drive=battery")).await;
    assert!(battery.words("#power dt").contains("High voltage"));
    let drive = battery.words(".first");
    assert!(
        drive.contains("battery electric, as asked for; the card’s own car is petrol"),
        "{drive}"
    );
    let mut details = super::site::details();
    details.vehicle.drive = Some(Drive::Hybrid);
    let now = OffsetDateTime::now_utc();
    let hybrid = reader.store.create_card(&reader.actor, &details, now).await;
    let hybrid = format!("/cards/{}", hybrid.unwrap().id);
    let as_petrol = reader.get(&format!("{hybrid}?drive=petrol")).await;
    let own = reader.get(&hybrid).await;
    assert_eq!(as_petrol.words("#power dt"), own.words("#power dt"));
}

#[tokio::test]
async fn the_form_keeps_what_was_typed_and_says_what_would_do() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let wrong = reader
        .get(&format!(
            "{address}?side=right&year=1850&drive=steam&region=US"
        ))
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = wrong.words(".errors");
    assert!(said.contains("Year:") && said.contains("1900"), "{said}");
    assert!(
        said.contains("Drive:") && said.contains("hydrogen"),
        "{said}"
    );
    assert_eq!(wrong.attributes("#f-year", "value"), ["1850"]);
    assert_eq!(wrong.attributes("#f-region", "value"), ["US"]);
    assert_eq!(wrong.count("#f-year[aria-invalid=true]"), 1);
    assert_eq!(wrong.count("details#variant[open]"), 1);
    assert_eq!(wrong.count("#shown"), 0, "the card's own is shown");
    assert!(wrong.words("h2").contains("Side frame, right"));
    for below in [
        "/spans/b-pillar.left",
        "/print",
        "/sketch/left",
        "/sketch.svg",
    ] {
        let answer = reader.get(&format!("{address}{below}?year=1850")).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{below}");
        assert!(answer.words("main").contains("year:"), "{below}");
    }
}

#[tokio::test]
async fn the_form_asks_in_the_address_and_empty_fields_ask_for_nothing() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let page = reader.get(&format!("{address}?side=right")).await;
    assert_eq!(
        page.attributes("#variant form", "action"),
        std::slice::from_ref(&address)
    );
    assert_eq!(
        page.attributes("#variant input[type=hidden]", "value"),
        ["right"]
    );
    let empty = reader
        .get(&format!("{address}?year=&drive=&wheel=&roof=&region=+"))
        .await;
    assert_eq!(empty.status, StatusCode::OK);
    assert_eq!(empty.count("#shown"), 0);
    let own = reader.get(&address).await;
    assert_eq!(empty.header(header::ETAG), own.header(header::ETAG));
    let asked = reader
        .get(&format!("{address}?year=+2021+&roof=glass"))
        .await;
    assert_eq!(
        asked.attributes("#f-roof option[selected]", "value"),
        ["glass"]
    );
    assert!(
        asked
            .words("#shown")
            .contains("Shown for: 2021, glass roof.")
    );
}

#[tokio::test]
async fn variants_do_not_answer_for_each_other() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let mut tags = Vec::new();
    let asked = [
        "",
        "?year=2020",
        "?year=2021",
        "?drive=gas",
        "?roof=glass",
        "?wheel=left",
        "?region=left",
    ];
    for query in asked {
        let page = reader.get(&format!("{address}{query}")).await;
        tags.push(page.header(header::ETAG).to_owned());
    }
    tags.sort();
    tags.dedup();
    assert_eq!(tags.len(), asked.len());
}
