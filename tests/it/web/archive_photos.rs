//! Photos of notes, from one server to another inside an archive.

use super::site::Site;
use crate::store::annotations::{brought, photo};
use crate::store::{Empty, NOW, details, empty};
use axum::http::StatusCode;
use bytes::Bytes;
use image::{DynamicImage, ImageFormat, RgbImage};
use pillarbook::contract::archive::{self, Archive, Contents, photo_file};
use pillarbook::domain::annotation::Photo;
use pillarbook::domain::card::Card;
use pillarbook::photo::{Taken, take};
use pillarbook::store::{CardId, PhotoFiles, PhotoSize, Store};
use pillarbook::web::archive::photos::{bring, count, pack};
use std::collections::BTreeSet;
use std::io::Cursor;

const NAME: &str = "0123456789abcdef0123456789abcdef";

fn taken() -> Taken {
    let shade = |x: u32, y: u32| image::Rgb([u8::try_from((x * 5 + y) % 256).unwrap(), 90, 30]);
    let drawn = DynamicImage::ImageRgb8(RgbImage::from_fn(400, 300, shade));
    let mut bytes = Cursor::new(Vec::new());
    drawn.write_to(&mut bytes, ImageFormat::Png).unwrap();
    take(&bytes.into_inner()).unwrap()
}

/// A card with one note that has one photo, as an archive with the photo in it.
async fn sent() -> (Contents, Vec<u8>) {
    let Empty { store, .. } = &empty().await;
    let files = PhotoFiles::in_memory();
    let Taken { full, small, .. } = taken();
    files
        .keep(NAME, full.clone().into(), small.into())
        .await
        .unwrap();
    let sender = store.ensure_local(NOW).await.unwrap();
    let mut annotation = brought();
    annotation.replies.clear();
    let (width_px, height_px) = (400, 300);
    annotation.note.photos = vec![Photo {
        width_px,
        height_px,
        ..photo(NAME)
    }];
    let card = Card {
        annotations: vec![annotation],
        ..Card::unrecorded(details().vehicle)
    };
    let kept = BTreeSet::from([NAME.to_owned()]);
    store
        .import_card_with(&sender, card, &kept, NOW)
        .await
        .unwrap();
    let contents = store.archive(&sender.department, None, NOW).await;
    let mut contents = contents.unwrap().unwrap();
    let packed = pack(&files, contents.clone()).await.unwrap();
    let packed = archive::read_from(packed).unwrap();
    let held = packed.files.read(&photo_file(NAME)).unwrap();
    assert_eq!(held.as_deref(), Some(full.as_slice()));
    contents
        .files
        .extend(held.map(|bytes| (photo_file(NAME), bytes)));
    (contents, full)
}

fn arrived(contents: &Contents) -> Archive {
    archive::read(&archive::write(contents).unwrap()).unwrap()
}

/// Names of the photos on the only card taken in, and where they are kept.
async fn taken_in(store: &Store, archive: &Archive) -> (PhotoFiles, Vec<String>) {
    let files = PhotoFiles::in_memory();
    let receiver = store.ensure_local(NOW).await.unwrap();
    let mut incoming = store.compare_archive(&receiver, archive).await.unwrap();
    let kept = bring((store, &files), archive, &mut incoming)
        .await
        .unwrap();
    let what = (archive, incoming.as_slice());
    let taken = store
        .take_in_archive(&receiver, what, (true, false), &kept, NOW)
        .await;
    let card: CardId = taken.unwrap().remove(0).card;
    let read = store
        .card(&receiver.department, &card)
        .await
        .unwrap()
        .unwrap();
    let photos = &read.card.annotations[0].note.photos;
    (files, photos.iter().map(|p| p.name.clone()).collect())
}

#[tokio::test]
async fn a_photo_comes_byte_for_byte_under_a_name_of_its_own() {
    let (contents, full) = sent().await;
    assert_eq!(contents.files[&photo_file(NAME)], full);
    let archive = arrived(&contents);
    let Empty { store, .. } = &empty().await;
    let (files, names) = taken_in(store, &archive).await;
    assert_eq!(names.len(), 1);
    assert_ne!(names[0], NAME, "a name in a file opens nothing");
    let kept = files
        .read(&names[0], PhotoSize::Full)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(kept, full);
    assert!(
        files
            .read(&names[0], PhotoSize::Small)
            .await
            .unwrap()
            .is_some()
    );
    let receiver = store.ensure_local(NOW).await.unwrap();
    let again = store.compare_archive(&receiver, &archive).await.unwrap();
    assert_eq!(count(&archive, &again), 0, "the card is known");
    let (_, difference) = again[0].here.as_ref().unwrap();
    assert!(difference.is_nothing_new(), "{difference:?}");
    assert!(difference.remarks.standing.is_empty());
}

