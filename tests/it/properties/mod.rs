//! What must hold for every card: random cards over all body styles.
//!
//! The safety rules first (a no-cut never shrinks by what must not shrink it),
//! then the shape of the answer, then a simulation of true parts.

mod archive;
mod noted;
mod shape;
mod shrink;
mod simulation;
pub mod symmetry;

use pillarbook::domain::card::Card;
use pillarbook::domain::geometry::{Interval, interval::union};
use pillarbook::domain::vehicle::Variant;
use pillarbook::domain::zone::{Class, SpanZones, Zones, zones};
use proptest::prelude::ProptestConfig;
use proptest::test_runner::RngSeed;

/// How far two roundings of one figure may be apart, mm.
const ROUNDED: f64 = 0.021;

/// So many cards, the same ones on every run: what fails here fails anywhere.
/// `PROPTEST_RNG_SEED` asks for others, `PROPTEST_CASES` for more.
pub fn cases(cases: u32) -> ProptestConfig {
    let asked = ProptestConfig::default();
    let usual = ProptestConfig {
        cases: match std::env::var_os("PROPTEST_CASES") {
            Some(_) => asked.cases,
            None => cases,
        },
        max_global_rejects: 50_000.max(asked.cases),
        failure_persistence: None,
        ..asked
    };
    match std::env::var_os("PROPTEST_RNG_SEED") {
        Some(_) => usual,
        None => ProptestConfig {
            rng_seed: RngSeed::Fixed(17),
            ..usual
        },
    }
}

fn answer(card: &Card) -> Zones {
    zones(card, &Variant::default()).expect("every valid card answers")
}

fn no_cut(span: &SpanZones) -> Vec<Interval> {
    let stretches = span.stretches.iter().filter(|s| s.class == Class::NoCut);
    union(
        stretches
            .map(|s| Interval::new(s.from_mm, s.to_mm))
            .collect(),
    )
    .into_vec()
}

/// Where the no-cut of `before` is not in the no-cut of `after`, in words.
fn shrunk(before: &Zones, after: &Zones) -> Option<String> {
    before.spans.iter().zip(&after.spans).find_map(|(was, is)| {
        assert_eq!(was.id, is.id);
        let wide: Vec<_> = no_cut(is)
            .iter()
            .map(|i| Interval::new(i.from - ROUNDED, i.to + ROUNDED))
            .collect();
        let lost = no_cut(was)
            .into_iter()
            .find(|i| !wide.iter().any(|w| w.covers(*i)))?;
        Some(format!("{}: {lost:?} is not in {:?}", was.id, no_cut(is)))
    })
}
