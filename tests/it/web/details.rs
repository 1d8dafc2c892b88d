//! New card and edited details.

use super::site::Site;
use axum::http::StatusCode;
use pillarbook::domain::card::Glass;
use pillarbook::domain::vehicle::Drive;
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::CardId;

const NEW: [(&str, &str); 9] = [
    ("body_style", "suv"),
    ("make", "Brackwater"),
    ("model", "Lune"),
    ("first_year", "2021"),
    ("last_year", "2025"),
    ("drive", "battery"),
    ("hold", "600"),
    ("power-where-12v-main", "Under the front cover, left"),
    ("glass-windscreen", "laminated"),
];

fn with<'a>(
    fields: &[(&'a str, &'a str)],
    changed: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut all: Vec<_> = fields.to_vec();
    all.retain(|(name, _)| !changed.iter().any(|(c, _)| c == name));
    all.extend(changed);
    all
}

async fn cards(site: &Site) -> usize {
    site.store
        .all_summaries(&site.actor.department)
        .await
        .unwrap()
        .len()
}

#[tokio::test]
async fn a_new_card_begins_with_twelve_body_styles() {
    let site = Site::new().await;
    let page = site.get("/cards/new").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.count(".styles a"), 12);
    assert!(page.count(".styles a svg path[d]") > 12);
    assert_eq!(
        site.get("/cards/new?style=tank").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_new_card_is_made_from_what_was_typed() {
    let site = Site::new().await;
    let form = site.get("/cards/new?style=suv").await;
    assert_eq!(form.value("body_style"), "suv");
    let made = site.post("/cards/new", &NEW).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let id = made.location.strip_prefix("/cards/").unwrap();
    let card = site
        .store
        .card(&site.actor.department, &CardId::new(id))
        .await;
    let card = card.unwrap().unwrap().card;
    assert_eq!(card.vehicle.make.as_deref(), Some("Brackwater"));
    assert_eq!(card.vehicle.drive, Some(Drive::Battery));
    assert_eq!(card.vehicle.hold_time_s, Some(600));
    assert_eq!(card.power_off[0].where_, "Under the front cover, left");
    assert_eq!(card.glass.get("windscreen"), Some(&Glass::Laminated));
}

#[tokio::test]
async fn a_bad_field_is_named_and_what_was_typed_stays() {
    let cases = [
        ("first_year", "1850", "1900 to 2100"),
        ("last_year", "next year", "1900 to 2100"),
        ("first_year", "2026", "swap them"),
        ("make", "  ", "enter the make"),
        ("drive", "steam", "choose one"),
        ("hold", "-5", "0 to 86400"),
        ("hold", "NaN", "0 to 86400"),
        ("glass-windscreen", "paper", "choose one"),
    ];
    let site = Site::new().await;
    for (field, typed, said) in cases {
        let answer = site
            .post("/cards/new", &with(&NEW, &[(field, typed)]))
            .await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{field} {typed}"
        );
        assert!(
            answer.fault(field).contains(said),
            "{field}: {}",
            answer.fault(field)
        );
        assert!(
            answer.text(".errors").contains(said),
            "{field} in the summary"
        );
        if !["drive", "glass-windscreen"].contains(&field) {
            assert_eq!(answer.value(field), typed, "{field} is kept");
        }
        assert_eq!(answer.value("model"), "Lune", "the other fields are kept");
    }
    assert_eq!(cards(&site).await, 1, "nothing was stored");
}

#[tokio::test]
async fn hostile_text_is_shown_as_text() {
    let site = Site::new().await;
    let hostile = "<script>alert(1)</script>\"'><img src=x>";
    let made = site
        .post("/cards/new", &with(&NEW, &[("make", hostile)]))
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let edit = site.get(&format!("{}/edit", made.location)).await;
    assert_eq!(edit.value("make"), hostile);
    assert!(edit.text("h1").contains("<script>"));
    assert_eq!(edit.count("script:not([src])") + edit.count("img"), 0);
}

#[tokio::test]
async fn a_form_of_another_site_changes_nothing() {
    let site = Site::new().await;
    let sent = site
        .post_from("/cards/new", &NEW, "http://elsewhere.test")
        .await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
    assert_eq!(cards(&site).await, 1);
}

#[tokio::test]
async fn two_people_at_once_see_both_versions_and_lose_nothing() {
    let site = Site::new().await;
    let edit = site.get(&site.at("/edit")).await;
    let revision = edit.value("revision");
    let base = [
        ("make", "Corvel"),
        ("model", "Tarn"),
        ("revision", revision.as_str()),
    ];
    let first = site
        .post(
            &site.at("/edit"),
            &with(&base, &[("identify", "Round lamps")]),
        )
        .await;
    assert_eq!(first.status, StatusCode::SEE_OTHER);
    let mine = with(&base, &[("identify", "Square lamps")]);
    let second = site.post(&site.at("/edit"), &mine).await;
    assert_eq!(second.status, StatusCode::PRECONDITION_FAILED);
    let table = second.text(".errors table");
    assert!(
        table.contains("Square lamps") && table.contains("Round lamps"),
        "{table}"
    );
    assert_eq!(
        second.value("identify"),
        "Square lamps",
        "what was typed stays"
    );
    assert_eq!(
        site.stored().await.card.identify.as_deref(),
        Some("Round lamps")
    );
    let now = second.value("revision");
    let again = site
        .post(&site.at("/edit"), &with(&mine, &[("revision", &now)]))
        .await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    assert_eq!(
        site.stored().await.card.identify.as_deref(),
        Some("Square lamps")
    );
}

#[tokio::test]
async fn a_card_that_is_not_there_is_not_found() {
    let site = Site::new().await;
    for rest in [
        "edit",
        "measurements",
        "strip",
        "findings/new",
        "findings/f1",
        "findings/f1/correct",
    ] {
        let page = site.get(&format!("/cards/nobody/{rest}")).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{rest}");
        let sent = site
            .post(&format!("/cards/nobody/{rest}"), &[("act", "save")])
            .await;
        assert_eq!(sent.status, StatusCode::NOT_FOUND, "{rest}");
    }
}

#[tokio::test]
async fn another_departments_card_does_not_exist_to_a_write() {
    let site = Site::new().await;
    let now = time::OffsetDateTime::now_utc();
    let other = site
        .store
        .create_department("Other county", now)
        .await
        .unwrap();
    let member = site
        .store
        .create_member(&other.id, "Ada Fenn", now)
        .await
        .unwrap()
        .unwrap();
    let theirs = site
        .store
        .create_card(&member, &super::site::details(), now)
        .await
        .unwrap();
    site.store
        .set_visibility(&member, &theirs.id, Visibility::Everyone, now)
        .await
        .unwrap();
    for rest in ["edit", "measurements", "strip", "findings/new"] {
        let path = format!("/cards/{}/{rest}", theirs.id);
        assert_eq!(
            site.get(&path).await.status,
            StatusCode::NOT_FOUND,
            "{rest}"
        );
        assert_eq!(
            site.post(&path, &NEW).await.status,
            StatusCode::NOT_FOUND,
            "{rest}"
        );
    }
}
