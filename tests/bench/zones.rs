//! Speed beside a named peer, in the same run: the zones of a card with 40
//! components on all spans of an `suv`, and the same keep-outs buffered, united
//! and clipped by shapely. Prints ratios; asserts nothing.
//!
//! `cargo bench --bench zones`; the peer needs the Python environment that
//! `bash tests/run` makes (or `PILLARBOOK_PYTHON=…` with shapely and numpy).

use pillarbook::domain::body::{FittedBody, Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::{Zones, zones};
use serde_json::json;
use std::hint::black_box;
use std::process::Command;
use std::time::{Duration, Instant};

const COMPONENTS: usize = 40;
const ROUNDS: usize = 400;

/// As the program has it.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> anyhow::Result<()> {
    // `cargo test --benches` passes `--test`: one round, to see that it runs.
    let rounds = if std::env::args().any(|a| a == "--test") {
        1
    } else {
        ROUNDS
    };
    let body = fit(style(StyleId::Suv), &Measured::default())?;
    let card = full_card(&body);
    let variant = Variant::default();
    let ours = median(rounds, || zones(black_box(&card), &variant));
    println!(
        "zones of {COMPONENTS} components on {} spans: {}",
        body.spans.len(),
        micros(ours)
    );
    if rounds > 1 {
        let peer = shapely(&zones(&card, &variant)?)?;
        println!(
            "shapely (vectorised, 16 segments a quarter circle): {}",
            micros(peer)
        );
        println!(
            "ratio shapely / zones: {:.1}",
            peer.as_secs_f64() / ours.as_secs_f64()
        );
    }
    Ok(())
}

fn micros(time: Duration) -> String {
    format!("{:.1} µs (median)", time.as_secs_f64() * 1e6)
}

fn median<T>(rounds: usize, mut work: impl FnMut() -> T) -> Duration {
    let mut times: Vec<Duration> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed()
        })
        .collect();
    times.sort();
    times[times.len() / 2]
}

/// One component after the other over all spans, each a third of a span long at most.
fn full_card(body: &FittedBody) -> Card {
    let kinds: Vec<Kind> = Kind::ALL
        .iter()
        .copied()
        .filter(|k| k.default_clearance_mm().is_some())
        .collect();
    let findings = (0..COMPONENTS)
        .map(|i| {
            let span = &body.spans[i % body.spans.len()];
            let length = span.line.length();
            let from_mm = length * (0.1 + 0.05 * (i % 9) as f64);
            let place = Place::OnSpan {
                span: span.id.clone(),
                from_mm,
                to_mm: from_mm + length * 0.15,
            };
            finding(i, kinds[i % kinds.len()], place)
        })
        .collect();
    Card {
        findings,
        ..Card::unrecorded(Vehicle::of_style(StyleId::Suv))
    }
}

fn finding(i: usize, kind: Kind, place: Place) -> Finding {
    Finding {
        id: format!("f{i}"),
        report: Report::Component(ComponentReport {
            component: format!("c{i}"),
            kind,
            place,
            radius_mm: None,
            bag: None,
            belt_seat: None,
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: time::macros::date!(2026 - 03 - 04),
        by: None,
        car: Some("yard 14".into()),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

/// The same keep-outs and spans, seen from the side, given to the peer.
fn shapely(zones: &Zones) -> anyhow::Result<Duration> {
    let flat = |p: &pillarbook::domain::frame::Point| [p.x, p.z];
    let task = json!({
        "spans": zones.spans.iter()
            .map(|s| s.centreline_mm.iter().map(flat).collect::<Vec<_>>()).collect::<Vec<_>>(),
        "bodies": zones.components.iter()
            .map(|c| json!({"ends": c.ends_mm.iter().map(flat).collect::<Vec<_>>(),
                            "radius": c.keep_out_mm}))
            .collect::<Vec<_>>(),
    });
    let file = tempfile::NamedTempFile::new()?;
    serde_json::to_writer(&file, &task)?;
    let root = env!("CARGO_MANIFEST_DIR");
    let python = std::env::var("PILLARBOOK_PYTHON")
        .unwrap_or_else(|_| format!("{root}/target/check-env/bin/python"));
    let done = Command::new(&python)
        .arg(format!("{root}/tests/bench/shapely_zones.py"))
        .arg(file.path())
        .output()
        .map_err(|e| anyhow::anyhow!("the peer did not run ({python}): {e}"))?;
    anyhow::ensure!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let seconds: f64 = String::from_utf8(done.stdout)?.trim().parse()?;
    Ok(Duration::from_secs_f64(seconds))
}
