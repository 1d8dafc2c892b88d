//! Notes on their pages: written, answered, settled, by who may; photos in and
//! out.

use super::door::{Answered, Door, Who};
use crate::photo::made;
use axum::http::{StatusCode, header};
use pillarbook::domain::annotation::{Picture, Standing, Target};
use pillarbook::domain::visibility::Visibility;
use scraper::{Html, Selector};
use time::OffsetDateTime;

/// Markup that would run if it were not escaped.
pub const SCRIPT: &str = "</textarea><script>alert(1)</script>\"'><img src=x onerror=alert(1)>";

pub fn notes(door: &Door, below: &str) -> String {
    format!("/cards/{}/notes{below}", door.card)
}

pub async fn write(door: &Door, who: Who, fields: &[(&str, &str)]) -> Answered {
    door.upload(who, &notes(door, "/new"), fields, None).await
}

pub async fn annotations(door: &Door) -> Vec<pillarbook::domain::annotation::Annotation> {
    let own = &door.members[&Who::Member].department;
    let card = door.store.card(own, &door.card).await.unwrap();
    card.unwrap().card.annotations
}

/// Makes the other department a partner that reads the card.
async fn share(door: &Door) {
    let (keeper, other) = (&door.members[&Who::Keeper], &door.members[&Who::Stranger]);
    let now = OffsetDateTime::now_utc();
    door.store
        .ask_partner(keeper, &other.department, now)
        .await
        .unwrap();
    door.store
        .accept_partner(other, &keeper.department, now)
        .await
        .unwrap();
    door.store
        .set_visibility(keeper, &door.card, Visibility::Partners, now)
        .await
        .unwrap();
}

pub fn count(page: &str, selector: &str) -> usize {
    Html::parse_document(page)
        .select(&Selector::parse(selector).unwrap())
        .count()
}

#[tokio::test]
async fn a_note_of_each_kind_is_written_and_shown_where_it_belongs() {
    let door = &Door::new().await;
    let empty = door.get(Who::Trainer, &notes(door, "")).await;
    assert!(empty.body.contains("No open note."));
    assert!(!empty.body.contains("Write a note"), "a trainer reads");
    for fields in [
        &[("about", "card"), ("text", "Whole")][..],
        &[
            ("about", "station"),
            ("span", "b-pillar.left"),
            ("at", "12 in"),
            ("end", "foot"),
            ("text", "Low"),
        ],
        &[
            ("about", "station"),
            ("span", "b-pillar.left"),
            ("at", "100"),
            ("end", "head"),
            ("text", "High"),
        ],
        &[
            ("about", "place"),
            ("view", "top"),
            ("spot_a", "1200"),
            ("spot_b", "-450 mm"),
            ("text", "Here"),
        ],
        &[
            ("about", "arrow"),
            ("view", "left"),
            ("spot_a", "1200"),
            ("spot_b", "600"),
            ("tail_a", "900"),
            ("tail_b", "400"),
            ("label", "wiring"),
            ("text", "There"),
        ],
    ] {
        let made = write(door, Who::Member, fields).await;
        assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
        let page = door.get(Who::Keeper, &made.location).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(page.body.contains("Member Fenn, Local department"));
    }
    let all = annotations(door).await;
    let Target::Station { at_mm: low, .. } = all[1].target else {
        panic!("{:?}", all[1])
    };
    let Target::Station { at_mm: high, .. } = all[2].target else {
        panic!("{:?}", all[2])
    };
    assert!((low - 304.8).abs() < 1e-9 && high > 500.0, "{low} {high}");
    let place = Target::Place {
        picture: Picture::Top,
        at_mm: [1_200.0, -450.0],
    };
    assert_eq!(all[3].target, place);

    let card = format!("/cards/{}", door.card);
    let list = door.get(Who::NoRole, &notes(door, "")).await.body;
    assert_eq!(count(&list, "article.remark"), 5);
    assert!(door.get(Who::Member, &card).await.body.contains("Notes: 5"));
    let left = door
        .get(Who::Member, &format!("{card}/sketch/left"))
        .await
        .body;
    assert!(left.contains("n5 wiring") && left.contains("There"));
    let hidden = door
        .get(Who::Member, &format!("{card}/sketch/left?notes=hide"))
        .await
        .body;
    assert!(!hidden.contains("n5 wiring") && hidden.contains("Show the notes"));
    let print = door.get(Who::Member, &format!("{card}/print")).await.body;
    assert!(
        print.contains("n2  B-pillar") && print.contains("Leave the notes out"),
        "{print}"
    );
    let print = door
        .get(Who::Member, &format!("{card}/print?notes=hide"))
        .await
        .body;
    assert!(!print.contains("sheet-notes") && print.contains("Print the notes"));
}

