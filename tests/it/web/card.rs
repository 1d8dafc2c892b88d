//! The card, its rulers and its drawings.

use super::reader::Reader;
use axum::http::StatusCode;
use pillarbook::domain::finding::Status;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::store::{CardId, StatusChange};
use time::OffsetDateTime;

#[tokio::test]
async fn a_card_is_in_the_order_a_crew_needs_it() {
    let reader = Reader::demo().await;
    let card = reader.get(&reader.card_of("Marram").await).await;
    let order = card.words("main h2");
    let wanted = [
        "Is it this car?",
        "Power off",
        "Drive and high voltage",
        "Glass",
        "Doors",
        "Side frame, left",
        "Rulers, left, worst first",
        "Sketch",
        "Parts",
        "What nobody has looked at",
        "History",
        "Evidence",
    ];
    let mut at = 0;
    for heading in wanted {
        let found = order[at..].find(heading);
        at += found.unwrap_or_else(|| panic!("{heading} after its forerunner in: {order}"));
    }
}

#[tokio::test]
async fn battery_and_cut_loop_come_first_in_power_off_and_among_the_parts() {
    let reader = Reader::demo().await;
    let card = reader.get(&reader.card_of("Marram").await).await;
    assert!(
        card.words("#power dt")
            .starts_with("12 V battery | Cut loop")
    );
    assert!(
        card.words("details.part b")
            .starts_with("12 V battery | Cut loop")
    );
}

#[tokio::test]
async fn unknown_is_said_with_how_to_treat_it() {
    let reader = Reader::empty().await;
    let card = reader.get("/body-styles/estate").await;
    assert!(
        card.words("#power")
            .contains("Hold time: unknown: treat as live")
    );
    assert!(
        card.words("main")
            .contains("unknown: treat as battery electric")
    );
    assert!(
        card.words("#glass")
            .contains("Treat as laminated for the tool, as tempered for covering")
    );
    assert!(
        card.words("#parts")
            .contains("That is not the same as no part there.")
    );
}

#[tokio::test]
async fn tailgates_and_rear_doors_stand_among_the_doors() {
    let reader = Reader::empty().await;
    for (style, said) in [
        ("suv", "Hinged at the top | tailgate"),
        (
            "cargo-van",
            "Hinged at the outer edge | rear door, both sides",
        ),
    ] {
        let card = reader.get(&format!("/body-styles/{style}")).await;
        let doors = card.words(".first dl > *");
        assert!(doors.contains(said), "{style}: {doors}");
    }
    let sedan = reader.get("/body-styles/sedan").await;
    assert!(!sedan.words(".first dl > *").contains("Hinged at the top"));
}

#[tokio::test]
async fn the_frame_carries_the_cautions_the_date_and_the_revision() {
    let reader = Reader::demo().await;
    let card = reader.get(&reader.card_of("Marram").await).await;
    let drawn = card.words("#frame svg text").replace(" | ", " ");
    for caution in [
        "crash damage moves parts",
        "Expose and look before every cut",
        "judgement come first",
        "Revision",
    ] {
        assert!(drawn.contains(caution), "{caution} in {drawn}");
    }
}

#[tokio::test]
async fn the_other_side_has_its_own_frame_and_rulers() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let left = reader.get(&address).await;
    let right = reader.get(&format!("{address}?side=right")).await;
    assert!(left.words("#rulers h3").contains("B-pillar, left"));
    assert!(right.words("#rulers h3").contains("B-pillar, right"));
    assert!(!right.words("#rulers h3").contains(", left"));
    let wrong = reader.get(&format!("{address}?side=top")).await;
    assert_eq!(wrong.status, StatusCode::BAD_REQUEST);
    assert!(wrong.words("main").contains("left, right"));
}

#[tokio::test]
async fn a_ruler_gives_its_figures_from_both_ends() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    let span = reader.get(&format!("{address}/spans/b-pillar.left")).await;
    assert_eq!(span.words("h1"), "B-pillar, left");
    let heads = span.words("table thead");
    assert!(
        heads.contains("mm from the foot") && heads.contains("mm from the head"),
        "{heads}"
    );
    assert!(
        span.words("main .cautions")
            .contains("Expose and look before every cut.")
    );
}

