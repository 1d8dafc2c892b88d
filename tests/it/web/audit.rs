//! The audit as officers and keepers read it: a page, a file, and the API.

use super::door::{Door, Who};
use super::site::details;
use axum::http::StatusCode;
use pillarbook::domain::role::Role;
use scraper::{Html, Selector};
use time::{Duration, OffsetDateTime};

fn texts(body: &str, selector: &str) -> Vec<String> {
    let page = Html::parse_document(body);
    let selector = Selector::parse(selector).unwrap();
    let words = |e: scraper::ElementRef<'_>| e.text().collect::<String>();
    page.select(&selector).map(words).collect()
}

fn link(body: &str, selector: &str) -> Option<String> {
    let page = Html::parse_document(body);
    let selector = Selector::parse(selector).unwrap();
    let link = page.select(&selector).next()?;
    link.value().attr("href").map(str::to_owned)
}

#[tokio::test]
async fn an_officer_reads_who_did_what_to_which_card_and_narrows_it_down() {
    let door = &Door::new().await;
    let sharing = format!("/cards/{}/sharing", door.card);
    let make = [("do", "link"), ("label", "Engine 4"), ("days", "7")];
    door.post(Who::Keeper, &sharing, &make).await;
    let page = door.get(Who::Officer, "/audit").await;
    assert_eq!(page.status, StatusCode::OK);
    let lines = texts(&page.body, ".audit > li");
    let newest = &lines[0];
    assert!(
        newest.contains("Keeper Fenn made a link to the card: Engine 4; until ")
            && newest.contains("Corvel Tarn, 2019–2023"),
        "{newest}"
    );
    assert!(lines.iter().any(|l| l.contains("Officer Fenn signed in")));
    let made = lines.iter().find(|l| l.contains("made the card")).unwrap();
    assert!(
        made.contains("Member Fenn") && made.contains("revision 1"),
        "{made}"
    );
    for other in ["Stranger", "/shared/"] {
        assert!(
            !page.body.contains(other),
            "{other} is none of its business"
        );
    }

    let of_card = format!(
        "/audit?card={}&member={}",
        door.card,
        door.members[&Who::Keeper].member
    );
    let narrowed = door.get(Who::Officer, &of_card).await;
    assert_eq!(
        texts(&narrowed.body, ".audit > li").len(),
        1,
        "{}",
        narrowed.body
    );
    let none = door.get(Who::Officer, "/audit?action=policy-set").await;
    assert!(none.body.contains("Nothing is recorded that fits"));
    let today = OffsetDateTime::now_utc().date();
    let before = today - Duration::days(1);
    let past = door.get(Who::Officer, &format!("/audit?to={before}")).await;
    assert!(past.body.contains("Nothing is recorded that fits"));
    // Midnight may pass while this runs.
    let now = format!("/audit?from={before}&to={}", today + Duration::days(1));
    assert_eq!(
        texts(&door.get(Who::Officer, &now).await.body, ".audit > li").len(),
        lines.len()
    );
}

