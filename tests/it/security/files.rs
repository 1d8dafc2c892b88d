//! Files that are made to harm who opens them: archives whose names lead
//! elsewhere, that unpack to more than they are or say other than they hold, and
//! photos whose head promises more pixels than any memory has.

use super::County;
use super::county::{MULTIPART, multipart};
use crate::photo::made;
use axum::http::Method;
use pillarbook::photo::{PhotoError, take};
use std::collections::BTreeSet;
use std::io::{Cursor, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const NO_ZIP: &str = "no whole ZIP archive";

/// What is said of each kind, that of a broken ZIP where its reader sees it first.
const REASONS: [(&str, &[&str]); 8] = [
    ("named", &["is named", NO_ZIP]),
    ("a link", &["is named", "manifest", NO_ZIP]),
    ("many entries", &["files; accepted: at most"]),
    ("a bomb", &["is larger than accepted"]),
    (
        "lying sizes",
        &["cannot be unpacked", "is larger than accepted", NO_ZIP],
    ),
    ("overlapping", &[NO_ZIP]),
    ("the same twice", &["share a name", NO_ZIP]),
    ("an archive in it", &["manifest"]),
];

fn options() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Deflated)
}

fn packed(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        zip.start_file(*name, options()).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Writes over the bytes at every place where `found` stands.
fn overwritten(mut bytes: Vec<u8>, found: &[u8], with: &[u8]) -> Vec<u8> {
    assert_eq!(found.len(), with.len());
    let mut places = 0;
    for at in 0..=bytes.len() - found.len() {
        if &bytes[at..at + found.len()] == found {
            bytes[at..at + with.len()].copy_from_slice(with);
            places += 1;
        }
    }
    assert!(places > 0);
    bytes
}

/// Where the records of the directory begin (APPNOTE 4.3.12).
fn directory(bytes: &[u8]) -> Vec<usize> {
    let starts = |at: &usize| bytes[*at..].starts_with(b"PK\x01\x02");
    (0..bytes.len() - 4).filter(starts).collect()
}

/// An archive whose second entry is the first one's bytes again, under its own name.
fn overlapping() -> Vec<u8> {
    let mut bytes = packed(&[("photos/a.jpg", &[0; 4096]), ("photos/b.jpg", &[0; 4096])]);
    let second = directory(&bytes)[1];
    // The place of the entry itself, APPNOTE 4.4.16.
    bytes[second + 42..second + 46].copy_from_slice(&0_u32.to_le_bytes());
    bytes
}

/// An archive that says of a megabyte that it is a byte long, in both places.
fn lying() -> Vec<u8> {
    let long = 1_048_577_u32;
    let bytes = packed(&[("photos/a.jpg", &vec![0; long as usize])]);
    overwritten(bytes, &long.to_le_bytes(), &1_u32.to_le_bytes())
}

fn link() -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file("manifest.json", options()).unwrap();
    zip.write_all(b"{}").unwrap();
    zip.add_symlink("photos/a.jpg", "/etc/hostname", options())
        .unwrap();
    zip.finish().unwrap().into_inner()
}

fn many() -> Vec<u8> {
    let names: Vec<String> = (0..6_000).map(|n| format!("photos/{n}.jpg")).collect();
    let entries: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &[][..])).collect();
    packed(&entries)
}

/// Every file below a folder.
fn files(folder: &Path) -> BTreeSet<std::path::PathBuf> {
    let mut found = BTreeSet::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => found.extend(files(&path)),
            false => drop(found.insert(path)),
        }
    }
    found
}

#[tokio::test]
async fn no_archive_leads_elsewhere_unpacks_to_more_than_it_is_or_says_other_than_it_holds() {
    let county = &County::new().await;
    let folder = county.path.parent().unwrap();
    let (before, there) = (county.rows().await, files(folder));
    let zeros = vec![0; 40 << 20];
    let mut hostile: Vec<(String, Vec<u8>)> = [
        "../planted",
        "cards/../../planted",
        "/tmp/planted",
        "..\\planted",
        "cards\\..\\..\\planted",
        "C:\\planted",
        "C:planted",
        "\\\\host\\planted",
        "cards/%2e%2e/%2e%2e/planted",
        "cards/.planted",
        "cards/a\u{0}.json",
        "cards/a\n.json",
        "cards/\u{202e}nosj.a",
    ]
    .map(|name| {
        (
            format!("named {name:?}"),
            packed(&[("manifest.json", b"{}"), (name, b"{}")]),
        )
    })
    .to_vec();
    hostile.extend([
        ("a link".to_owned(), link()),
        ("many entries".to_owned(), many()),
        ("a bomb".to_owned(), packed(&[("manifest.json", &zeros)])),
        (
            "a bomb beside".to_owned(),
            packed(&[("manifest.json", b"{}"), ("photos/a.jpg", &zeros)]),
        ),
        ("lying sizes".to_owned(), lying()),
        ("overlapping".to_owned(), overlapping()),
        (
            "the same twice".to_owned(),
            overwritten(
                packed(&[("photos/a.jpg", b"1"), ("photos/b.jpg", b"2")]),
                b"photos/b.jpg",
                b"photos/a.jpg",
            ),
        ),
        (
            "an archive in it".to_owned(),
            packed(&[("manifest.json", b"{}"), ("photos/a.zip", &link())]),
        ),
    ]);
    for (what, bytes) in hostile {
        let body = multipart(
            &[("act", "read")],
            Some(("file", "../../planted.zip", &bytes)),
        );
        let who = Some(&county.home.chief);
        let answer = county
            .send(who, Method::POST, "/import", MULTIPART, body)
            .await;
        let said = format!("{what}: {} {}", answer.status, answer.body);
        assert_eq!(answer.status.as_u16(), 422, "{said}");
        let why = REASONS.iter().find(|(kind, _)| what.starts_with(kind));
        let (_, reasons) = why.unwrap();
        assert!(reasons.iter().any(|r| answer.body.contains(r)), "{said}");
        let after = county.rows().await;
        assert_eq!(before, after, "{what} {}", before.difference(&after));
    }
    assert_eq!(there, files(folder));
}