#[tokio::test]
async fn replies_and_standing_follow_who_asks() {
    let door = &Door::new().await;
    let note = write(door, Who::Member, &[("about", "card"), ("text", "Seen")])
        .await
        .location;
    let answer = door
        .post(
            Who::Officer,
            &note,
            &[("do", "reply"), ("text", "Here too")],
        )
        .await;
    assert_eq!(answer.location, note);
    let page = door.get(Who::Member, &note).await.body;
    assert!(page.contains("Here too") && page.contains("Officer Fenn"));
    assert!(page.contains("Resolve n1") && !page.contains("Resolve n2"));

    let settle = async |who, id: &str, to: &str, reason: &str| {
        let fields = [("do", "settle"), ("id", id), ("to", to), ("reason", reason)];
        door.post(who, &note, &fields).await.status
    };
    assert_eq!(
        settle(Who::Trainer, "n1", "hidden", "").await,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        settle(Who::Member, "n2", "withdrawn", "not mine").await,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        settle(Who::Member, "n9", "hidden", "").await,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        settle(Who::Member, "n1", "gone", "").await,
        StatusCode::BAD_REQUEST
    );
    assert_eq!(
        settle(Who::Member, "n1", "withdrawn", "").await,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        settle(Who::Member, "n1", "resolved", "").await,
        StatusCode::SEE_OTHER
    );
    // Two at once: the second is shown what the first did.
    assert_eq!(
        settle(Who::Officer, "n1", "hidden", "").await,
        StatusCode::PRECONDITION_FAILED
    );
    let list = door.get(Who::Member, &notes(door, "")).await.body;
    assert!(list.contains("Resolved: 1") && list.contains("No open note."));
    let card = door
        .get(Who::Member, &format!("/cards/{}", door.card))
        .await
        .body;
    assert!(
        !card.contains("Notes: 1"),
        "what is resolved is not counted"
    );
    assert_eq!(
        settle(Who::Member, "n1", "open", "").await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        settle(Who::Member, "n1", "withdrawn", "wrong car").await,
        StatusCode::SEE_OTHER
    );
    let late = door
        .post(Who::Officer, &note, &[("do", "reply"), ("text", "Late")])
        .await;
    assert_eq!(late.status, StatusCode::PRECONDITION_FAILED);
    assert!(late.body.contains("somebody else was here first"));
    let nothing = door.post(Who::Member, &note, &[("do", "burn")]).await;
    assert_eq!(nothing.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn a_partner_offers_and_sees_only_what_is_for_all_and_a_stranger_nothing() {
    let door = &Door::new().await;
    let note = write(door, Who::Member, &[("about", "card"), ("text", "Ours")])
        .await
        .location;
    let photo = made::jpeg(64, 48, 1);
    let fields = [("do", "photo"), ("alt", "a view")];
    door.upload(Who::Member, &note, &fields, Some(("a.jpg", &photo)))
        .await;
    let name = annotations(door).await[0].note.photos[0].name.clone();
    let photo = format!("/cards/{}/photos/{name}", door.card);
    let paths = [
        notes(door, ""),
        notes(door, "/new"),
        note.clone(),
        photo.clone(),
        format!("{photo}/small"),
    ];
    for path in &paths {
        assert_eq!(
            door.get(Who::Stranger, path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
    assert_eq!(
        write(door, Who::Stranger, &[("about", "card"), ("text", "x")])
            .await
            .status,
        StatusCode::NOT_FOUND
    );

    share(door).await;
    for path in &paths {
        assert_eq!(
            door.get(Who::Stranger, path).await.status,
            StatusCode::OK,
            "{path}"
        );
    }
    let offered = write(
        door,
        Who::Stranger,
        &[("about", "card"), ("text", "Theirs")],
    )
    .await;
    assert_eq!(offered.status, StatusCode::SEE_OTHER);
    assert_eq!(annotations(door).await[1].note.standing, Standing::Offered);
    let page = door.get(Who::Officer, &offered.location).await.body;
    assert!(page.contains("Stranger Fenn, Saltby") && page.contains("Accept n2"));
    assert!(
        !door
            .get(Who::Member, &offered.location)
            .await
            .body
            .contains("Accept n2")
    );
    let print = door
        .get(Who::Member, &format!("/cards/{}/print", door.card))
        .await
        .body;
    assert!(print.contains("OFFERED, not accepted: Theirs"));
    let accept = [("do", "settle"), ("id", "n2"), ("to", "open")];
    assert_eq!(
        door.post(Who::Stranger, &offered.location, &accept)
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    let hide = [("do", "settle"), ("id", "n1"), ("to", "hidden")];
    assert_eq!(
        door.post(Who::Member, &note, &hide).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        door.get(Who::Stranger, &note).await.status,
        StatusCode::NOT_FOUND,
        "hidden is the owner’s"
    );
    for path in [&photo, &format!("{photo}/small")] {
        let theirs = door.get(Who::Stranger, path).await.status;
        assert_eq!(theirs, StatusCode::NOT_FOUND, "its photo too");
        assert_eq!(door.get(Who::Trainer, path).await.status, StatusCode::OK);
    }
    let api = format!("/api/v1/cards/{}/annotations", door.card);
    let theirs = door.get(Who::Stranger, &api).await.body;
    assert!(
        theirs.contains("Theirs") && !theirs.contains("Ours"),
        "{theirs}"
    );
    assert!(door.get(Who::Trainer, &api).await.body.contains("Ours"));
    let decline = [
        ("do", "settle"),
        ("id", "n2"),
        ("to", "declined"),
        ("reason", "another model"),
    ];
    assert_eq!(
        door.post(Who::Officer, &offered.location, &decline)
            .await
            .status,
        StatusCode::SEE_OTHER
    );
    let theirs = door.get(Who::Stranger, &offered.location).await;
    assert!(
        theirs.body.contains("another model"),
        "who offered it learns why"
    );
}

#[tokio::test]
async fn a_photo_goes_in_with_place_and_device_and_comes_out_without() {
    let door = &Door::new().await;
    let sent = made::jpeg(3_000, 2_000, 6);
    let fields = [
        ("about", "card"),
        ("text", "Trim off"),
        ("alt", "pillar, trim off"),
    ];
    let made = door
        .upload(
            Who::Member,
            &notes(door, "/new"),
            &fields,
            Some(("IMG_1.HEIC", &sent)),
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let kept = annotations(door).await[0].note.photos[0].clone();
    assert_eq!(
        (kept.alt.as_str(), kept.width_px, kept.height_px),
        ("pillar, trim off", 1_365, 2_048)
    );
    assert!(!kept.name.contains("IMG"), "the name is drawn here");
    let path = format!("/cards/{}/photos/{}", door.card, kept.name);
    for path in [path.clone(), format!("{path}/small")] {
        let out = door.get(Who::NoRole, &path).await;
        assert_eq!(out.status, StatusCode::OK);
        let said = |name: header::HeaderName| out.headers[name].to_str().unwrap();
        assert_eq!(said(header::CONTENT_TYPE), "image/jpeg");
        assert_eq!(said(header::X_CONTENT_TYPE_OPTIONS), "nosniff");
        assert_eq!(
            said(header::CACHE_CONTROL),
            "private, max-age=31536000, immutable"
        );
        let mut bytes = std::io::Cursor::new(out.bytes.as_ref());
        assert!(exif::Reader::new().read_from_container(&mut bytes).is_err());
        assert!(!out.bytes.windows(8).any(|w| w == b"Invented"));
    }
    let page = door.get(Who::Member, &made.location).await.body;
    assert_eq!(count(&page, "img[alt='pillar, trim off']"), 1);
    assert_eq!(
        door.get(Who::Anonymous, &path).await.status,
        StatusCode::SEE_OTHER
    );

    let no_reason = [
        ("do", "remove-photo"),
        ("photo_name", kept.name.as_str()),
        ("reason", ""),
    ];
    let asked = door.post(Who::Member, &made.location, &no_reason).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    let remove = [
        ("do", "remove-photo"),
        ("photo_name", kept.name.as_str()),
        ("reason", "a face"),
    ];
    assert_eq!(
        door.post(Who::Officer, &made.location, &remove)
            .await
            .status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        door.get(Who::Member, &path).await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        door.post(Who::Officer, &made.location, &remove)
            .await
            .status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_finding_leads_to_the_notes_about_it() {
    let door = &Door::new().await;
    let member = &door.members[&Who::Member];
    let finding = crate::store::component("f1", "c1", 80.0, 200.0);
    let now = OffsetDateTime::now_utc();
    let added = door
        .store
        .add_findings(member, &door.card, None, &[finding], now)
        .await;
    added.unwrap().unwrap();
    let finding = format!("/cards/{}/findings/f1", door.card);
    let page = door.get(Who::Member, &finding).await.body;
    assert!(page.contains("about=finding&amp;finding=f1"), "{page}");
    let fields = [("about", "finding"), ("finding", "f1"), ("text", SCRIPT)];
    let made = write(door, Who::Member, &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let page = door.get(Who::Member, &finding).await.body;
    assert!(page.contains("Notes about it") && page.contains(&made.location));
    assert!(!page.contains("<script>alert"));
}

#[tokio::test]
async fn a_touch_on_the_picture_fills_the_place_without_scripts() {
    let door = &Door::new().await;
    let touched = "/new?about=place&view=left&end_touched=spot&touch.x=160&touch.y=120";
    let page = door.get(Who::Member, &notes(door, touched)).await.body;
    let html = Html::parse_document(&page);
    let value = |name: &str| {
        let field = Selector::parse(&format!("form.entry input[name={name}]")).unwrap();
        html.select(&field)
            .next()
            .unwrap()
            .attr("value")
            .unwrap()
            .to_owned()
    };
    let mm = |name: &str| value(name).trim_end_matches(" mm").parse::<f64>().unwrap();
    // The middle of the picture is about the middle of a sedan.
    assert!((800.0..2_200.0).contains(&mm("spot_a")), "{}", mm("spot_a"));
    assert!((0.0..2_500.0).contains(&mm("spot_b")), "{}", mm("spot_b"));
    let image = Selector::parse("input[type=image]").unwrap();
    let src = html
        .select(&image)
        .next()
        .unwrap()
        .attr("src")
        .unwrap()
        .to_owned();
    let drawing = door.get(Who::Member, &src).await;
    assert_eq!(drawing.status, StatusCode::OK);
    assert!(drawing.body.contains(">here<"), "what was touched is shown");
    let by_keys = "/new?about=place&view=left&touch.x=0&touch.y=0";
    let page = door.get(Who::Member, &notes(door, by_keys)).await.body;
    assert!(page.contains("name=\"spot_a\" value=\"\""));
}
