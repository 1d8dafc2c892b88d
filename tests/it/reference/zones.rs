//! Random cards, written for the command line and for the second implementation in
//! `tests/reference/zones_oracle.py`, which `tests/run` runs after this.

use crate::support::{card_file, cards};
use pillarbook::domain::body::{fit, style};
use serde_json::{Value, json};
use std::io::Write;

const CARDS: u64 = 240;

#[test]
fn random_cards_are_written_for_the_second_implementation() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/target/reference");
    std::fs::create_dir_all(folder).unwrap();
    let file = std::fs::File::create(format!("{folder}/cards.jsonl")).unwrap();
    let mut out = std::io::BufWriter::new(file);
    let any = cards::card();
    for seed in 0..CARDS {
        let card = cards::sample(&any, seed);
        let body = fit(style(card.vehicle.body_style), &card.measured).unwrap();
        let expected: Vec<Value> = body
            .style
            .expectations
            .iter()
            .map(|e| {
                json!({
                    "id": e.id, "span": e.span, "from_share": e.from_share, "to_share": e.to_share,
                    "common_from": e.common_from, "drives": e.drives,
                })
            })
            .collect();
        let centrelines: Vec<Value> = body
            .spans
            .iter()
            .map(|s| json!(s.line.vertices()))
            .collect();
        let line = json!({
            "seed": seed, "card": card_file::card(&card),
            "style_expectations": expected, "centrelines_unrounded": centrelines,
        });
        writeln!(out, "{line}").unwrap();
    }
}