#[tokio::test]
async fn what_is_asked_for_wrongly_is_named_beside_its_field_and_kept() {
    let door = &Door::new().await;
    let wrong = "/audit?card=Tarn&member=%27--&action=sold&from=2026-13-01&to=yesterday&after=x";
    let page = door.get(Who::Keeper, wrong).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let faults = texts(&page.body, ".errors li");
    assert_eq!(faults.len(), 6, "{faults:?}");
    assert!(
        page.body.contains("value=\"2026-13-01\""),
        "what was typed stays"
    );
    assert!(texts(&page.body, ".audit > li").is_empty());
    let turned = door
        .get(Who::Keeper, "/audit?from=2026-03-05&to=2026-03-04")
        .await;
    assert!(turned.body.contains("is before the first day"));
    let file = door.get(Who::Keeper, "/audit.csv?from=soon").await;
    assert_eq!(file.status, StatusCode::BAD_REQUEST);
    assert!(file.body.contains("for example 2026-03-04"));
    let api = door
        .get(
            Who::Program(Role::Officer),
            "/api/v1/audit?action=sold&limit=0",
        )
        .await;
    assert_eq!(api.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_pages_go_back_to_the_first_line_without_a_gap() {
    let door = &Door::new().await;
    let (member, now) = (&door.members[&Who::Member], OffsetDateTime::now_utc());
    for _ in 0..60 {
        door.store
            .create_card(member, &details(), now)
            .await
            .unwrap();
    }
    let all = door
        .store
        .audit(&member.department, None, 999)
        .await
        .unwrap();
    let (mut read, mut at) = (0, Some("/audit".to_owned()));
    while let Some(address) = at {
        let page = door.get(Who::Officer, &address).await;
        read += texts(&page.body, ".audit > li").len();
        at = link(&page.body, "a[rel=next]");
    }
    assert_eq!(read, all.len());
}

#[tokio::test]
async fn the_file_holds_every_line_and_no_formula() {
    let door = &Door::new().await;
    let (keeper, now) = (&door.members[&Who::Keeper], OffsetDateTime::now_utc());
    let mut named = details();
    named.vehicle.make = Some("=HYPERLINK(\"x\")".into());
    let hostile = door
        .store
        .create_card(keeper, &named, now)
        .await
        .unwrap()
        .id;
    let file = door.get(Who::Officer, "/audit.csv").await;
    assert_eq!(file.status, StatusCode::OK);
    let text = file.body.strip_prefix('\u{feff}').expect("its mark");
    let rows: Vec<&str> = text.trim_end().split("\r\n").collect();
    let all = door
        .store
        .audit(&keeper.department, None, 999)
        .await
        .unwrap();
    assert_eq!(rows.len(), all.len() + 1);
    let row = rows.iter().find(|r| r.contains(hostile.as_str())).unwrap();
    assert!(
        row.contains("\"'=HYPERLINK(\"\"x\"\") Tarn, 2019–2023\""),
        "{row}"
    );
    let one = door
        .get(Who::Officer, &format!("/audit.csv?card={hostile}"))
        .await;
    assert_eq!(one.body.trim_end().split("\r\n").count(), 2);
}

#[tokio::test]
async fn a_program_reads_the_same_lines_page_by_page() {
    let door = &Door::new().await;
    let all = door
        .store
        .audit(&door.members[&Who::Officer].department, None, 999)
        .await
        .unwrap();
    let (mut ids, mut next) = (Vec::new(), String::new());
    loop {
        let path = format!("/api/v1/audit?limit=4{next}");
        let page = door.get(Who::Program(Role::Keeper), &path).await;
        let page: serde_json::Value = serde_json::from_str(&page.body).unwrap();
        let lines = page["lines"].as_array().unwrap();
        ids.extend(lines.iter().map(|l| l["id"].as_str().unwrap().to_owned()));
        assert!(
            lines
                .iter()
                .all(|l| !l["said"].as_str().unwrap().is_empty())
        );
        match page["next"].as_str() {
            Some(id) => next = format!("&after={id}"),
            None => break,
        }
    }
    let kept: Vec<String> = all.into_iter().map(|l| l.id).collect();
    assert_eq!(ids, kept);
}

#[tokio::test]
async fn a_cards_history_leads_to_its_audit_for_who_may_read_it() {
    let door = &Door::new().await;
    let history = format!("/cards/{}/history", door.card);
    let audit = format!("/audit?card={}", door.card);
    for (who, leads) in [
        (Who::Officer, true),
        (Who::Keeper, true),
        (Who::Member, false),
    ] {
        let page = door.get(who, &history).await;
        assert_eq!(page.body.contains(&audit), leads, "{who:?}");
        let account = door.get(who, "/account").await;
        assert_eq!(account.body.contains("href=\"/audit\""), leads, "{who:?}");
    }
    let read = door.get(Who::Officer, &audit).await;
    assert!(read.body.contains("made the card"));
    let strangers = door.get(Who::Stranger, &audit).await;
    assert!(strangers.body.contains("Nothing is recorded that fits"));
}
