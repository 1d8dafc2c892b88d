//! Files of photos whose place does not answer: nothing is taken for done that is
//! not, and what is to be removed is tried until it is gone.

use super::door::{Door, Who};
use crate::photo::made;
use axum::http::StatusCode;
use pillarbook::store::PhotoFiles;
use pillarbook::web::leaving::sweep;
use std::fs;
use std::path::PathBuf;
use time::{Duration, OffsetDateTime};

/// A folder of photos that can be taken away, as a disk or a network can.
struct Place {
    _directory: tempfile::TempDir,
    folder: PathBuf,
    away: PathBuf,
}

impl Place {
    fn new() -> (Self, PhotoFiles) {
        let directory = tempfile::tempdir().unwrap();
        let folder = directory.path().join("photos");
        let files = PhotoFiles::at(folder.to_str().unwrap()).unwrap();
        let away = directory.path().join("away");
        let place = Self {
            _directory: directory,
            folder,
            away,
        };
        (place, files)
    }

    fn take_away(&self) {
        fs::rename(&self.folder, &self.away).unwrap();
        fs::write(&self.folder, "no folder").unwrap();
    }

    fn bring_back(&self) {
        fs::remove_file(&self.folder).unwrap();
        fs::rename(&self.away, &self.folder).unwrap();
    }

    /// Names of the files there are, small ones too.
    fn files(&self) -> Vec<String> {
        let folders = fs::read_dir(&self.folder).unwrap();
        let inside = folders.flat_map(|f| fs::read_dir(f.unwrap().path()).unwrap());
        let mut names: Vec<String> = inside
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

/// Sends a note with a photo; its status and where it is.
async fn note(door: &Door) -> (StatusCode, String) {
    let fields = [("about", "card"), ("text", "Low"), ("alt", "a clip")];
    let new = format!("/cards/{}/notes/new", door.card);
    let sent = made::jpeg(64, 48, 1);
    let made = door
        .upload(Who::Member, &new, &fields, Some(("a.jpg", &sent)))
        .await;
    (made.status, made.location)
}

/// Names of the photos of the card.
async fn held(door: &Door) -> Vec<String> {
    let own = &door.members[&Who::Member].department;
    let card = door.store.card(own, &door.card).await.unwrap().unwrap();
    let notes = card.card.annotations.into_iter();
    notes.flat_map(|a| a.note.photos).map(|p| p.name).collect()
}

#[tokio::test]
async fn a_photo_that_cannot_be_removed_shows_nowhere_and_is_tried_until_it_is_gone() {
    let (place, files) = Place::new();
    let door = &Door::with_photos(files.clone()).await;
    let (_, note) = note(door).await;
    let name = held(door).await.remove(0);
    assert_eq!(place.files().len(), 2);
    let left = async || {
        let now = OffsetDateTime::now_utc() + Duration::days(2);
        door.store.photo_files_left(now).await.unwrap()
    };
    assert_eq!(left().await, [""; 0], "a note holds it");

    place.take_away();
    let remove = [
        ("do", "remove-photo"),
        ("photo_name", name.as_str()),
        ("reason", "a face"),
    ];
    let removed = door.post(Who::Officer, &note, &remove).await;
    assert_eq!(removed.status, StatusCode::SEE_OTHER);
    let said = door.get(Who::Officer, &removed.location).await.body;
    assert!(said.contains("Its file is still there"), "{said}");
    let photo = format!("/cards/{}/photos/{name}", door.card);
    let shown = door.get(Who::Officer, &photo).await;
    assert_eq!(shown.status, StatusCode::NOT_FOUND);
    assert_eq!(left().await, [name.as_str()]);
    for _ in 0..2 {
        sweep(&door.store, &files).await;
        assert_eq!(left().await, [name.as_str()], "it is not forgotten");
    }

    place.bring_back();
    assert_eq!(place.files().len(), 2);
    sweep(&door.store, &files).await;
    assert_eq!(place.files(), [""; 0]);
    assert_eq!(left().await, [""; 0]);
    let before = door.get(Who::Officer, &note).await.body;
    assert!(!before.contains("still there"));
}

#[tokio::test]
async fn a_photo_that_cannot_be_kept_makes_no_note_and_leaves_nothing() {
    let (place, files) = Place::new();
    let door = &Door::with_photos(files.clone()).await;
    place.take_away();
    let (status, _) = note(door).await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(held(door).await, [""; 0]);
    let later = OffsetDateTime::now_utc() + Duration::days(2);
    let left = door.store.photo_files_left(later).await.unwrap();
    assert_eq!(left.len(), 1, "what may have been written is looked after");
    place.bring_back();
    assert_eq!(note(door).await.0, StatusCode::SEE_OTHER);
    sweep(&door.store, &files).await;
    assert_eq!(place.files().len(), 2, "what a note holds stays");
}

#[tokio::test]
async fn a_file_whose_note_was_never_written_goes_after_its_time_and_a_held_one_never() {
    let (place, files) = Place::new();
    let door = &Door::with_photos(files.clone()).await;
    note(door).await;
    let held = held(door).await.remove(0);
    let bytes = || bytes::Bytes::from_static(b"a picture");
    files.keep("0a1b", bytes(), bytes()).await.unwrap();
    let now = OffsetDateTime::now_utc();
    door.store.expect_photo_file("0a1b", now).await.unwrap();
    sweep(&door.store, &files).await;
    assert_eq!(place.files().len(), 4, "its note may be on its way");
    // As if the program had been stopped in between, two days ago.
    let long_ago = now - Duration::days(2);
    for name in ["0a1b", held.as_str()] {
        door.store.expect_photo_file(name, long_ago).await.unwrap();
    }
    sweep(&door.store, &files).await;
    assert_eq!(
        place.files(),
        [format!("{held}-small.jpg"), format!("{held}.jpg")]
    );
}
