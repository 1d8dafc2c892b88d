//! What must not be believed of what is sent with a note: fields at fault, markup,
//! files that are no fit photo, names of photos that lead elsewhere.

use super::door::{Door, Who};
use super::notes::{SCRIPT, annotations, count, notes, write};
use crate::photo::made;
use axum::http::StatusCode;

#[tokio::test]
async fn what_is_wrong_is_named_and_what_was_typed_is_kept() {
    let door = &Door::new().await;
    for (fields, said) in [
        (&[("about", "card"), ("text", "  ")][..], "write the note"),
        (
            &[("about", "card"), ("text", "x"), ("alt", "a view")],
            "choose the photo",
        ),
        (
            &[
                ("about", "station"),
                ("span", "b-pillar.left"),
                ("at", "9000"),
                ("text", "kept words"),
            ],
            "enter 0 to",
        ),
        (
            &[
                ("about", "station"),
                ("span", "nowhere"),
                ("at", "9"),
                ("text", "kept words"),
            ],
            "no pillar, rail or sill",
        ),
        (
            &[("about", "station"), ("text", "kept words")],
            "choose one",
        ),
        (
            &[
                ("about", "place"),
                ("view", "inside"),
                ("spot_a", "1"),
                ("spot_b", "1"),
                ("text", "kept words"),
            ],
            "choose one",
        ),
        (
            &[
                ("about", "place"),
                ("view", "left"),
                ("spot_a", "far"),
                ("spot_b", "99999"),
                ("text", "kept words"),
            ],
            "far",
        ),
        (
            &[
                ("about", "arrow"),
                ("view", "left"),
                ("spot_a", "1"),
                ("spot_b", "1"),
                ("tail_a", "1"),
                ("tail_b", "1"),
                ("label", "x"),
                ("text", "kept words"),
            ],
            "no length",
        ),
        (
            &[
                ("about", "arrow"),
                ("view", "left"),
                ("spot_a", "1"),
                ("spot_b", "1"),
                ("tail_a", "9"),
                ("tail_b", "9"),
                ("label", "a label that has no room there"),
                ("text", "kept words"),
            ],
            "at most 24",
        ),
        (
            &[
                ("about", "finding"),
                ("finding", "f9"),
                ("text", "kept words"),
            ],
            "no finding f9",
        ),
    ] {
        let refused = write(door, Who::Member, fields).await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}"
        );
        assert!(refused.body.contains(said), "{fields:?}");
        let text = fields
            .iter()
            .find(|(name, _)| *name == "text")
            .map_or("", |f| f.1)
            .trim();
        assert!(refused.body.contains(text));
    }
    let long = "x".repeat(2_001);
    let refused = write(door, Who::Member, &[("about", "card"), ("text", &long)]).await;
    assert!(refused.body.contains("enter at most 2000"));
    let strange = write(door, Who::Member, &[("about", "the moon"), ("text", "x")]).await;
    assert_eq!(strange.status, StatusCode::BAD_REQUEST);
    assert!(annotations(door).await.is_empty());
}

#[tokio::test]
async fn markup_in_any_field_is_words_on_every_page() {
    let door = &Door::new().await;
    let label = "<script>x</script>";
    let arrow = [
        ("about", "arrow"),
        ("view", "left"),
        ("spot_a", "1200"),
        ("spot_b", "600"),
        ("tail_a", "900"),
        ("tail_b", "400"),
        ("label", label),
        ("text", SCRIPT),
    ];
    let made = door
        .upload(
            Who::Member,
            &notes(door, "/new"),
            &[&arrow[..], &[("alt", SCRIPT)]].concat(),
            Some(("\"><script>.jpg", &made::jpeg(64, 48, 1))),
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let settle = [
        ("do", "settle"),
        ("id", "n1"),
        ("to", "withdrawn"),
        ("reason", ""),
    ];
    let shown_again = door.post(Who::Officer, &made.location, &settle).await;
    let wrong = [
        ("about", SCRIPT),
        ("view", SCRIPT),
        ("spot_a", SCRIPT),
        ("text", SCRIPT),
        ("label", SCRIPT),
    ];
    let card = format!("/cards/{}", door.card);
    let mut pages = vec![shown_again, write(door, Who::Member, &wrong).await];
    let also = form_urlencoded::Serializer::new(String::new())
        .extend_pairs([
            ("about", "arrow"),
            ("view", "left"),
            ("spot_a", SCRIPT),
            ("label", SCRIPT),
            ("text", SCRIPT),
        ])
        .finish();
    for path in [
        made.location.clone(),
        notes(door, ""),
        notes(door, &format!("/new?{also}")),
        format!("{card}/sketch/left"),
        format!("{card}/sketch.svg?view=left"),
        format!("{card}/print"),
        card.clone(),
        format!("{card}/history"),
    ] {
        pages.push(door.get(Who::Member, &path).await);
    }
    for page in pages {
        assert!(!page.body.contains("<script>"), "{}", page.body);
        assert_eq!(count(&page.body, "img[onerror]"), 0);
    }
}

#[tokio::test]
async fn what_is_no_fit_photo_is_refused_with_a_word_and_nothing_is_kept() {
    let door = &Door::new().await;
    let new = notes(door, "/new");
    let fields = [("about", "card"), ("text", "Trim off"), ("alt", "a view")];
    for (file, said) in [
        (&b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"[..], "HEIC"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg'/>",
            "JPEG, PNG and WebP are accepted",
        ),
        (b"\xFF\xD8\xFF broken", "cannot be read to its end"),
        (
            &made::bomb(10_000, 10_000),
            "at most 50 million are accepted",
        ),
    ] {
        let refused = door
            .upload(Who::Member, &new, &fields, Some(("a.jpg", file)))
            .await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert!(refused.body.contains(said), "{said}");
        assert!(
            refused.body.contains("Trim off") && refused.body.contains("Choose the photo again")
        );
    }
    let without = [("about", "card"), ("text", "Trim off")];
    let refused = door
        .upload(
            Who::Member,
            &new,
            &without,
            Some(("a.jpg", &made::jpeg(64, 48, 1))),
        )
        .await;
    assert!(refused.body.contains("for who cannot see it"));
    let huge = vec![0xFF; 17 << 20];
    let refused = door
        .upload(Who::Member, &new, &fields, Some(("a.jpg", &huge)))
        .await;
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(refused.body.contains("16 MiB"), "{}", refused.body);
    assert!(annotations(door).await.is_empty());
}

#[tokio::test]
async fn no_name_of_a_photo_leads_anywhere_else() {
    let door = &Door::new().await;
    for name in [
        "..%2f..%2fpillarbook.db",
        "%2e%2e",
        "....//",
        "..%5c..%5cx",
        "a%00b",
        "%2fetc%2fpasswd",
        "' OR 1=1 --",
        "00000000000000000000000000000000",
    ] {
        let name = name.replace(' ', "%20");
        for path in [
            format!("/cards/{}/photos/{name}", door.card),
            format!("/cards/{}/photos/{name}/small", door.card),
        ] {
            let answer = door.get(Who::Member, &path).await;
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        }
    }
}
