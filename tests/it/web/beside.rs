//! Parts beside the structure, found with a tape, and what is asked of a kind.

use super::site::{Answer, Site};
use axum::http::StatusCode;
use pillarbook::domain::body::{FittedBody, StyleId, fit, style};
use pillarbook::domain::finding::{ComponentReport, Place, Report};
use pillarbook::domain::frame::Point;

const LOOK: [(&str, &str); 9] = [
    ("act", "save"),
    ("car", "yard 14"),
    ("by", "Ada Fenn"),
    ("observed_on", "2026-03-04"),
    ("source", "measured"),
    ("unit", "mm"),
    ("end", "foot"),
    ("what", "part"),
    ("kind", "pretensioner"),
];

const TAPE: [(&str, &str); 12] = [
    ("where", "beside"),
    ("span", "rocker.left"),
    ("one_at", "400"),
    ("one_across", "120"),
    ("one_across_way", "inward"),
    ("one_along", ""),
    ("one_up", "5 cm"),
    ("one_up_way", "up"),
    ("two_at", "900"),
    ("two_across", "120"),
    ("two_across_way", "inward"),
    ("two_up", ""),
];

async fn send(site: &Site, rest: &str, changed: &[(&str, &str)]) -> Answer {
    let mut all: Vec<_> = LOOK.iter().chain(&TAPE).copied().collect();
    all.retain(|(name, _)| !changed.iter().any(|(c, _)| c == name));
    all.extend(changed);
    site.post(&site.at(rest), &all).await
}

fn sedan() -> FittedBody {
    fit(style(StyleId::Sedan), &Default::default()).unwrap()
}

async fn part(site: &Site, at: usize) -> ComponentReport {
    let stored = site.stored().await;
    match &stored.card.findings[at].report {
        Report::Component(part) => part.clone(),
        Report::Bare(_) => panic!("a part"),
    }
}

async fn points(site: &Site, at: usize) -> [Point; 2] {
    match part(site, at).await.place {
        Place::Points(ends) => ends,
        place => panic!("two points, not {place:?}"),
    }
}

fn near(found: Point, expected: Point) {
    assert!(
        found.distance(expected) < 0.01,
        "{found:?}, not {expected:?}"
    );
}

#[tokio::test]
async fn a_part_beside_a_span_is_kept_as_two_points_of_the_frame() {
    let site = Site::new().await;
    let saved = send(&site, "/findings/new", &[]).await;
    assert_eq!(
        saved.status,
        StatusCode::SEE_OTHER,
        "{}",
        saved.text(".errors")
    );
    let body = sedan();
    let rocker = &body.span("rocker.left").unwrap().line;
    let [one, two] = points(&site, 0).await;
    // The left side has y < 0: inward is to the right.
    let (a, b) = (rocker.point_at(400.0), rocker.point_at(900.0));
    near(one, Point::new(a.x, a.y + 120.0, a.z + 50.0));
    near(two, Point::new(b.x, b.y + 120.0, b.z));
}

#[tokio::test]
async fn every_way_of_the_tape_goes_its_way() {
    let site = Site::new().await;
    let changed = [
        ("span", "b-pillar.right"),
        ("end", "head"),
        ("one_at", "10 in"),
        ("one_across_way", "outward"),
        ("one_along", "30"),
        ("one_along_way", "forward"),
        ("one_up_way", "down"),
        ("two_span", "rear-header"),
        ("two_at", "100"),
        ("two_across_way", "left"),
        ("two_along", "3 in"),
        ("two_along_way", "rearward"),
    ];
    let saved = send(&site, "/findings/new", &changed).await;
    assert_eq!(
        saved.status,
        StatusCode::SEE_OTHER,
        "{}",
        saved.text(".errors")
    );
    let body = sedan();
    let (pillar, header) = (
        &body.span("b-pillar.right").unwrap().line,
        &body.span("rear-header").unwrap().line,
    );
    let [one, two] = points(&site, 0).await;
    let (a, b) = (
        pillar.point_at(pillar.length() - 254.0),
        header.point_at(header.length() - 100.0),
    );
    near(one, Point::new(a.x - 30.0, a.y + 120.0, a.z - 50.0));
    near(two, Point::new(b.x + 76.2, b.y - 120.0, b.z));
}

