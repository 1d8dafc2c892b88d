//! Revisions, before and after in mm; and the printed sheet.

use super::reader::Reader;
use super::site::details;
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::Variant;
use pillarbook::store::StatusChange;
use time::OffsetDateTime;
use time::macros::date;

/// A control unit in the middle of a straight piece, far from any bend: how far
/// its no-cut reaches along the span is known by hand.
fn control_unit() -> Finding {
    Finding {
        id: String::new(),
        report: Report::Component(ComponentReport {
            component: String::new(),
            kind: Kind::ControlUnit,
            place: Place::OnSpan {
                span: "roof-bow".to_owned(),
                from_mm: 280.0,
                to_mm: 320.0,
            },
            radius_mm: Some(60.0),
            bag: None,
            belt_seat: None,
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: Some("R. Ash".to_owned()),
        car: Some("yard 14".to_owned()),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

#[tokio::test]
async fn a_revision_shows_where_no_cut_grew_and_shrank_in_mm() {
    let reader = Reader::empty().await;
    let now = OffsetDateTime::now_utc();
    let card = reader
        .store
        .create_card(&reader.actor, &details(), now)
        .await
        .unwrap();
    let added = reader
        .store
        .add_findings(&reader.actor, &card.id, None, &[control_unit()], now)
        .await
        .unwrap()
        .unwrap();
    let grown = reader
        .get(&format!("/cards/{}/history/{}", card.id, added.revision))
        .await;
    // R = 60 + 50 + 2.5758·√(25²/3 + 10²) = 155.23, by the sources' bounds and
    // the coverage of 0.99; 280 − R = 124.77 and 320 + R = 475.23, outward.
    assert!(
        grown
            .words("article")
            .contains("roof bow NO CUT GREW 124–476 mm"),
        "{}",
        grown.words("article")
    );
    assert!(grown.words("ul").contains("recorded, accepted by"));
    assert!(!grown.words("main").contains("NO CUT SHRANK"));

    let change = StatusChange {
        finding: added.card.findings[0].id.clone(),
        status: Status::Withdrawn,
        reason: Some("the wrong car".to_owned()),
    };
    let after = reader
        .store
        .change_status(
            &reader.actor,
            &card.id,
            Some(added.revision),
            &[change],
            now,
        )
        .await
        .unwrap()
        .unwrap();
    let shrunk = reader
        .get(&format!("/cards/{}/history/{}", card.id, after.revision))
        .await;
    assert!(
        shrunk.words("article").contains("NO CUT SHRANK 124–476 mm"),
        "{}",
        shrunk.words("article")
    );
    assert!(
        shrunk.words("ul").contains("withdrawn by") && shrunk.words("ul").contains("the wrong car")
    );
}

#[tokio::test]
async fn the_first_revision_has_nothing_before_it() {
    let reader = Reader::empty().await;
    let card = reader
        .store
        .create_card(&reader.actor, &details(), OffsetDateTime::now_utc())
        .await
        .unwrap();
    let first = reader.get(&format!("/cards/{}/history/1", card.id)).await;
    assert!(first.words("main").contains("there is nothing before it"));
}

#[tokio::test]
async fn the_sheet_holds_both_frames_every_part_and_the_cautions() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    for paper in ["a4", "letter"] {
        let sheet = reader.get(&format!("{card}/print?paper={paper}")).await;
        let frames = sheet.words("figure svg text");
        assert!(frames.contains("LEFT") && frames.contains("RIGHT"));
        assert_eq!(sheet.count(".sheet-parts p"), 40);
        assert!(
            sheet
                .words(".sheet-head")
                .contains("Revision 8 · 15 Feb 2026")
        );
        assert!(
            sheet
                .words(".cautions")
                .contains("crash damage moves parts")
        );
        assert!(sheet.words("section").contains("Hold time: 600 s"));
        assert_eq!(sheet.count(&format!("body.{paper}")), 1);
    }
}

#[tokio::test]
async fn no_span_is_missing_from_the_sheet() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    let sheet = reader.get(&format!("{card}/print")).await;
    let drawn = sheet.words("figure svg text");
    let times = |name: &str| drawn.split(" | ").filter(|text| *text == name).count();
    for (name, wanted) in [
        ("B", 2),
        ("front door beam", 2),
        ("rocker", 2),
        ("tunnel", 1),
        ("roof bow", 1),
    ] {
        assert_eq!(times(name), wanted, "{name} in {drawn}");
    }
}
