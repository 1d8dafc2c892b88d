//! What a link shows of notes and photos without an account, what it never does,
//! and that it ends.

use super::door::{Answered, Door, Who};
use crate::photo::made;
use axum::http::{HeaderMap, Method, StatusCode, header};
use pillarbook::domain::annotation::Annotation;
use pillarbook::secret;
use pillarbook::store::CardId;
use scraper::{Html, Selector};
use time::{Duration, OffsetDateTime};

/// A link to a card that works for so long from now on.
async fn link_to(door: &Door, card: &CardId, works: Duration) -> String {
    let (now, secret) = (OffsetDateTime::now_utc(), secret::draw());
    let keeper = &door.members[&Who::Keeper];
    let made_at = now - Duration::days(1);
    let made = door
        .store
        .make_link(keeper, card, (&secret, "Engine 4"), now + works, made_at)
        .await;
    made.unwrap().unwrap();
    format!("/shared/{secret}")
}

/// A note with a photo, as a member sends it.
async fn note(door: &Door, card: &CardId, fields: &[(&str, &str)]) -> Answered {
    let alt = [("alt", "pillar, trim off")];
    let fields: Vec<_> = fields.iter().chain(&alt).copied().collect();
    let sent = made::jpeg(640, 480, 1);
    let path = format!("/cards/{card}/notes/new");
    let made = door
        .upload(Who::Member, &path, &fields, Some(("a.jpg", &sent)))
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    made
}

async fn settle(door: &Door, note: &str, id: &str, to: &str) {
    let fields = [("do", "settle"), ("id", id), ("to", to), ("reason", "so")];
    let done = door.post(Who::Officer, note, &fields).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
}

async fn annotations(door: &Door, card: &CardId) -> Vec<Annotation> {
    let own = &door.members[&Who::Member].department;
    let card = door.store.card(own, card).await.unwrap();
    card.unwrap().card.annotations
}

/// The name of the only photo of a note.
fn photo(annotation: &Annotation) -> &str {
    &annotation.note.photos[0].name
}

/// Where the pictures of a page are.
fn images(page: &str) -> Vec<String> {
    let html = Html::parse_document(page);
    let images = Selector::parse("img").unwrap();
    let src = html.select(&images).map(|i| i.attr("src").unwrap());
    src.map(str::to_owned).collect()
}

fn said(headers: &HeaderMap, name: &str) -> String {
    headers[name].to_str().unwrap().to_owned()
}

const ARROW: [(&str, &str); 8] = [
    ("about", "arrow"),
    ("view", "left"),
    ("spot_a", "1200"),
    ("spot_b", "600"),
    ("tail_a", "900"),
    ("tail_b", "400"),
    ("label", "wiring"),
    ("text", "A thick harness"),
];