#[tokio::test]
async fn a_slip_of_the_tape_is_named_and_what_was_typed_is_kept() {
    let site = Site::new().await;
    for (field, said, changed) in [
        ("one_at", "enter 0 to its length", ("one_at", "9 m")),
        ("one_at", "is not a length", ("one_at", "here")),
        ("two_at", "enter a length", ("two_at", "")),
        ("one_across", "0 to 3000 mm", ("one_across", "-120")),
        ("one_across_way", "choose one", ("one_across_way", "")),
        (
            "one_up_way",
            "not one of the choices",
            ("one_up_way", "sideways"),
        ),
        ("two_span", "no such span", ("two_span", "e-pillar.left")),
        ("span", "choose the pillar", ("span", "")),
        ("where", "not one of the choices", ("where", "near")),
    ] {
        let answer = send(&site, "/findings/new", &[changed]).await;
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
        if changed.0 != "two_span" && changed.0 != "where" && !changed.0.ends_with("way") {
            assert_eq!(answer.value(changed.0), changed.1);
        }
        assert_eq!(answer.value("two_across"), "120");
    }
    let middle = [
        ("span", "tunnel"),
        ("two_span", ""),
        ("one_at", "100"),
        ("two_at", "200"),
    ];
    let answer = send(&site, "/findings/new", &middle).await;
    assert!(answer.fault("one_across_way").contains("left or right"));
    let on_it = [("one_across", ""), ("one_up", ""), ("two_across", "0")];
    let answer = send(&site, "/findings/new", &on_it).await;
    assert!(answer.fault("one_across").contains("choose “on it”"));
    assert_eq!(site.stored().await.revision, 1);
}

#[tokio::test]
async fn a_correction_shows_the_same_two_points_again() {
    let site = Site::new().await;
    send(&site, "/findings/new", &[("one_across", "123.456")]).await;
    let before = points(&site, 0).await;
    let form = site.get(&site.at("/findings/f1/correct")).await;
    assert_eq!(form.count("input[name=where][value=beside][checked]"), 1);
    let names = [
        "span",
        "one_at",
        "one_across",
        "one_across_way",
        "one_along",
        "one_along_way",
        "one_up",
        "one_up_way",
        "two_span",
        "two_at",
        "two_across",
        "two_across_way",
        "two_along",
        "two_along_way",
        "two_up",
        "two_up_way",
        "revision",
        "same_as",
    ];
    let held: Vec<(&str, String)> = names.iter().map(|n| (*n, form.value(n))).collect();
    let mut changed: Vec<(&str, &str)> = held.iter().map(|(n, v)| (*n, v.as_str())).collect();
    changed.extend([("reason", "a better look"), ("shrink_seen", "yes")]);
    let saved = send(&site, "/findings/f1/correct", &changed).await;
    assert_eq!(
        saved.status,
        StatusCode::SEE_OTHER,
        "{}",
        saved.text(".errors")
    );
    let after = points(&site, 1).await;
    for (a, b) in before.into_iter().zip(after) {
        near(b, a);
    }
}

#[tokio::test]
async fn gas_and_steel_are_kept_for_the_kinds_they_are_asked_of() {
    let site = Site::new().await;
    let gas = [
        ("kind", "gas-cylinder"),
        ("pressure_mpa", "62.5"),
        ("volume_cm3", "145"),
        ("gas", "helium, argon"),
        ("bag", "curtain"),
        ("uts_mpa", "1500"),
    ];
    send(&site, "/findings/new", &gas).await;
    let cylinder = part(&site, 0).await;
    assert_eq!(cylinder.gas.pressure_mpa, Some(62.5));
    assert_eq!(cylinder.gas.volume_cm3, Some(145.0));
    assert_eq!(cylinder.gas.gas.as_deref(), Some("helium, argon"));
    assert_eq!(cylinder.steel.uts_mpa, None, "not asked of a cylinder");
    let steel = [
        ("kind", "reinforcement"),
        ("uts_mpa", "1500"),
        ("sheet", "1.6"),
        ("layers", "2"),
        ("perimeter", "12 in"),
        ("pressure_mpa", "62.5"),
    ];
    send(&site, "/findings/new", &steel).await;
    let steel = part(&site, 1).await;
    let round = steel.steel.perimeter_mm.unwrap();
    assert!((round - 304.8).abs() < 1e-9, "{round}");
    assert_eq!(
        (steel.steel.uts_mpa, steel.steel.layers),
        (Some(1500.0), Some(2))
    );
    assert_eq!(steel.gas.pressure_mpa, None, "not asked of steel");
    let form = site.get(&site.at("/findings/f1/correct")).await;
    assert_eq!(form.value("pressure_mpa"), "62.5");
    assert_eq!(form.value("gas"), "helium, argon");
    assert_eq!(form.count("details[data-ask=gas][open]"), 1);
    assert_eq!(form.count("details[data-ask=steel][open]"), 0);
}

