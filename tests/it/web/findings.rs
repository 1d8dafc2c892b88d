//! One finding: new, corrected, withdrawn, confirmed, resolved.

use super::site::{Answer, Site};
use axum::http::StatusCode;
use pillarbook::domain::finding::{Finding, Report, Status};

const NEW: [(&str, &str); 12] = [
    ("act", "save"),
    ("car", "yard 14"),
    ("by", "Ada Fenn"),
    ("observed_on", "2026-03-04"),
    ("source", "measured"),
    ("unit", "mm"),
    ("span", "b-pillar.left"),
    ("end", "foot"),
    ("what", "part"),
    ("kind", "pretensioner"),
    ("from", "80"),
    ("to", "210"),
];

async fn new(site: &Site, changed: &[(&str, &str)]) -> Answer {
    send(site, "/findings/new", changed).await
}

async fn send(site: &Site, rest: &str, changed: &[(&str, &str)]) -> Answer {
    let mut all: Vec<_> = NEW.to_vec();
    all.retain(|(name, _)| !changed.iter().any(|(c, _)| c == name));
    all.extend(changed);
    site.post(&site.at(rest), &all).await
}

async fn act(site: &Site, finding: &str, fields: &[(&str, &str)]) -> Answer {
    let path = site.at(&format!("/findings/{finding}"));
    let revision = site.stored().await.revision.to_string();
    let mut all = vec![("revision", revision.as_str())];
    all.extend(fields);
    site.post(&path, &all).await
}

async fn finding(site: &Site, id: &str) -> Finding {
    let stored = site.stored().await;
    stored
        .card
        .findings
        .into_iter()
        .find(|f| f.id == id)
        .unwrap()
}

#[tokio::test]
async fn a_touch_on_the_ruler_fills_the_form() {
    let site = Site::new().await;
    let page = site
        .get(&site.at("/findings/new?span=b-pillar.left&from=80&to=210"))
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(
        (page.value("span"), page.value("from"), page.value("to")),
        ("b-pillar.left".into(), "80".into(), "210".into())
    );
    let axis = ".touch svg path[data-span='b-pillar.left'][data-mm]";
    assert_eq!(page.count(axis), 1);
}

#[tokio::test]
async fn a_look_of_a_plan_fills_the_form_with_what_it_found() {
    let site = Site::new().await;
    let look = "/findings/new?span=b-pillar.left&from=80 mm&to=210 mm&what=part&kind=pretensioner";
    let page = site.get(&site.at(&look.replace(' ', "%20"))).await;
    assert_eq!(
        page.count("input[name=kind][value=pretensioner][checked]"),
        1
    );
    assert_eq!(page.count("input[name=kind][checked]"), 1);
}

#[tokio::test]
async fn a_finding_is_shown_on_the_ruler_then_saved() {
    let site = Site::new().await;
    let shown = new(&site, &[("act", "preview")]).await;
    assert_eq!(shown.status, StatusCode::OK);
    assert!(shown.text(".changes").contains("grows by"));
    assert_eq!(site.stored().await.card.findings.len(), 0);
    let saved = new(&site, &[]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let stored = site.stored().await;
    assert_eq!(stored.card.findings.len(), 1);
    assert_eq!(stored.card.findings[0].status, Status::Accepted);
}

#[tokio::test]
async fn bad_findings_are_refused_and_change_nothing() {
    let site = Site::new().await;
    for (field, said, changed) in [
        ("from", "swap the two", ("from", "400")),
        ("to", "long", ("to", "5000")),
        ("from", "is not a length", ("from", "NaN")),
        ("across", "no part of a car", ("across", "5 m")),
        ("car", "name the car", ("car", "")),
        ("kind", "not one of the choices", ("kind", "flux")),
        ("span", "no such span", ("span", "e-pillar.left")),
        ("year", "1900 to 2100", ("year", "1850")),
        ("same_as", "no such part", ("same_as", "c99")),
        ("within", "5 to 1000", ("within", "2")),
    ] {
        let answer = new(&site, &[changed]).await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{changed:?}"
        );
        assert!(
            answer.fault(field).contains(said),
            "{changed:?}: {}",
            answer.fault(field)
        );
        assert!(answer.text(".errors").contains(said));
    }
    assert_eq!(site.stored().await.revision, 1);
}