#[tokio::test]
async fn what_a_camera_wrote_does_not_come_in_with_an_archive() {
    let (mut contents, full) = sent().await;
    let mark = b"51.5N 0.1W";
    let exif = [b"Exif\0\0", &mark[..]].concat();
    let length = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
    let marked = [&full[..2], &[0xFF, 0xE1], &length, &exif, &full[2..]].concat();
    contents.files.insert(photo_file(NAME), marked);
    let Empty { store, .. } = &empty().await;
    let (files, names) = taken_in(store, &arrived(&contents)).await;
    let kept = files
        .read(&names[0], PhotoSize::Full)
        .await
        .unwrap()
        .unwrap();
    assert!(!kept.windows(mark.len()).any(|w| w == mark));
}

#[tokio::test]
async fn what_is_no_photo_or_is_not_there_leaves_a_note_without_one() {
    for file in [None, Some(b"<svg onload=alert(1)>".to_vec())] {
        let (mut contents, _) = sent().await;
        contents.files.clear();
        contents
            .files
            .extend(file.map(|bytes| (photo_file(NAME), bytes)));
        let Empty { store, .. } = &empty().await;
        let (_, names) = taken_in(store, &arrived(&contents)).await;
        assert_eq!(names, Vec::<String>::new());
    }
}

/// A photo that packs badly, as a good one does: some MiB.
fn heavy() -> Taken {
    let mut state = 7_u32;
    let noise = |_: u32, _: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(state >> 24) as u8, (state >> 16) as u8, (state >> 8) as u8])
    };
    let drawn = DynamicImage::ImageRgb8(RgbImage::from_fn(2_048, 2_048, noise));
    let mut bytes = Cursor::new(Vec::new());
    drawn.write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    take(&bytes.into_inner()).unwrap()
}

#[tokio::test]
async fn a_book_with_more_photos_than_memory_should_hold_goes_out_and_comes_in() {
    let (from, to) = (Site::empty().await, Site::empty().await);
    let Taken { full, small, .. } = heavy();
    let (full, small) = (Bytes::from(full), Bytes::from(small));
    let count = (64 << 20) / full.len() + 2;
    let names: Vec<String> = (0..count).map(|n| format!("{n:032x}")).collect();
    for name in &names {
        let kept = from.photos.keep(name, full.clone(), small.clone());
        kept.await.unwrap();
    }
    let note = |(n, names): (usize, &[String])| {
        let mut annotation = brought();
        annotation.replies.clear();
        annotation.note.id = format!("n{n}");
        annotation.note.photos = names.iter().map(|name| photo(name)).collect();
        annotation
    };
    let card = Card {
        annotations: names.chunks(6).enumerate().map(note).collect(),
        ..Card::unrecorded(details().vehicle)
    };
    let all = names.iter().cloned().collect();
    let made = from.store.import_card_with(&from.actor, card, &all, NOW);
    made.await.unwrap();

    let bytes = from.bytes("/export").await;
    assert!(bytes.len() > 64 << 20, "{} bytes", bytes.len());
    let file = Some(("book.zip", bytes.as_slice()));
    let sent = to.upload("/import", &[("act", "read")], file).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.fault("file"));
    let page = to.get("/import").await;
    assert!(page.text("main").contains(&format!("{count} photos come")));
    let seen = page.value("seen");
    let fields = [("act", "save"), ("seen", seen.as_str()), ("own", "yes")];
    let saved = to.post("/import", &fields).await;
    let card = CardId::new(saved.location.trim_start_matches("/cards/"));
    let read = to.store.card(&to.actor.department, &card).await;
    let notes = read.unwrap().unwrap().card.annotations;
    let there: Vec<_> = notes.iter().flat_map(|n| &n.note.photos).collect();
    assert_eq!(there.len(), count);
    for photo in there {
        let kept = to.photos.read(&photo.name, PhotoSize::Full).await;
        assert!(kept.unwrap().unwrap() == full, "byte for byte");
    }
}
