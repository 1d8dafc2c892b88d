//! Photos of notes, from one server to another inside an archive.

use crate::store::annotations::{brought, photo};
use crate::store::{Empty, NOW, details, empty};
use image::{DynamicImage, ImageFormat, RgbImage};
use pillarbook::contract::archive::{self, Archive, Contents, photo_file};
use pillarbook::domain::card::Card;
use pillarbook::photo::{Taken, take};
use pillarbook::store::{CardId, PhotoFiles, PhotoSize, Store};
use pillarbook::web::archive::photos::{bring, count, gather};
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
    annotation.note.photos = vec![photo(NAME)];
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
    gather(&files, &mut contents).await.unwrap();
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
    let kept = bring(&files, archive, &mut incoming).await.unwrap();
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
    assert_eq!(
        difference.details,
        Vec::<&str>::new(),
        "and its notes are the same"
    );
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