#[tokio::test]
async fn notes_arrows_and_photos_show_without_an_account_and_are_kept_by_nobody() {
    let door = &Door::new().await;
    note(door, &door.card, &ARROW).await;
    let link = link_to(door, &door.card, Duration::days(7)).await;
    let page = door.get(Who::Anonymous, &link).await;
    assert_eq!(page.status, StatusCode::OK);
    for word in [
        "A thick harness",
        "n1 wiring",
        "Member Fenn, Local department",
    ] {
        assert!(page.body.contains(word), "{word}");
    }
    let html = Html::parse_document(&page.body);
    let words = |selector: &str| -> String {
        let selector = Selector::parse(selector).unwrap();
        html.select(&selector).flat_map(|e| e.text()).collect()
    };
    let further = words(".further");
    assert!(further.contains("Expose and look before every cut") && further.contains("Revision 2"));
    assert!(
        words("header.bar nav").is_empty(),
        "it leads into no account"
    );
    let robots = Selector::parse("meta[name=robots]").unwrap();
    let robots = html
        .select(&robots)
        .next()
        .and_then(|m| m.attr("content"))
        .unwrap();
    assert!(robots.contains("noindex"));

    let shown = images(&page.body);
    let all = annotations(door, &door.card).await;
    assert_eq!(shown, [format!("{link}/photos/{}", photo(&all[0]))]);
    let seen = door.get(Who::Anonymous, &shown[0]).await;
    assert_eq!(seen.status, StatusCode::OK);
    assert_eq!(said(&seen.headers, "content-type"), "image/jpeg");
    assert_eq!(said(&seen.headers, "x-content-type-options"), "nosniff");
    assert!(said(&seen.headers, "content-security-policy").contains("default-src 'none'"));
    let picture = image::load_from_memory(&seen.bytes).unwrap();
    assert_eq!((picture.width(), picture.height()), (640, 480));
    for headers in [&page.headers, &seen.headers] {
        assert_eq!(said(headers, "cache-control"), "private, no-store");
        assert!(said(headers, "x-robots-tag").contains("noindex"));
        assert_eq!(said(headers, "referrer-policy"), "no-referrer");
        assert!(!headers.contains_key(header::SET_COOKIE));
    }

    let words_alone = door
        .get(Who::Anonymous, &format!("{link}?notes=words"))
        .await;
    assert!(words_alone.body.contains("A thick harness") && images(&words_alone.body).is_empty());
    let without = door
        .get(Who::Anonymous, &format!("{link}?notes=hide"))
        .await;
    assert!(!without.body.contains("A thick harness") && images(&without.body).is_empty());
    let strange = door.get(Who::Anonymous, &format!("{link}?notes=all")).await;
    assert_eq!(strange.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn what_is_not_for_all_and_what_is_of_another_card_never_shows_by_a_link() {
    let door = &Door::new().await;
    let member = &door.members[&Who::Member];
    let other = door
        .store
        .create_card(member, &super::site::details(), OffsetDateTime::now_utc())
        .await;
    let other = other.unwrap().id;
    note(door, &other, &[("about", "card"), ("text", "Elsewhere")]).await;
    let mut paths = Vec::new();
    for text in [
        "Stays",
        "Is hidden",
        "Is withdrawn",
        "Is resolved",
        "Has it removed",
    ] {
        let made = note(door, &door.card, &[("about", "card"), ("text", text)]).await;
        paths.push(made.location);
    }
    // A reply that stands, to a note that does not.
    let reply = [("do", "reply"), ("text", "Answer"), ("alt", "the same")];
    let sent = made::jpeg(320, 240, 1);
    let answered = door
        .upload(Who::Member, &paths[1], &reply, Some(("b.jpg", &sent)))
        .await;
    assert_eq!(answered.status, StatusCode::SEE_OTHER);
    for (path, id, to) in [
        (&paths[1], "n2", "hidden"),
        (&paths[2], "n3", "withdrawn"),
        (&paths[3], "n4", "resolved"),
    ] {
        settle(door, path, id, to).await;
    }
    let all = annotations(door, &door.card).await;
    let names: Vec<String> = all
        .iter()
        .flat_map(Annotation::remarks)
        .flat_map(|r| r.photos.iter().map(|p| p.name.clone()))
        .collect();
    assert_eq!(names.len(), 6);
    let remove = [
        ("do", "remove-photo"),
        ("photo_name", photo(&all[4])),
        ("reason", "a face"),
    ];
    let removed = door.post(Who::Officer, &paths[4], &remove).await;
    assert_eq!(removed.status, StatusCode::SEE_OTHER);

    let link = link_to(door, &door.card, Duration::days(1)).await;
    let page = door.get(Who::Anonymous, &link).await.body;
    assert_eq!(images(&page), [format!("{link}/photos/{}", photo(&all[0]))]);
    for word in [
        "Is hidden",
        "Is withdrawn",
        "Is resolved",
        "Answer",
        "Elsewhere",
    ] {
        assert!(!page.contains(word), "{word}");
    }
    let elsewhere = annotations(door, &other).await;
    let elsewhere = [photo(&elsewhere[0]).to_owned()];
    let made_up = ["app.css", "..%2f..%2fpillarbook.db"].map(str::to_owned);
    let kept = photo(&all[0]);
    for name in names.iter().chain(&elsewhere).chain(&made_up) {
        let answer = door
            .get(Who::Anonymous, &format!("{link}/photos/{name}"))
            .await;
        let expected = match name == kept {
            true => StatusCode::OK,
            false => StatusCode::NOT_FOUND,
        };
        assert_eq!(answer.status, expected, "{name}");
    }
    let to_other = link_to(door, &other, Duration::days(1)).await;
    let crossed = door
        .get(Who::Anonymous, &format!("{to_other}/photos/{kept}"))
        .await;
    assert_eq!(crossed.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_link_that_ended_shows_no_photo_either_and_only_reading_the_card_counts() {
    let door = &Door::new().await;
    note(door, &door.card, &[("about", "card"), ("text", "Low")]).await;
    let name = photo(&annotations(door, &door.card).await[0]).to_owned();
    let link = link_to(door, &door.card, Duration::days(7)).await;
    let paths = [link.clone(), format!("{link}/photos/{name}")];
    for path in &paths {
        let head = door.ask(Who::Anonymous, Method::HEAD, path).await;
        assert_eq!(head.status, StatusCode::OK);
        let read = door.get(Who::Anonymous, path).await;
        assert_eq!(read.status, StatusCode::OK);
    }
    let own = &door.members[&Who::Keeper].department;
    let known = door.store.links(own, &door.card).await.unwrap();
    assert_eq!(known[0].opened, 1, "one page was read, and its photo");
    let keeper = &door.members[&Who::Keeper];
    let now = OffsetDateTime::now_utc();
    let ended = door
        .store
        .revoke_link(keeper, &door.card, &known[0].id, now)
        .await;
    ended.unwrap().unwrap();
    let expired = link_to(door, &door.card, Duration::seconds(-1)).await;
    let expired = [expired.clone(), format!("{expired}/photos/{name}")];
    for path in paths.iter().chain(&expired) {
        let gone = door.get(Who::Anonymous, path).await;
        assert_eq!(gone.status, StatusCode::NOT_FOUND, "{path}");
        assert!(!gone.body.contains("Low") && !gone.body.contains("Corvel"));
        assert_eq!(said(&gone.headers, "cache-control"), "no-store");
    }
    let known = door.store.links(own, &door.card).await.unwrap();
    assert!(known.iter().map(|l| l.opened).eq([0, 1]), "{known:?}");
}
