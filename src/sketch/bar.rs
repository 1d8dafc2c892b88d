//! A span straightened into a bar, wherever it stands or lies: its stretches in
//! hatch with the nested bands of no-cut zones, the edge that tells the state of
//! the evidence, hard material beside it, brackets of its blade gaps.

use super::figures::{Range, boundary, word};
use super::mark::{Hatch, Mark};
use super::scene::Pen;
use crate::domain::geometry::Interval;
use crate::domain::units::Rounding;
use crate::domain::zone::{Class, Component, Gap, SpanZones, Stretch, Zones};
use kurbo::Rect;

/// Which way the head lies from the foot, on the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    Up,
    Right,
    Left,
}

/// Where a bar is on the drawing.
#[derive(Debug, Clone, Copy)]
pub struct Bar {
    /// The foot's coordinate along the bar.
    pub foot: f64,
    /// The smaller coordinate across the bar.
    pub across: f64,
    pub thick: f64,
    pub toward: Toward,
    /// User units a millimetre.
    pub scale: f64,
    pub length_mm: f64,
}

/// On which side of a bar something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Above a lying bar, left of a standing one.
    Before,
    /// Below a lying bar, right of a standing one.
    After,
}

impl Bar {
    /// The coordinate along the bar of a station.
    pub fn along(&self, station_mm: f64) -> f64 {
        let d = station_mm.clamp(0.0, self.length_mm) * self.scale;
        match self.toward {
            Toward::Right => self.foot + d,
            Toward::Up | Toward::Left => self.foot - d,
        }
    }

    /// A point by station and coordinate across.
    pub fn point(&self, station_mm: f64, across: f64) -> (f64, f64) {
        match self.toward {
            Toward::Up => (across, self.along(station_mm)),
            Toward::Right | Toward::Left => (self.along(station_mm), across),
        }
    }

    /// The piece of bar between two stations, shrunk across by `inset`.
    pub fn piece(&self, from_mm: f64, to_mm: f64, inset: f64) -> Rect {
        let a = self.point(from_mm, self.across + inset);
        let b = self.point(to_mm, self.across + self.thick - inset);
        Rect::new(a.0, a.1, b.0, b.1).abs()
    }

    pub fn whole(&self) -> Rect {
        self.piece(0.0, self.length_mm, 0.0)
    }

    /// The coordinate across, `distance` off the bar.
    pub fn off(&self, side: Beside, distance: f64) -> f64 {
        match side {
            Beside::Before => self.across - distance,
            Beside::After => self.across + self.thick + distance,
        }
    }
}

/// What the evidence behind a no-cut stretch is like.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Flags {
    pub disputed: bool,
    pub offered: bool,
    pub single: bool,
}

impl Flags {
    /// Of a stretch: what is said of any component that makes it.
    pub fn of(stretch: &Stretch, zones: &Zones) -> Self {
        let mut flags = Self::default();
        if stretch.class != Class::NoCut {
            return flags;
        }
        for component in made_by(stretch, zones) {
            flags = flags.or(Self::of_component(component));
        }
        flags
    }

    pub fn of_component(component: &Component) -> Self {
        Self {
            disputed: component.disputed,
            offered: component.offered || component.keep_outs.iter().any(|k| k.offered),
            single: component.single_source,
        }
    }

    /// Of the stretches between two stations.
    pub fn between(span: &SpanZones, zones: &Zones, from_mm: f64, to_mm: f64) -> Self {
        let within = |s: &&Stretch| s.from_mm >= from_mm - 0.01 && s.to_mm <= to_mm + 0.01;
        let all = span.stretches.iter().filter(within);
        all.map(|s| Self::of(s, zones))
            .fold(Self::default(), Self::or)
    }

    /// Of a whole span.
    pub fn of_span(span: &SpanZones, zones: &Zones) -> Self {
        Self::between(span, zones, 0.0, f64::MAX)
    }

    pub const fn or(self, other: Self) -> Self {
        Self {
            disputed: self.disputed || other.disputed,
            offered: self.offered || other.offered,
            single: self.single || other.single,
        }
    }

