//! A strip session from the first page to the findings on the card.

use super::site::{Answer, Site};
use axum::http::StatusCode;
use pillarbook::domain::finding::{Depth, Place, Report, Source, Status};
use pillarbook::domain::kind::Kind;

const BEGIN: [(&str, &str); 7] = [
    ("act", "begin"),
    ("car", "yard 14"),
    ("by", "Ada Fenn"),
    ("observed_on", "2026-03-04"),
    ("source", "measured"),
    ("unit", "in"),
    ("year", "2021"),
];

const PART: [(&str, &str); 6] = [
    ("act", "add"),
    ("span", "b-pillar.left"),
    ("end", "foot"),
    ("what", "part"),
    ("from", "3 1/8"),
    ("to", "8 1/4"),
];

/// The field at fault, what is said of it, what was typed.
type Case = (
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

async fn begun() -> Site {
    let site = Site::new().await;
    let begun = site.post(&site.at("/strip"), &BEGIN).await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER);
    site
}

async fn send(site: &Site, fields: &[(&str, &str)]) -> Answer {
    let page = site.get(&site.at("/strip")).await;
    let version = page.version();
    let mut all = vec![("version", version.as_str())];
    all.extend(fields);
    site.post(&site.at("/strip"), &all).await
}

async fn add(site: &Site, fields: &[(&str, &str)]) -> Answer {
    let mut all: Vec<_> = PART.to_vec();
    all.retain(|(name, _)| !fields.iter().any(|(f, _)| f == name));
    all.extend(fields);
    send(site, &all).await
}

#[tokio::test]
async fn five_entries_become_findings_all_at_once() {
    let site = begun().await;
    let pretensioner = [
        ("kind", "pretensioner"),
        ("across", "2 in"),
        ("belt_seat", "front-left"),
    ];
    assert_eq!(
        add(&site, &pretensioner).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        send(&site, &[("act", "mirror:0")]).await.status,
        StatusCode::SEE_OTHER
    );
    let cylinder = [
        ("span", "roof-rail.left"),
        ("kind", "gas-cylinder"),
        ("bag", "curtain"),
        ("from", "300 mm"),
        ("to", "4 hands"),
    ];
    add(&site, &cylinder).await;
    add(
        &site,
        &[
            ("what", "bare"),
            ("depth", "through"),
            ("from", "400 mm"),
            ("to", "700 mm"),
        ],
    )
    .await;
    add(
        &site,
        &[
            ("what", "bare"),
            ("depth", "skin"),
            ("span", "a-pillar.left"),
            ("from", "100 mm"),
            ("to", "300 mm"),
        ],
    )
    .await;
    let page = site.get(&site.at("/strip")).await;
    assert_eq!(page.count(".entered > li"), 5);
    assert!(page.text(".entered").contains("told, nobody looked"));
    assert_eq!(
        site.stored().await.card.findings.len(),
        0,
        "nothing is saved yet"
    );

    let saved = send(&site, &[("act", "save"), ("confirm_bare", "yes")]).await;
    assert_eq!(
        (saved.status, saved.location),
        (StatusCode::SEE_OTHER, site.at(""))
    );
    let findings = site.stored().await.card.findings;
    assert_eq!(findings.len(), 5);
    let ids: Vec<&str> = findings.iter().map(|f| f.id.as_str()).collect();
    assert_eq!(ids, ["f1", "f2", "f3", "f4", "f5"]);

    let Report::Component(part) = &findings[0].report else {
        panic!("a part")
    };
    assert_eq!(
        (part.kind, part.component.as_str()),
        (Kind::Pretensioner, "c1")
    );
    assert_eq!(part.radius_mm, Some(25.4));
    let Place::OnSpan { from_mm, to_mm, .. } = part.place else {
        panic!("on a span")
    };
    assert!((from_mm - 79.375).abs() < 1e-9 && (to_mm - 209.55).abs() < 1e-9);
    assert_eq!(findings[0].car.as_deref(), Some("yard 14"));
    assert_eq!(findings[0].observed.year, Some(2021));

    let Report::Component(other) = &findings[1].report else {
        panic!("a part")
    };
    assert_eq!(other.component, "c2", "the other side is a part of its own");
    assert_eq!(other.belt_seat.as_deref(), Some("front-right"));
    assert!(matches!(&other.place, Place::OnSpan { span, .. } if span == "b-pillar.right"));
    assert_eq!(
        (findings[1].source, &findings[1].car),
        (Source::Told, &None)
    );

    let Report::Bare(bare) = &findings[3].report else {
        panic!("bare")
    };
    assert_eq!(
        (bare.depth, findings[3].status),
        (Depth::Through, Status::Accepted)
    );
    let log = site
        .store
        .status_log(&site.actor.department, &site.card)
        .await
        .unwrap()
        .unwrap();
    let confirmed = log
        .iter()
        .find(|e| e.finding == "f4" && e.status == Status::Accepted);
    assert!(
        confirmed.unwrap().single_handed,
        "the record says there was no second person"
    );
    assert_eq!(
        site.get(&site.at("/strip")).await.count("[name=car]"),
        1,
        "the next session begins anew"
    );
}