/// A photo with other bytes from a place on.
fn with(mut photo: Vec<u8>, at: usize, bytes: &[u8]) -> Vec<u8> {
    photo[at..at + bytes.len()].copy_from_slice(bytes);
    photo
}

fn place(photo: &[u8], of: &[u8]) -> usize {
    photo.windows(of.len()).position(|w| w == of).unwrap()
}

#[test]
fn no_photo_is_unpacked_that_promises_more_pixels_than_are_taken() {
    let (jpeg, png, webp) = (
        made::jpeg(64, 48, 1),
        made::png(64, 48, 1),
        made::webp(64, 48, 1),
    );
    // Height and width of a JPEG's frame (ITU-T T.81, B.2.2), of a PNG's head (its
    // section 11.2.2), of a WebP's canvas and of its lossless picture (RFC 9649).
    let frame = place(&jpeg, &[0xFF, 0xC0]) + 5;
    let canvas = place(&webp, b"VP8X") + 12;
    let lossless = place(&webp, b"VP8L") + 9;
    let too_long = Err(PhotoError::TooLong);
    let most = [0xFF; 4];
    assert_eq!(take(&with(jpeg.clone(), frame, &most)), too_long);
    let sixteen_thousand = 16_000_u16.to_be_bytes().repeat(2);
    let pixels = Err(PhotoError::TooManyPixels {
        width: 16_000,
        height: 16_000,
    });
    assert_eq!(take(&with(jpeg.clone(), frame, &sixteen_thousand)), pixels);
    let tall = [&60_000_u16.to_be_bytes()[..], &8_u16.to_be_bytes()].concat();
    assert_eq!(take(&with(jpeg, frame, &tall)), too_long);
    let as_u32 = [0, 0, 0x3E, 0x80].repeat(2);
    for lies in [
        with(png, 16, &as_u32),
        with(webp.clone(), canvas, &[0xFF; 6]),
        with(webp.clone(), canvas, &[0x7F, 0x3E, 0, 0x7F, 0x3E, 0]),
        // The canvas is small, and the picture on it is not.
        with(webp, lossless, &[0xFF, 0xFF, 0xFF, 0x0F]),
    ] {
        let refused = take(&lies);
        assert!(
            refused.is_err(),
            "{:?}",
            refused.map(|t| (t.width_px, t.height_px))
        );
    }
}

#[tokio::test]
async fn no_name_of_a_photo_leads_out_of_where_photos_lie() {
    let county = &County::new().await;
    let (chief, place) = (&county.home.chief, county.home.place());
    let photo = county.address("/cards/{id}/photos/{name}", &place);
    county.get(chief, &photo).await.expect(200);
    let folder = photo.strip_suffix(place.photo).unwrap();
    for name in [
        "..",
        "../..",
        "..%2f..%2fpillarbook.db",
        "%2e%2e%2fpillarbook.db",
        "..%5cpillarbook.db",
        "%2fetc%2fhostname",
        "%00",
        "full%2f",
        ".",
        "%2e",
        "C%3a%5cx",
        "a%0d%0ab",
    ] {
        for below in ["", "/small"] {
            let answer = county.get(chief, &format!("{folder}{name}{below}")).await;
            assert_eq!(answer.status.as_u16(), 404, "{name}{below}");
        }
    }
    // What the sender calls a photo is neither kept nor shown.
    let called = "../../../planted\"; filename=\"evil.jpg";
    let fields = [
        ("about", "card"),
        ("text", "Whole"),
        ("alt", "The trim off"),
    ];
    let body = multipart(&fields, Some(("photo", called, &made::jpeg(64, 48, 1))));
    let path = format!("/cards/{}/notes/new", place.card);
    let saved = county
        .send(Some(chief), Method::POST, &path, MULTIPART, body)
        .await
        .expect(303);
    let page = county.get(chief, &saved.location).await.expect(200);
    assert!(!page.body.contains("planted") && page.body.contains("/photos/"));
    let rows = county.rows().await;
    let kept = rows.0.values().flatten().any(|row| row.contains("planted"));
    assert!(!kept);
}
