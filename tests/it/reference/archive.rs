//! An archive for an independent reader of ZIP, JSON and SHA-256:
//! `tests/reference/archive_read_back.py`, which `tests/run` runs after this.

use crate::support::card_file;
use crate::support::cards::{card, sample};
use pillarbook::contract::archive::{self, ArchivedCard, Contents, Origin};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use time::macros::datetime;

#[test]
fn an_archive_is_written_for_the_independent_reader() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/target/reference/archive");
    std::fs::create_dir_all(folder).unwrap();
    let strategy = card();
    let cards: Vec<ArchivedCard> = (0..12)
        .map(|seed| ArchivedCard {
            id: format!("0189-{seed}"),
            revision: i64::try_from(seed + 1).unwrap(),
            card: sample(&strategy, seed),
        })
        .collect();
    // What was put in, by a writer of the tests' own.
    let put_in: serde_json::Map<String, Value> = cards
        .iter()
        .map(|c| (c.id.clone(), card_file::card(&c.card)))
        .collect();
    let photo: Vec<u8> = (0..=255).cycle().take(70_000).collect();
    let bytes = archive::write(&Contents {
        made_at: datetime!(2026-03-05 10:02:00 UTC),
        origin: Origin {
            department: "0189-origin".to_owned(),
            name: "Saltby, invented".to_owned(),
        },
        cards,
        files: BTreeMap::from([("photos/p1.webp".to_owned(), photo)]),
    })
    .unwrap();
    std::fs::write(format!("{folder}/archive.zip"), bytes).unwrap();
    let list = json!({"cards": put_in, "photo": {"name": "photos/p1.webp", "bytes": 70_000}});
    std::fs::write(format!("{folder}/put_in.json"), list.to_string()).unwrap();
}