#[tokio::test]
async fn a_correction_that_shrinks_a_zone_is_shown_and_asked_for() {
    let site = Site::new().await;
    new(&site, &[("to", "500")]).await;
    let form = site.get(&site.at("/findings/f1/correct")).await;
    assert_eq!(
        (form.value("from"), form.value("to"), form.value("same_as")),
        ("80".into(), "500".into(), "c1".into())
    );
    let revision = form.value("revision");
    let smaller = [
        ("to", "210"),
        ("same_as", "c1"),
        ("reason", "Tape slipped"),
        ("revision", revision.as_str()),
    ];
    let asked = send(&site, "/findings/f1/correct", &smaller).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text(".changes").contains("shrinks by"));
    assert!(asked.text(".errors").contains("no second person"));
    assert_eq!(site.stored().await.card.findings.len(), 1);

    let mut seen = smaller.to_vec();
    seen.push(("shrink_seen", "yes"));
    let saved = send(&site, "/findings/f1/correct", &seen).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    assert_eq!(
        finding(&site, "f1").await.status,
        Status::Superseded,
        "the old one is kept"
    );
    let new = finding(&site, "f2").await;
    assert_eq!(
        (new.supersedes.as_deref(), new.status),
        (Some("f1"), Status::Accepted)
    );
}

#[tokio::test]
async fn a_correction_of_a_card_that_moved_on_is_not_lost() {
    let site = Site::new().await;
    new(&site, &[]).await;
    new(&site, &[("span", "c-pillar.left")]).await;
    let stale = [
        ("to", "600"),
        ("same_as", "c1"),
        ("reason", "Tape slipped"),
        ("revision", "1"),
    ];
    let answer = send(&site, "/findings/f1/correct", &stale).await;
    assert_eq!(answer.status, StatusCode::PRECONDITION_FAILED);
    assert_eq!(
        (answer.value("to"), answer.value("reason")),
        ("600".into(), "Tape slipped".into())
    );
    assert_eq!(finding(&site, "f1").await.status, Status::Accepted);
}

#[tokio::test]
async fn a_withdrawal_needs_a_reason_and_a_look_at_what_it_takes_away() {
    let site = Site::new().await;
    new(&site, &[]).await;
    let page = site.get(&site.at("/findings/f1")).await;
    assert!(page.text(".changes").contains("shrinks by"));
    let none = act(&site, "f1", &[("act", "withdraw"), ("shrink_seen", "yes")]).await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.fault("reason").contains("say why"));
    let unseen = act(&site, "f1", &[("act", "withdraw"), ("reason", "Wrong car")]).await;
    assert_eq!(unseen.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unseen.text(".errors").contains("no second person"));
    assert!(unseen.text("textarea").contains("Wrong car"));
    assert_eq!(finding(&site, "f1").await.status, Status::Accepted);

    let done = act(
        &site,
        "f1",
        &[
            ("act", "withdraw"),
            ("reason", "Wrong car"),
            ("shrink_seen", "yes"),
        ],
    )
    .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(finding(&site, "f1").await.status, Status::Withdrawn);
    let page = site.get(&site.at("/findings/f1")).await;
    assert!(
        page.text(".record").contains("Wrong car")
            && page.text(".record").contains("single-handed")
    );
}