#[tokio::test]
async fn bare_stays_offered_unless_confirmed() {
    let site = begun().await;
    add(&site, &[("what", "bare"), ("depth", "skin")]).await;
    send(&site, &[("act", "save")]).await;
    assert_eq!(site.stored().await.card.findings[0].status, Status::Offered);
}

#[tokio::test]
async fn the_zone_appears_before_saving() {
    let site = begun().await;
    add(&site, &[("kind", "pretensioner")]).await;
    let page = site.get(&site.at("/strip")).await;
    assert!(
        page.text(".changes").contains("grows by"),
        "{}",
        page.text(".changes")
    );
    assert!(page.text(".changes").contains("none recorded"));
    assert_eq!(page.count("section .drawn svg"), 1);
    page.carries_cautions("section .drawn svg");
    assert_eq!(site.stored().await.revision, 1);
}

#[tokio::test]
async fn a_warning_names_the_entry_it_is_about() {
    let site = begun().await;
    add(&site, &[("kind", "pretensioner")]).await;
    add(&site, &[("kind", "inflator"), ("from", "20"), ("to", "24")]).await;
    let page = site.get(&site.at("/strip")).await.page.html();
    assert!(page.contains("entry 2 rests on one car"), "{page}");
    assert!(!page.contains("c2 rests on"));
    for way in ["#next", "#save"] {
        assert!(page.contains(&format!("href=\"{way}\"")), "{way}");
        assert!(page.contains(&format!("id=\"{}\"", &way[1..])), "{way}");
    }
}

#[tokio::test]
async fn nothing_entered_is_lost_by_a_reload_and_the_last_can_be_undone() {
    let site = begun().await;
    add(&site, &[("kind", "pretensioner")]).await;
    add(&site, &[("kind", "inflator"), ("span", "c-pillar.left")]).await;
    for _ in 0..2 {
        assert_eq!(site.get(&site.at("/strip")).await.count(".entered > li"), 2);
    }
    send(&site, &[("act", "undo")]).await;
    let page = site.get(&site.at("/strip")).await;
    assert_eq!(page.count(".entered > li"), 1);
    assert!(page.text(".entered").contains("pretensioner"));
    send(&site, &[("act", "discard")]).await;
    assert_eq!(site.get(&site.at("/strip")).await.count(".entered > li"), 0);
    assert_eq!(site.stored().await.card.findings.len(), 0);
}

#[tokio::test]
async fn stations_can_be_taken_from_the_head() {
    let site = begun().await;
    add(
        &site,
        &[
            ("kind", "pretensioner"),
            ("end", "head"),
            ("from", "100 mm"),
            ("to", "200 mm"),
        ],
    )
    .await;
    send(&site, &[("act", "save")]).await;
    let stored = site.stored().await;
    let Report::Component(part) = &stored.card.findings[0].report else {
        panic!("a part")
    };
    let Place::OnSpan { from_mm, to_mm, .. } = part.place else {
        panic!("on a span")
    };
    let body = pillarbook::domain::body::style(stored.card.vehicle.body_style);
    let span = body.spans.iter().find(|s| s.id == "b-pillar.left").unwrap();
    let whole = span.line.length();
    assert!((from_mm - (whole - 200.0)).abs() < 1e-9 && (to_mm - (whole - 100.0)).abs() < 1e-9);
}

