//! The bytes of photos: kept once under a name, read back, removed; and no name
//! leads out of their place.

use bytes::Bytes;
use pillarbook::store::{PhotoFiles, PhotoFilesError, PhotoSize};

const FULL: Bytes = Bytes::from_static(b"a large picture");
const SMALL: Bytes = Bytes::from_static(b"a small one");

async fn behaves(files: &PhotoFiles) {
    files.keep("4fe2", FULL, SMALL).await.unwrap();
    let read = async |size| files.read("4fe2", size).await.unwrap();
    assert_eq!(read(PhotoSize::Full).await, Some(FULL));
    assert_eq!(read(PhotoSize::Small).await, Some(SMALL));
    let twice = files.keep("4fe2", SMALL, SMALL).await;
    assert!(
        matches!(twice, Err(PhotoFilesError::Unavailable(_))),
        "nothing is written over"
    );
    assert_eq!(read(PhotoSize::Full).await, Some(FULL));
    assert_eq!(files.read("0000", PhotoSize::Full).await.unwrap(), None);
    files.remove("4fe2").await.unwrap();
    assert_eq!(read(PhotoSize::Full).await, None);
    files.remove("4fe2").await.unwrap();
}

#[tokio::test]
async fn photos_are_kept_in_a_folder_that_is_made() {
    let directory = tempfile::tempdir().unwrap();
    let place = directory.path().join("book/photos");
    behaves(&PhotoFiles::at(place.to_str().unwrap()).unwrap()).await;
    assert!(place.is_dir());
}

#[tokio::test]
async fn photos_are_kept_in_memory_as_well() {
    behaves(&PhotoFiles::in_memory()).await;
}

#[tokio::test]
async fn no_name_leads_out_of_the_place_of_photos() {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("secret.jpg"), "secret").unwrap();
    let place = directory.path().join("photos");
    let files = PhotoFiles::at(place.to_str().unwrap()).unwrap();
    for name in [
        "../secret",
        "..",
        "",
        "a",
        "/etc/passwd",
        "aa/../../secret",
        "4F",
        "a%2fb",
        "a\\b",
        "a.b",
        "a\0b",
    ] {
        assert_eq!(
            files.read(name, PhotoSize::Full).await.unwrap(),
            None,
            "{name}"
        );
        let kept = files.keep(name, FULL, SMALL).await;
        assert!(matches!(kept, Err(PhotoFilesError::Name)), "{name}");
        assert!(
            matches!(files.remove(name).await, Err(PhotoFilesError::Name)),
            "{name}"
        );
    }
    assert_eq!(std::fs::read_dir(&place).unwrap().count(), 0);
}

#[tokio::test]
async fn what_is_no_place_is_refused() {
    for place in ["ftp://example.test/photos", "/proc/nothing/photos"] {
        let refused = PhotoFiles::at(place).unwrap_err();
        assert!(matches!(refused, PhotoFilesError::Place { .. }), "{place}");
    }
}
