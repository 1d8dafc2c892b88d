//! Speed beside a named peer, in the same run: the zones of a card with 40
//! components on all spans of an `suv`, and the same keep-outs buffered, united
//! and clipped by shapely; what one sketch and a plan of every opening take; and
//! what `serve --demo` holds in memory. Prints figures and ratios; asserts nothing.
//!
//! `cargo bench --bench zones`; the peer needs the Python environment that
//! `bash tests/run` makes (or `PILLARBOOK_PYTHON=…` with shapely and numpy).

mod memory;

use pillarbook::domain::body::{FittedBody, Measured, StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::opening::plan::{Settings, plan};
use pillarbook::domain::opening::{Ask, Care};
use pillarbook::domain::vehicle::{Variant, Vehicle};
use pillarbook::domain::zone::{Zones, zones};
use pillarbook::sketch::{Look, Options, View, draw, svg};
use serde_json::json;
use std::hint::black_box;
use std::process::Command;
use std::time::{Duration, Instant};

const COMPONENTS: usize = 40;
const ROUNDS: usize = 400;

fn main() -> anyhow::Result<()> {
    // `cargo test --benches` passes `--test`: one round, to see that it runs.
    if std::env::args().any(|a| a == "--test") {
        Times::of(1, &suv()?)?;
        return Ok(());
    }
    let car = suv()?;
    let before = Times::of(ROUNDS, &car)?;
    let peer = shapely(&zones(&car.card, &Variant::default())?)?;
    // The better of two passes about the peer's: another's work only slows one.
    let ours = before.better(Times::of(ROUNDS, &car)?);
    println!(
        "zones of {COMPONENTS} components on {} spans: {}",
        car.body.spans.len(),
        micros(ours.zones)
    );
    println!(
        "shapely (vectorised, 16 segments a quarter circle): {}, ratio shapely / zones: {:.1}",
        micros(peer),
        ratio(peer, ours.zones)
    );
    println!(
        "zones and the side frame as SVG: {}, ratio to zones: {:.1}",
        micros(ours.sketched),
        ratio(ours.sketched, ours.zones)
    );
    println!(
        "plan over all openings, cut by cut: {}, ratio to zones: {:.1}",
        micros(ours.planned),
        ratio(ours.planned, ours.zones)
    );
    let memory::Resident {
        idle_mib,
        used_mib,
        cards,
    } = memory::of_demo()?;
    println!(
        "resident memory of serve --demo: {idle_mib:.1} MiB idle, \
         {used_mib:.1} MiB after its {cards} cards"
    );
    Ok(())
}

fn ratio(time: Duration, to: Duration) -> f64 {
    time.as_secs_f64() / to.as_secs_f64()
}

/// The car of the benchmark: an unfitted `suv` and its card.
struct Car {
    body: FittedBody,
    card: Card,
}

fn suv() -> anyhow::Result<Car> {
    let body = fit(style(StyleId::Suv), &Measured::default())?;
    let card = full_card(&body);
    Ok(Car { body, card })
}

/// Medians of zones alone, and of zones with one sketch.
struct Times {
    zones: Duration,
    sketched: Duration,
    /// Zones and every opening for one patient; aim: under 5 ms.
    planned: Duration,
}

impl Times {
    fn of(rounds: usize, car: &Car) -> anyhow::Result<Self> {
        let found = || zones(black_box(&car.card), &Variant::default());
        let options = Options::default();
        let sketch = || -> anyhow::Result<String> {
            let scene = draw(&found()?, &car.body, View::FrameLeft, &options);
            Ok(svg::write(&scene, Look::Light))
        };
        let ask = Ask::of("front-left", Care::Gentle);
        let settings = Settings::default();
        let plan = || plan(black_box(&car.card), &ask, &settings);
        found()?;
        sketch()?;
        plan()?;
        Ok(Self {
            zones: median(rounds, found),
            sketched: median(rounds, sketch),
            planned: median(rounds, plan),
        })
    }

    fn better(self, other: Self) -> Self {
        Self {
            zones: self.zones.min(other.zones),
            sketched: self.sketched.min(other.sketched),
            planned: self.planned.min(other.planned),
        }
    }
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
                span: span.id.to_string(),
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