#[tokio::test]
async fn each_bad_entry_is_named_at_its_field_and_adds_nothing() {
    let site = begun().await;
    let cases: [Case; 11] = [
        (
            "from",
            "swap the two",
            &[("kind", "inflator"), ("from", "9"), ("to", "3")],
        ),
        ("to", "long", &[("kind", "inflator"), ("to", "9 m")]),
        (
            "from",
            "is not a length",
            &[("kind", "inflator"), ("from", "NaN")],
        ),
        (
            "from",
            "is not a length",
            &[("kind", "inflator"), ("from", "inf")],
        ),
        ("to", "comma", &[("kind", "inflator"), ("to", "8,25")]),
        (
            "across",
            "no part of a car",
            &[("kind", "inflator"), ("across", "9000 mm")],
        ),
        (
            "across",
            "no part of a car",
            &[("kind", "inflator"), ("across", "-3")],
        ),
        ("kind", "not one of the choices", &[("kind", "flux")]),
        ("kind", "choose one", &[]),
        (
            "span",
            "no such span",
            &[("kind", "inflator"), ("span", "e-pillar.left")],
        ),
        ("depth", "choose one", &[("what", "bare")]),
    ];
    for (field, said, fields) in cases {
        let answer = add(&site, fields).await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}"
        );
        assert!(
            answer.fault(field).contains(said),
            "{fields:?}: {}",
            answer.fault(field)
        );
        for (name, typed) in fields
            .iter()
            .filter(|(n, _)| ["from", "to", "across"].contains(n))
        {
            assert_eq!(answer.value(name), *typed, "what was typed stays");
        }
    }
    assert_eq!(site.get(&site.at("/strip")).await.count(".entered > li"), 0);
}

#[tokio::test]
async fn a_session_without_its_car_is_refused() {
    let site = Site::new().await;
    for (field, typed, said) in [
        ("car", "", "name the car"),
        ("source", "rumour", "choose one"),
        ("observed_on", "2199-01-01", "has not come yet"),
        ("observed_on", "yesterday", "year-month-day"),
        ("by", "", "who looked"),
        ("year", "1850", "1900 to 2100"),
    ] {
        let mut fields: Vec<_> = BEGIN.to_vec();
        fields.retain(|(name, _)| *name != field);
        fields.push((field, typed));
        let answer = site.post(&site.at("/strip"), &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        assert!(
            answer.fault(field).contains(said),
            "{field}: {}",
            answer.fault(field)
        );
    }
}

#[tokio::test]
async fn bare_is_never_said_of_the_other_side_nor_by_hearsay() {
    let site = begun().await;
    add(&site, &[("what", "bare"), ("depth", "skin")]).await;
    let mirrored = send(&site, &[("act", "mirror:0")]).await;
    assert_eq!(mirrored.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(mirrored.text(".errors").contains("look at the other side"));
    assert_eq!(
        site.get(&site.at("/strip"))
            .await
            .count(".entered button[value^='mirror']"),
        0
    );

    let told = Site::new().await;
    let mut fields: Vec<_> = BEGIN.to_vec();
    fields.retain(|(name, _)| *name != "source");
    fields.push(("source", "told"));
    told.post(&told.at("/strip"), &fields).await;
    let answer = add(&told, &[("what", "bare"), ("depth", "skin")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.fault("what").contains("trim off"));
}

#[tokio::test]
async fn a_page_left_behind_adds_nothing_unseen() {
    let site = begun().await;
    let old = site.get(&site.at("/strip")).await.version();
    add(&site, &[("kind", "pretensioner")]).await;
    let mut fields: Vec<_> = PART.to_vec();
    fields.extend([("kind", "inflator"), ("version", &old)]);
    let late = site.post(&site.at("/strip"), &fields).await;
    assert_eq!(late.status, StatusCode::PRECONDITION_FAILED);
    assert_eq!(late.value("from"), "3 1/8", "what was typed stays");
    assert_eq!(site.get(&site.at("/strip")).await.count(".entered > li"), 1);
}

#[tokio::test]
async fn an_entry_for_a_session_that_ended_elsewhere_says_that_it_is_not_recorded() {
    let site = begun().await;
    let version = site.get(&site.at("/strip")).await.version();
    send(&site, &[("act", "discard")]).await;
    let mut late = PART.to_vec();
    late.extend([("version", version.as_str()), ("kind", "pretensioner")]);
    let answer = site.post(&site.at("/strip"), &late).await;
    assert_eq!(answer.status, StatusCode::PRECONDITION_FAILED);
    let said = answer.page.html();
    for word in [
        "discarded in another window",
        "not recorded",
        "From: 3 1/8",
        "pretensioner",
    ] {
        assert!(said.contains(word), "{word}");
    }
    for act in ["save", "undo", "discard", "mirror:0"] {
        let answer = site
            .post(&site.at("/strip"), &[("act", act), ("version", &version)])
            .await;
        assert_eq!(answer.status, StatusCode::PRECONDITION_FAILED, "{act}");
    }
    assert_eq!(site.stored().await.card.findings.len(), 0);
}

#[tokio::test]
async fn a_form_of_another_site_adds_nothing() {
    let site = begun().await;
    let mut fields: Vec<_> = PART.to_vec();
    fields.extend([("kind", "inflator"), ("version", "1")]);
    let sent = site
        .post_from(&site.at("/strip"), &fields, "http://elsewhere.test")
        .await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
    assert_eq!(site.get(&site.at("/strip")).await.count(".entered > li"), 0);
}