#[tokio::test]
async fn figures_of_gas_and_steel_out_of_bounds_say_the_bounds() {
    let site = Site::new().await;
    for (kind, field, typed, said) in [
        ("inflator", "pressure_mpa", "620", "0 to 250 MPa"),
        ("inflator", "pressure_mpa", "NaN", "0 to 250 MPa"),
        ("inflator", "volume_cm3", "-1", "0 to 1000000 cm³"),
        ("composite", "uts_mpa", "0", "1 to 5000 MPa"),
        ("magnesium", "sheet", "20 cm", "0.1 to 100 mm"),
        ("reinforcement", "layers", "1.5", "1 to 50"),
        ("reinforcement", "perimeter", "11 m", "1 to 10000 mm"),
    ] {
        let answer = send(&site, "/findings/new", &[("kind", kind), (field, typed)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        assert!(
            answer.fault(field).contains(said),
            "{field}: {}",
            answer.fault(field)
        );
        assert_eq!(answer.value(field), typed);
        let fold = if kind == "inflator" { "gas" } else { "steel" };
        assert_eq!(
            answer.count(&format!("details[data-ask={fold}][open]")),
            1,
            "{field}"
        );
    }
    assert_eq!(site.stored().await.revision, 1);
}

#[tokio::test]
async fn each_kind_s_key_says_what_is_asked_of_it() {
    let site = Site::new().await;
    let page = site.get(&site.at("/findings/new")).await;
    for (kind, asks) in [
        ("inflator", "bag gas"),
        ("pretensioner", "belt"),
        ("gas-strut", "gas"),
        ("composite", "steel"),
        ("hv-cable", ""),
    ] {
        let key = format!("input[name=kind][value={kind}][data-asks='{asks}']");
        assert_eq!(page.count(&key), 1, "{kind}");
    }
}

#[tokio::test]
async fn a_strip_session_takes_parts_beside_a_span_and_their_other_side() {
    let site = Site::new().await;
    let strip = site.at("/strip");
    let begin: Vec<_> = LOOK.iter().copied().filter(|(n, _)| *n != "act").collect();
    let mut fields = begin.clone();
    fields.extend([("act", "begin"), ("version", "0")]);
    site.post(&strip, &fields).await;
    let mut fields: Vec<_> = TAPE.to_vec();
    let version = site.get(&strip).await.version();
    fields.extend([
        ("act", "add"),
        ("version", version.as_str()),
        ("end", "foot"),
        ("what", "part"),
        ("kind", "inflator"),
        ("pressure_mpa", "60"),
    ]);
    let added = site.post(&strip, &fields).await;
    assert_eq!(
        added.status,
        StatusCode::SEE_OTHER,
        "{}",
        added.text(".errors")
    );
    let page = site.get(&strip).await;
    assert!(page.text(".entered").contains("beside it; "));
    let version = page.version();
    site.post(&strip, &[("act", "mirror:0"), ("version", &version)])
        .await;
    let version = site.get(&strip).await.version();
    let saved = site
        .post(&strip, &[("act", "save"), ("version", &version)])
        .await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let (own, other) = (points(&site, 0).await, points(&site, 1).await);
    for (a, b) in own.into_iter().zip(other) {
        near(b, a.mirrored());
    }
    assert_eq!(part(&site, 0).await.gas.pressure_mpa, Some(60.0));
}
