//! Photos over the API: sent as a form, named in the list of notes, fetched, and
//! refused with every field at fault named.

use crate::photo::made;
use crate::web::door::{Answered, Door, Who};
use axum::http::{Method, StatusCode};
use pillarbook::domain::role::Role;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

fn of(answer: &Answered) -> Value {
    serde_json::from_slice(&answer.bytes).unwrap_or_else(|e| panic!("{e}: {}", answer.body))
}

/// A card with one note.
async fn noted() -> (Door, String) {
    let door = Door::new().await;
    let path = format!("/api/v1/cards/{}/annotations", door.card);
    let body = json!({"annotations": [{"text": "Clip breaks"}]}).to_string();
    let made = door
        .send_as(Who::Member, Method::POST, &path, "application/json", &body)
        .await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.body);
    (door, path)
}

async fn send(door: &Door, who: Who, path: &str, fields: &[(&str, &str)], file: &[u8]) -> Answered {
    let file = Some(("IMG_1.jpg", file)).filter(|(_, bytes)| !bytes.is_empty());
    door.upload(who, path, fields, file).await
}

const ALT: [(&str, &str); 1] = [("alt", "pillar, trim off")];

#[tokio::test]
async fn a_photo_is_sent_listed_and_fetched_as_it_is_described() {
    let (door, notes) = noted().await;
    let to = format!("{notes}/n1/photos");
    let made = send(&door, Who::Member, &to, &ALT, &made::jpeg(640, 400, 6)).await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.body);
    assert_eq!(made.headers["etag"], "\"3\"");
    let photo = of(&made);
    let list = of(&door.get(Who::Program(Role::Trainer), &notes).await);
    assert_eq!(list["photos"], json!([photo]));
    assert_eq!(photo["of"], "n1");
    assert_eq!(photo["alt"], "pillar, trim off");
    assert_eq!(photo["media_type"], "image/jpeg");
    assert_eq!(
        (&photo["width_px"], &photo["height_px"]),
        (&json!(400), &json!(640)),
        "upright"
    );
    let href = photo["href"].as_str().unwrap();
    let whole = door.get(Who::Program(Role::Trainer), href).await;
    assert_eq!(whole.status, StatusCode::OK);
    assert_eq!(whole.headers["content-type"], "image/jpeg");
    let hash: String = Sha256::digest(&whole.bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    assert_eq!(photo["sha256"], hash);
    let read = image::load_from_memory(&whole.bytes).unwrap();
    assert_eq!((read.width(), read.height()), (400, 640));
    let thumbnail = photo["thumbnail"].as_str().unwrap();
    let small = door.get(Who::Program(Role::Trainer), thumbnail).await;
    let small = image::load_from_memory(&small.bytes).unwrap();
    assert_eq!((small.width(), small.height()), (200, 320));

    let nobody = door.get(Who::Anonymous, href).await;
    assert!(nobody.status == StatusCode::UNAUTHORIZED || nobody.status == StatusCode::SEE_OTHER);
    let stranger = door.get(Who::Stranger, href).await;
    assert_eq!(stranger.status, StatusCode::NOT_FOUND);
    assert_eq!(stranger.headers["content-type"], "application/problem+json");
    let made_up = door
        .get(
            Who::Member,
            &href.replace(|c: char| c.is_ascii_digit(), "0"),
        )
        .await;
    assert_eq!(made_up.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_cannot_be_taken_is_a_problem_that_names_its_fields() {
    let (door, notes) = noted().await;
    let to = format!("{notes}/n1/photos");
    let good = made::jpeg(64, 48, 1);
    let long = "x".repeat(201);
    for (fields, file, at_fault, said) in [
        (&[][..], &good[..], "alt", "for who cannot see it"),
        (&[("alt", long.as_str())], &good, "alt", "200"),
        (&ALT, b"", "photo", "choose the photo"),
        (&[], b"", "photo", "send a photo"),
        (&ALT, b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "photo", "HEIC"),
        (&ALT, &good[..good.len() / 2], "photo", "cut short"),
        (&ALT, b"GIF89a\x01\0\x01\0", "photo", "JPEG, PNG and WebP"),
        (
            &ALT,
            &made::bomb(10_000, 10_000),
            "photo",
            "at most 50 million",
        ),
    ] {
        let refused = send(&door, Who::Member, &to, fields, file).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert_eq!(refused.headers["content-type"], "application/problem+json");
        let problem = of(&refused);
        let error = &problem["errors"][0];
        assert_eq!(error["field"], at_fault, "{problem}");
        assert!(
            error["message"].as_str().unwrap().contains(said),
            "{problem}"
        );
    }
    let huge = vec![0xFF; 17 << 20];
    let refused = send(&door, Who::Member, &to, &ALT, &huge).await;
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(of(&refused)["detail"].as_str().unwrap().contains("16 MiB"));
    let as_json = door
        .send_as(Who::Member, Method::POST, &to, "application/json", "{}")
        .await;
    assert_eq!(as_json.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    let kind = "multipart/form-data; boundary=edge";
    let broken = door
        .send_as(Who::Member, Method::POST, &to, kind, "--edge\r\nno form")
        .await;
    assert_eq!(broken.status, StatusCode::BAD_REQUEST);
    assert_eq!(broken.headers["content-type"], "application/problem+json");
    let list = of(&door.get(Who::Member, &notes).await);
    assert!(
        list["revision"] == 2 && list.get("photos").is_none(),
        "{list}"
    );
}

#[tokio::test]
async fn only_who_may_write_on_a_note_that_is_there_sends_a_photo() {
    let (door, notes) = noted().await;
    let good = made::jpeg(64, 48, 1);
    for (who, note, expected) in [
        (Who::Trainer, "n1", StatusCode::FORBIDDEN),
        (Who::Stranger, "n1", StatusCode::NOT_FOUND),
        (Who::Member, "n9", StatusCode::NOT_FOUND),
        (Who::Officer, "n1", StatusCode::CREATED),
    ] {
        let to = format!("{notes}/{note}/photos");
        let answer = send(&door, who, &to, &ALT, &good).await;
        assert_eq!(answer.status, expected, "{who:?} {note}: {}", answer.body);
    }
    let to = format!("{notes}/n1/photos");
    for _ in 1..pillarbook::domain::annotation::MOST_PHOTOS {
        send(&door, Who::Member, &to, &ALT, &good).await;
    }
    let more = send(&door, Who::Member, &to, &ALT, &good).await;
    assert_eq!(more.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        of(&more)["detail"].as_str().unwrap().contains("at most 6"),
        "{}",
        more.body
    );
}
