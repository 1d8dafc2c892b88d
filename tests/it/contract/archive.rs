//! The archive: what goes in comes out, and every way a bad one is refused.

use super::EXAMPLE;
use pillarbook::contract::archive::{
    self, Archive, ArchiveError, ArchivedCard, Contents, MOST_FILE_BYTES, Origin,
};
use pillarbook::contract::card_file;
use pillarbook::domain::card::Card;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use time::macros::datetime;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

pub fn example() -> Card {
    card_file::read(EXAMPLE.as_bytes()).unwrap().card
}

pub fn contents(cards: &[(&str, Card)]) -> Contents {
    let archived = |(id, card): &(&str, Card)| ArchivedCard {
        id: (*id).to_owned(),
        revision: 7,
        card: card.clone(),
    };
    Contents {
        made_at: datetime!(2026-03-05 10:02:00 UTC),
        origin: Origin {
            department: "0189-origin".to_owned(),
            name: "Saltby".to_owned(),
        },
        cards: cards.iter().map(archived).collect(),
        files: BTreeMap::new(),
    }
}

fn written(contents: &Contents) -> Vec<u8> {
    archive::write(contents).unwrap()
}

/// The files of a ZIP, the manifest first.
fn files(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).unwrap();
    let read = |index| {
        let mut entry = zip.by_index(index).unwrap();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).unwrap();
        (entry.name().unwrap().into_owned(), content)
    };
    let mut files: Vec<_> = (0..2).map(read).collect();
    files.sort_by_key(|(name, _)| name != "manifest.json");
    files
}

/// Packs files as anybody could.
fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        zip.start_file(*name, options).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The usual archive with its two files changed, then packed again.
fn changed(change: impl Fn(&mut Vec<(String, Vec<u8>)>)) -> Vec<u8> {
    let mut all = files(&written(&contents(&[("0189-a", example())])));
    change(&mut all);
    let all: Vec<(&str, &[u8])> = all
        .iter()
        .map(|(n, c)| (n.as_str(), c.as_slice()))
        .collect();
    packed(&all)
}

/// The same with the manifest's text changed.
fn with_manifest(from: &str, to: &str) -> Vec<u8> {
    changed(|all| {
        let text = String::from_utf8(all[0].1.clone()).unwrap();
        assert!(text.contains(from), "{from} is not in {text}");
        all[0].1 = text.replacen(from, to, 1).into_bytes();
    })
}

fn refused(bytes: &[u8]) -> ArchiveError {
    archive::read(bytes).expect_err("it is refused")
}

#[test]
fn what_is_written_reads_back_and_is_the_same_bytes_again() {
    let mut contents = contents(&[("0189-a", example()), ("0189-b", example())]);
    contents
        .files
        .insert("photos/p1.webp".to_owned(), vec![1, 2, 3]);
    let bytes = written(&contents);
    assert_eq!(bytes, written(&contents));
    let Archive {
        manifest,
        cards,
        files,
    } = archive::read(&bytes).unwrap();
    assert_eq!(cards, contents.cards);
    assert_eq!(files.names().collect::<Vec<_>>(), ["photos/p1.webp"]);
    assert_eq!(files.read("photos/p1.webp").unwrap().unwrap(), [1, 2, 3]);
    assert!(files.read("photos/p2.webp").unwrap().is_none());
    assert_eq!(
        (manifest.origin, manifest.made_at),
        (contents.origin, contents.made_at)
    );
    assert_eq!(manifest.signature, None);
    assert_eq!(manifest.files.len(), 3);
    assert!(
        archive::read(&written(&super::archive::contents(&[])))
            .unwrap()
            .cards
            .is_empty()
    );
}

#[test]
fn a_reader_takes_an_archive_packed_again_by_another_program() {
    let again = changed(|all| all.reverse());
    assert_eq!(archive::read(&again).unwrap().cards.len(), 1);
    let signed = with_manifest(
        "\"signature\": null",
        "\"signature\": {\"by\": \"somebody\"}",
    );
    assert!(archive::read(&signed).unwrap().manifest.signature.is_some());
}

#[test]
fn a_file_that_is_not_as_the_manifest_says_is_refused_by_name() {
    let differs = changed(|all| all[1].1[5] ^= 1);
    assert!(
        matches!(refused(&differs), ArchiveError::Differs { name } if name == "cards/0189-a.json")
    );
    let missing = changed(|all| drop(all.remove(1)));
    assert!(
        matches!(refused(&missing), ArchiveError::Missing { name } if name == "cards/0189-a.json")
    );
    let unlisted = changed(|all| all.push(("photos/x.webp".to_owned(), vec![0])));
    assert!(
        matches!(refused(&unlisted), ArchiveError::Unlisted { name } if name == "photos/x.webp")
    );
    let none = changed(|all| drop(all.remove(0)));
    assert!(matches!(refused(&none), ArchiveError::NoManifest));
    // Listed as a file, named as no card: it would be lost unseen.
    let forgotten = changed(|all| {
        let mut manifest: serde_json::Value = serde_json::from_slice(&all[0].1).unwrap();
        manifest["cards"] = serde_json::json!([]);
        all[0].1 = manifest.to_string().into_bytes();
    });
    assert!(matches!(refused(&forgotten), ArchiveError::Unlisted { .. }));
}