#[tokio::test]
async fn a_part_says_its_widening_in_mm_who_when_and_which_car() {
    let reader = Reader::demo().await;
    let card = reader.get(&reader.card_of("Marram").await).await;
    let parts = card.words("details.part");
    assert!(parts.contains("widened by"), "{parts}");
    assert!(!parts.contains('%'));
    assert!(
        parts.contains("measured 21 Jun 2025 by Ines Tolland on yard 9, ±25 mm"),
        "{parts}"
    );
    assert!(parts.contains("ONE SOURCE"));
}

#[tokio::test]
async fn a_dispute_names_both_findings_and_their_distance() {
    let reader = Reader::demo().await;
    let mut met = 0;
    for card in reader.cards().await {
        let page = reader.get(&format!("/cards/{}", card.id)).await;
        if page.words("details.part .flag").contains("DISPUTED") {
            met += 1;
            assert!(
                page.words("details.part .note")
                    .contains("they cannot both be right")
            );
        }
    }
    assert!(met > 0, "no demo card holds a dispute");
}

#[tokio::test]
async fn what_is_not_there_answers_not_found() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    let wrong = [
        "/cards/no-such-card".to_owned(),
        "/cards/no-such-card/print".to_owned(),
        "/cards/no-such-card/history".to_owned(),
        "/cards/no-such-card/sketch.svg".to_owned(),
        "/body-styles/hovercraft".to_owned(),
        format!("{card}/spans/b-pillar.middle"),
        format!("{card}/history/999"),
        format!("{card}/history/0"),
    ];
    for path in wrong {
        let answer = reader.get(&path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert_eq!(answer.words("h1"), "Not here", "{path}");
    }
}

#[tokio::test]
async fn a_drawing_asked_for_wrongly_names_what_is_accepted() {
    let reader = Reader::demo().await;
    let card = reader.card_of("Marram").await;
    for (path, accepted) in [
        ("/sketch/below", "frame-left"),
        ("/sketch/left?turn=45", "90"),
        ("/sketch/left?flip=maybe", "yes"),
        ("/sketch.svg?look=neon", "dark"),
        ("/print?paper=a3", "letter"),
    ] {
        let answer = reader.get(&format!("{card}{path}")).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{path}");
        assert!(answer.words("main").contains(accepted), "{path}");
    }
}

#[tokio::test]
async fn another_departments_card_does_not_exist_unless_it_is_shared() {
    let reader = Reader::empty().await;
    let now = OffsetDateTime::now_utc();
    let other = reader
        .store
        .create_department("Elsewhere", now)
        .await
        .unwrap();
    let member = reader
        .store
        .create_member(&other.id, "N. Other", now)
        .await
        .unwrap()
        .unwrap();
    let card = reader
        .store
        .create_card(&member, &super::site::details(), now)
        .await
        .unwrap();
    for rest in [
        "",
        "/spans/b-pillar.left",
        "/sketch/left",
        "/sketch.svg",
        "/history",
        "/history/1",
        "/print",
    ] {
        let answer = reader.get(&format!("/cards/{}{rest}", card.id)).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{rest}");
    }
    assert!(!reader.get("/").await.words("#below").contains("Corvel"));
    assert!(
        !reader
            .find("corvel tarn")
            .await
            .words("#below a")
            .contains("Corvel")
    );
}

#[tokio::test]
async fn a_withdrawn_finding_stands_with_its_reason_and_acts_no_more() {
    let reader = Reader::demo().await;
    let cards = reader.cards().await;
    let own = cards
        .iter()
        .find(|c| c.department == reader.actor.department && c.finding_count > 0);
    let id: CardId = own.unwrap().id.clone();
    let before = reader
        .store
        .card(&reader.actor.department, &id)
        .await
        .unwrap()
        .unwrap();
    let finding = before
        .card
        .findings
        .iter()
        .find(|f| f.status == Status::Accepted)
        .unwrap();
    let change = StatusChange {
        finding: finding.id.clone(),
        status: Status::Withdrawn,
        reason: Some("read from the wrong end".to_owned()),
    };
    let now = OffsetDateTime::now_utc();
    // Somebody who recorded none of it.
    let roles = Roles::from_iter([Role::Officer]);
    let (store, department) = (&reader.store, &reader.actor.department);
    let officer = store.create_member_with(department, "Bo Carrow", roles, now);
    let officer = officer.await.unwrap().unwrap();
    reader
        .store
        .change_status(&officer, &id, Some(before.revision), &[change], now)
        .await
        .unwrap();
    let page = reader.get(&format!("/cards/{id}")).await;
    assert!(page.words("#evidence").contains("read from the wrong end"));
}