#[tokio::test]
async fn a_bare_finding_is_confirmed_single_handed() {
    let site = Site::new().await;
    new(
        &site,
        &[
            ("what", "bare"),
            ("depth", "through"),
            ("from", "400"),
            ("to", "700"),
        ],
    )
    .await;
    assert_eq!(finding(&site, "f1").await.status, Status::Offered);
    let done = act(&site, "f1", &[("act", "accept")]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(finding(&site, "f1").await.status, Status::Accepted);
    assert!(
        site.get(&site.at("/findings/f1"))
            .await
            .text(".record")
            .contains("single-handed")
    );
}

#[tokio::test]
async fn an_offer_is_declined_with_a_reason() {
    let site = Site::new().await;
    new(
        &site,
        &[
            ("what", "bare"),
            ("depth", "skin"),
            ("from", "400"),
            ("to", "700"),
        ],
    )
    .await;
    let done = act(
        &site,
        "f1",
        &[("act", "decline"), ("reason", "Another model")],
    )
    .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(finding(&site, "f1").await.status, Status::Declined);
    let again = act(&site, "f1", &[("act", "accept")]).await;
    assert_eq!(again.status, StatusCode::PRECONDITION_FAILED, "it is final");
}

#[tokio::test]
async fn a_contradicted_bare_finding_is_resolved_and_taken_back() {
    let site = Site::new().await;
    new(
        &site,
        &[
            ("what", "bare"),
            ("depth", "through"),
            ("from", "100"),
            ("to", "700"),
        ],
    )
    .await;
    act(&site, "f1", &[("act", "accept")]).await;
    let before = site.get(&site.at("/findings/f1")).await;
    assert_eq!(
        before.count("[name=act][value=resolve]"),
        0,
        "nothing contradicts it yet"
    );
    new(&site, &[]).await;
    let done = act(&site, "f1", &[("act", "resolve")]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    let Report::Bare(bare) = finding(&site, "f1").await.report else {
        panic!("bare")
    };
    assert!(bare.resolved.is_some());
    act(&site, "f1", &[("act", "unresolve")]).await;
    let Report::Bare(bare) = finding(&site, "f1").await.report else {
        panic!("bare")
    };
    assert!(bare.resolved.is_none());
}

#[tokio::test]
async fn hostile_words_come_back_as_words() {
    let site = Site::new().await;
    let hostile = "<script>alert(1)</script>";
    new(&site, &[("note", hostile), ("car", hostile)]).await;
    let page = site.get(&site.at("/findings/f1")).await;
    assert!(page.text("dl").contains(hostile));
    assert_eq!(page.count("script:not([src])"), 0);
}

#[tokio::test]
async fn the_list_puts_what_waits_for_a_second_person_first() {
    let site = Site::new().await;
    let empty = site.get(&site.at("/findings")).await;
    assert!(empty.text(".notice").contains("nobody has looked"));
    new(&site, &[]).await;
    new(
        &site,
        &[
            ("what", "bare"),
            ("depth", "skin"),
            ("from", "400"),
            ("to", "700"),
        ],
    )
    .await;
    let list = site.get(&site.at("/findings")).await;
    assert_eq!(list.text(".rows b"), "f2 | f1");
    assert!(
        list.text("h2")
            .starts_with("Waiting for a second person or an officer: 1")
    );
}

#[tokio::test]
async fn the_ruler_to_touch_and_the_zone_before_saving_carry_cautions_date_and_revision() {
    let site = Site::new().await;
    let touched = site.get(&site.at("/findings/new?span=b-pillar.left")).await;
    touched.carries_cautions(".touch svg");
    let previewed = new(&site, &[("act", "preview")]).await;
    previewed.carries_cautions("#f-shrink-seen svg");
}

#[tokio::test]
async fn a_finding_is_begun_from_a_view_by_touch_or_from_its_list() {
    let site = Site::new().await;
    for (view, shown, hidden) in [
        ("left", "b-pillar.left", "b-pillar.right"),
        ("right", "rocker.right", "rocker.left"),
        ("top", "roof-rail.left", "no-such"),
    ] {
        let page = site.get(&site.at(&format!("/sketch/{view}"))).await;
        let axis = |span: &str| format!("[data-touch-view] path[data-span='{span}'][data-mm]");
        assert_eq!(page.count(&axis(shown)), 1, "{view}");
        assert_eq!(page.count(&axis(hidden)), 0, "{view}");
        let listed = format!("a[href$='/findings/new?span={shown}']");
        assert!(page.count(&listed) >= 1, "{view}");
        assert!(page.count("#touched[hidden]") == 1);
    }
    let generic = site.get("/body-styles/sedan/sketch/left").await;
    assert_eq!(generic.count("#touched, a[href*='findings/new']"), 0);
    let span = site.get(&site.at("/spans/b-pillar.left")).await;
    assert_eq!(
        span.count("main a[href$='/findings/new?span=b-pillar.left']"),
        1
    );
    let alone = site.get(&site.at("/sketch.svg?view=left")).await;
    assert_eq!(alone.count("[data-span]"), 0);
}