#[test]
fn a_manifest_is_refused_field_by_field() {
    for (from, to, field) in [
        ("pillarbook-archive/1", "pillarbook-archive/9", "format"),
        ("2026-03-05T10:02:00Z", "yesterday", "made_at"),
        ("\"revision\": 7", "\"revision\": 0", "cards[0].revision"),
        (
            "\"file\": \"cards/0189-a.json\"",
            "\"file\": \"../0189-a.json\"",
            "cards[0].file",
        ),
        ("\"id\": \"0189-a\"", "\"id\": \"0189-b\"", "cards[0].file"),
        ("\"sha256\": \"", "\"sha256\": \"G", "files[0].sha256"),
        ("\"name\": \"Saltby\"", "\"name\": \"\"", "origin.name"),
        ("\"cards\"", "\"card\"", "card"),
    ] {
        let error = refused(&with_manifest(from, to));
        let lines = error.lines();
        assert!(matches!(error, ArchiveError::Manifest(_)), "{to}: {error}");
        assert!(
            lines.iter().any(|l| l.contains(field)),
            "{field}: {lines:?}"
        );
    }
}

#[test]
fn a_bad_card_names_its_file_and_field() {
    let mut card = example();
    card.vehicle.make = Some("x".repeat(500));
    let error = refused(&written(&contents(&[("0189-a", card)])));
    let lines = error.lines();
    assert!(lines[0].contains("cards/0189-a.json"), "{lines:?}");
    assert!(
        lines.iter().any(|l| l.contains("vehicle.make")),
        "{lines:?}"
    );
}

#[test]
fn names_that_lead_elsewhere_are_refused() {
    for name in [
        "../../etc/passwd",
        "/cards/a.json",
        "cards\\..\\a.json",
        "cards/../../a.json",
        "c:a",
    ] {
        let error = refused(&packed(&[(name, b"{}")]));
        assert!(
            matches!(
                &error,
                ArchiveError::Name { .. } | ArchiveError::Unreadable(_)
            ),
            "{name}: {error}"
        );
    }
}

#[test]
fn a_name_twice_is_refused_though_a_map_would_hide_it() {
    let mut bytes = packed(&[("manifest.json", b"{}"), ("manifest.jsom", b"{}")]);
    let twin = b"manifest.jsom";
    let mut replaced = 0;
    for at in 0..bytes.len() - twin.len() {
        if &bytes[at..at + twin.len()] == twin {
            bytes[at + twin.len() - 1] = b'n';
            replaced += 1;
        }
    }
    assert_eq!(replaced, 2, "in its own header and in the directory");
    assert!(matches!(refused(&bytes), ArchiveError::Twice));
}

#[test]
fn what_unpacks_to_too_much_is_refused_before_it_is_held() {
    let zeros = vec![0; usize::try_from(MOST_FILE_BYTES).unwrap() + 1];
    let bytes = packed(&[("photos/zeros", &zeros)]);
    assert!(bytes.len() < 64 * 1024, "it is small as it is sent");
    assert!(matches!(refused(&bytes), ArchiveError::Bomb { name } if name == "photos/zeros"));
    let most = &zeros[1..];
    let names: Vec<String> = (0..17).map(|n| format!("photos/{n}")).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), most)).collect();
    assert!(
        matches!(refused(&packed(&many)), ArchiveError::Bomb { .. }),
        "together"
    );
}

#[test]
fn an_archive_cut_short_anywhere_is_refused() {
    let bytes = written(&contents(&[("0189-a", example())]));
    for end in (0..bytes.len()).step_by(7) {
        refused(&bytes[..end]);
    }
    refused(b"");
    refused(b"PK\x05\x06");
    refused(EXAMPLE.as_bytes());
}

proptest! {
    #![proptest_config(crate::properties::cases(200))]

    /// Nothing changed by a hair is taken for what was written.
    #[test]
    fn a_changed_byte_is_refused_or_changes_nothing(at in any::<prop::sample::Index>(), to in any::<u8>()) {
        let contents = contents(&[("0189-a", example())]);
        let mut bytes = written(&contents);
        let at = at.index(bytes.len());
        bytes[at] = to;
        if let Ok(read) = archive::read(&bytes) {
            prop_assert_eq!(read.cards, contents.cards);
        }
    }

    #[test]
    fn no_bytes_bring_the_reader_down(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        prop_assert!(archive::read(&bytes).is_err());
    }
}
