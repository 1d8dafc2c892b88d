//! A department's tools and rules, and what its plans make of them.

use super::site::{Answer, Site};
use axum::http::StatusCode;

async fn version(site: &Site) -> String {
    site.get("/department").await.value("version")
}

/// An invented cutter, as its plate and papers would give it.
fn cutter<'a>(version: &'a str, force: &'a str, plate: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("version", version),
        ("do", "add"),
        ("name", "big cutter"),
        ("kind", "cutter"),
        ("force_kn", force),
        ("blade_half_width_mm", "40"),
        ("designation", plate),
    ]
}

async fn added(site: &Site, force: &str, plate: &str) -> Answer {
    let version = version(site).await;
    site.post("/department", &cutter(&version, force, plate))
        .await
}

#[tokio::test]
async fn a_tool_is_listed_with_what_its_plate_says_in_words() {
    let site = Site::new().await;
    assert!(
        site.get("/department")
            .await
            .text("main")
            .contains("No tool is on the list")
    );
    let saved = added(&site, "500", "A4/B5/C6/D3/E4").await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let page = site.get("/department").await.text(".tool");
    for said in [
        "big cutter",
        "rated force 500 kN",
        "NFPA 1936",
        "press-hardened",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
}

#[tokio::test]
async fn a_plan_takes_the_departments_tool_where_the_crew_names_none() {
    let site = Site::new().await;
    added(&site, "500", "").await;
    let address = site.at("/plan?seat=front-left&care=gentle&hand=yes&open=side-removal.left");
    let plan = site.get(&address).await;
    assert_eq!(plan.status, StatusCode::OK);
    assert!(plan.text("main").contains("big cutter"));
}

#[tokio::test]
async fn what_will_not_do_is_said_at_its_field_and_kept_and_nothing_is_stored() {
    let site = Site::new().await;
    for (force, plate, field, said) in [
        ("-5", "", "force_kn", "1 to 4999 kN"),
        ("500000", "", "force_kn", "did you mean 500 kN?"),
        ("strong", "", "force_kn", "enter a number"),
        ("500", "A4/Q9", "designation", "accepted"),
    ] {
        let shown = added(&site, force, plate).await;
        assert_eq!(
            shown.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{force} {plate}"
        );
        let error = shown.text(&format!("#f-{}-error", field.replace('_', "-")));
        assert!(error.contains(said), "{field}: {error}");
        assert_eq!(shown.value("force_kn"), force);
        assert_eq!(shown.value("designation"), plate);
    }
    assert_eq!(version(&site).await, "0");
}

#[tokio::test]
async fn a_tool_is_taken_off_the_list_and_its_name_is_free_again() {
    let site = Site::new().await;
    added(&site, "500", "").await;
    let twice = added(&site, "600", "").await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    let stands = version(&site).await;
    let sent = [
        ("version", stands.as_str()),
        ("do", "take-off"),
        ("tool", "big cutter"),
    ];
    let gone = site.post("/department", &sent).await;
    assert_eq!(gone.status, StatusCode::SEE_OTHER);
    assert_eq!(added(&site, "600", "").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn only_a_rule_that_may_be_switched_off_has_a_box_and_its_state_is_kept() {
    let site = Site::new().await;
    let page = site.get("/department").await;
    let boxes = page.count("input[type=checkbox]");
    assert!(boxes > 0 && boxes < page.count(".rules li"));
    let sent = [("version", "0"), ("do", "rules")];
    assert_eq!(
        site.post("/department", &sent).await.status,
        StatusCode::SEE_OTHER
    );
    let page = site.get("/department").await;
    assert_eq!(page.count("input[type=checkbox][checked]"), 0);
}

#[tokio::test]
async fn of_two_people_at_once_the_second_is_told_and_keeps_what_was_typed() {
    let site = Site::new().await;
    let stale = version(&site).await;
    added(&site, "500", "").await;
    let mut sent = cutter(&stale, "700", "");
    sent[2].1 = "second cutter";
    let shown = site.post("/department", &sent).await;
    assert_eq!(shown.status, StatusCode::PRECONDITION_FAILED);
    assert!(shown.text(".errors").contains("changed meanwhile"));
    assert_eq!(shown.value("name"), "second cutter");
    assert_eq!(version(&site).await, "1");
}