    pub fn words(self) -> Vec<&'static str> {
        self.said(["disputed", "offered", "1 source"])
    }

    /// One sign each, for a narrow column; [`Flags::KEY`] says what they mean.
    pub fn signs(self) -> Vec<&'static str> {
        self.said(["D", "O", "1×"])
    }

    pub const KEY: &'static str = "D disputed · O offered · 1× one source only";

    fn said(self, words: [&'static str; 3]) -> Vec<&'static str> {
        let said = [self.disputed, self.offered, self.single];
        words
            .into_iter()
            .zip(said)
            .filter(|(_, said)| *said)
            .map(|(word, _)| word)
            .collect()
    }
}

/// The components that make a stretch no-cut.
pub fn made_by<'a>(stretch: &'a Stretch, zones: &'a Zones) -> impl Iterator<Item = &'a Component> {
    zones
        .components
        .iter()
        .filter(|c| stretch.because.contains(&c.id))
}

/// The bar with its stretches, bands and edges.
pub fn draw(pen: &mut Pen, bar: &Bar, span: &SpanZones, zones: &Zones) {
    for stretch in &span.stretches {
        let mark = match stretch.class {
            Class::NoCut if banded(stretch, span) => Mark::Fill(Hatch::Widening),
            Class::NoCut => Mark::Fill(Hatch::Clearance),
            Class::Expected => Mark::Fill(Hatch::Expected),
            Class::Unproven => Mark::Fill(Hatch::Unseen),
            Class::Bare => Mark::Bare,
        };
        pen.rect(mark, bar.piece(stretch.from_mm, stretch.to_mm, 0.0));
    }
    for (from, to) in layer(span, |b| b.clearance) {
        pen.rect(Mark::Fill(Hatch::Clearance), bar.piece(from, to, 0.0));
    }
    for (from, to) in layer(span, |b| b.part) {
        pen.rect(Mark::Part, bar.piece(from, to, 0.0));
    }
    for (class, from, to) in runs(span) {
        let piece = bar.piece(from, to, 0.0);
        match class {
            Class::NoCut => edge(pen, piece, Flags::between(span, zones, from, to)),
            _ => pen.rect(Mark::EdgeThin, piece),
        }
    }
}

fn edge(pen: &mut Pen, piece: Rect, flags: Flags) {
    if flags.disputed {
        let inset = 1.6_f64.min(piece.width() / 2.0).min(piece.height() / 2.0);
        pen.rect(Mark::EdgeDouble, piece.inflate(1.2, 1.2));
        pen.rect(Mark::EdgeDouble, piece.inset(-inset));
    } else if flags.offered {
        pen.rect(Mark::EdgeOffered, piece);
    } else if flags.single {
        pen.rect(Mark::EdgeThin, piece);
    } else {
        pen.rect(Mark::Edge, piece);
    }
}

fn banded(stretch: &Stretch, span: &SpanZones) -> bool {
    let all = Interval::new(stretch.from_mm, stretch.to_mm);
    span.bands.iter().any(|b| b.widening.overlaps(all))
}

/// One layer of the bands, clipped to the stretches that are no-cut: a zone that
/// counts as something else is drawn as that.
fn layer(
    span: &SpanZones,
    pick: impl Fn(&crate::domain::zone::Bands) -> Option<Interval>,
) -> Vec<(f64, f64)> {
    let mut pieces = Vec::new();
    for wanted in span.bands.iter().filter_map(pick) {
        for stretch in span.stretches.iter().filter(|s| s.class == Class::NoCut) {
            let all = Interval::new(stretch.from_mm, stretch.to_mm);
            if let Some(cut) = all.intersection(wanted).filter(|c| c.length() > 0.0) {
                pieces.push((cut.from, cut.to));
            }
        }
    }
    pieces
}

/// Hard material as a dashed bar beside it.
pub fn hard(pen: &mut Pen, bar: &Bar, span: &SpanZones, side: Beside) {
    for (from, to) in hard_runs(span) {
        let across = bar.off(side, 5.0);
        pen.line(
            Mark::Hard,
            &[bar.point(from, across), bar.point(to, across)],
        );
    }
}

/// Runs of stations with hard material, neighbours joined.
pub fn hard_runs(span: &SpanZones) -> Vec<(f64, f64)> {
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for s in span.stretches.iter().filter(|s| !s.material.is_empty()) {
        match runs.last_mut() {
            Some(last) if (last.1 - s.from_mm).abs() < 0.005 => last.1 = s.to_mm,
            _ => runs.push((s.from_mm, s.to_mm)),
        }
    }
    runs
}

/// The gaps of the best class there is.
pub fn best_gaps(span: &SpanZones) -> Vec<Gap> {
    [Class::Bare, Class::Unproven, Class::Expected]
        .into_iter()
        .map(|class| {
            span.gaps
                .iter()
                .copied()
                .filter(|g| g.class == class)
                .collect::<Vec<_>>()
        })
        .find(|gaps| !gaps.is_empty())
        .unwrap_or_default()
}

/// The bracket of a gap, `distance` off the bar, opening toward it.
pub fn bracket(pen: &mut Pen, bar: &Bar, gap: &Gap, side: Beside, distance: f64) {
    let (near, far) = (bar.off(side, distance - 4.0), bar.off(side, distance));
    let mark = match gap.class {
        // Too short for dashes; its figures say what it is.
        _ if (gap.to_mm - gap.from_mm) * bar.scale < 9.0 => Mark::Gap,
        Class::Bare => Mark::Gap,
        Class::Unproven | Class::NoCut => Mark::GapUnseen,
        Class::Expected => Mark::GapExpected,
    };
    let ends = [
        bar.point(gap.from_mm, near),
        bar.point(gap.from_mm, far),
        bar.point(gap.to_mm, far),
        bar.point(gap.to_mm, near),
    ];
    pen.line(mark, &ends);
}

/// The bar in words: `NO CUT 0 to 331 mm, BARE 331 to 700 mm; …`.
pub fn in_words(span: &SpanZones) -> String {
    let mut words: Vec<String> = rounded(span)
        .into_iter()
        .map(|(class, range)| format!("{} {} mm", word(class), range.mm()))
        .collect();
    if best_gaps(span).is_empty() {
        words.push("no blade gap".into());
    }
    words.join(", ")
}

/// Class runs with the way their printed ends round.
pub fn rounded(span: &SpanZones) -> Vec<(Class, Range)> {
    let runs = runs(span);
    let bound = |a: usize, b: usize| match (runs.get(a), runs.get(b)) {
        (Some(below), Some(above)) => boundary(below.0, above.0),
        _ => Rounding::Nearest,
    };
    let range = |(i, run): (usize, &(Class, f64, f64))| {
        let range = Range {
            from_mm: run.1,
            to_mm: run.2,
            from_rounds: bound(i.wrapping_sub(1), i),
            to_rounds: bound(i, i + 1),
        };
        (run.0, range)
    };
    runs.iter().enumerate().map(range).collect()
}

/// Stretches joined where only the material differs.
pub fn runs(span: &SpanZones) -> Vec<(Class, f64, f64)> {
    let mut runs: Vec<(Class, f64, f64)> = Vec::new();
    for s in &span.stretches {
        match runs.last_mut() {
            Some(last) if last.0 == s.class => last.2 = s.to_mm,
            _ => runs.push((s.class, s.from_mm, s.to_mm)),
        }
    }
    runs
}
