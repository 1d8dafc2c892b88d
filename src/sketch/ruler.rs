//! The span ruler: one span as a large lying bar, foot at the left, with class
//! words, ticks, brackets of every blade gap, keys of the components, and a
//! table of figures in mm and inches from both ends. The table carries every
//! stretch and gap, so a crowded span grows longer and nothing collides.

use super::Options;
use super::bar::{self, Bar, Beside, Flags, Toward};
use super::caution;
use super::figures::{Range, inches, mm, word};
use super::mark::Mark;
use super::name::full_name;
use super::place::{Taken, spread};
use super::scene::{Anchor, Axis, Pen, Scene};
use super::text::Face;
use crate::domain::units::Rounding;
use crate::domain::zone::{Class, Gap, SpanZones, Zones};
use kurbo::{Point, Rect};

const WIDTH: f64 = 360.0;
const LEFT: f64 = 12.0;
const RIGHT: f64 = 348.0;
const THICK: f64 = 34.0;

pub fn draw(zones: &Zones, span: &SpanZones, options: &Options) -> Scene {
    let mut pen = Pen::default();
    let y = heading(&mut pen, span, options);
    let length_mm = span.length_mm.max(1.0);
    let bar = Bar {
        foot: LEFT,
        across: y + 18.0,
        thick: THICK,
        toward: Toward::Right,
        scale: (RIGHT - LEFT) / length_mm,
        length_mm,
    };
    class_words(&mut pen, &bar, span, 5.0);
    bar::draw(&mut pen, &bar, span, zones);
    if options.touch {
        let middle = bar.across + THICK / 2.0;
        pen.axis(Axis {
            span: span.id.to_string(),
            name: full_name(span),
            points: vec![
                bar.point(0.0, middle).into(),
                bar.point(span.length_mm, middle).into(),
            ],
            stations_mm: vec![0.0, span.length_mm],
        });
    }
    let keys = component_keys(&mut pen, &bar, span);
    bar::hard(&mut pen, &bar, span, Beside::After);
    let mut y = ticks(&mut pen, &bar);
    y = brackets(&mut pen, &bar, span, y);
    y = table(&mut pen, span, zones, y);
    y = notes(&mut pen, span, zones, &keys, y);
    if options.cautions {
        y = caution::write(&mut pen, options, LEFT, y + 8.0, RIGHT - LEFT);
    }
    Scene {
        width: WIDTH,
        height: (y + 8.0).ceil(),
        title: format!("Ruler of the {}", full_name(span)),
        desc: format!(
            "From the foot ({}) to the head ({}): {}.",
            span.foot,
            span.head,
            bar::in_words(span)
        ),
        readable: true,
        items: pen.items,
    }
}

/// Name and length, and what the two ends are.
fn heading(pen: &mut Pen, span: &SpanZones, options: &Options) -> f64 {
    let length = format!(
        "{} mm · {} in long",
        mm(span.length_mm, Rounding::Nearest),
        inches(span.length_mm, Rounding::Nearest)
    );
    let room = RIGHT - LEFT - Face::Note.width(&length) - 10.0;
    let name = Face::Name.wrap_to(&full_name(span), room, 2);
    pen.text(Face::Note, Anchor::End, (RIGHT, 16.0), length);
    let mut y = pen.lines(Face::Name, Anchor::Start, (LEFT, 16.0), &name);
    if let Some(title) = options.title {
        pen.text(
            Face::Note,
            Anchor::Start,
            (LEFT, y - 3.0),
            Face::Note.fit(title, RIGHT - LEFT),
        );
        y += 14.0;
    }
    let half = (RIGHT - LEFT) / 2.0 - 6.0;
    let foot = Face::Note.wrap(&format!("FOOT: {}", span.foot), half);
    let head = Face::Note.wrap(&format!("HEAD: {}", span.head), half);
    let low = pen.lines(Face::Note, Anchor::Start, (LEFT, y), &foot);
    low.max(pen.lines(Face::Note, Anchor::End, (RIGHT, y), &head)) - 12.0
}

/// Class words over their stretch, their baseline so far above it, where it is
/// wide enough to carry one.
pub(super) fn class_words(pen: &mut Pen, bar: &Bar, span: &SpanZones, above: f64) {
    let mut taken = Taken::new(Rect::new(0.0, 0.0, WIDTH, bar.across));
    let mut runs = bar::runs(span);
    runs.sort_by(|a, b| (b.2 - b.1).total_cmp(&(a.2 - a.1)));
    for (class, from, to) in runs {
        let wide = Face::Word.width(word(class));
        let middle = bar
            .along(0.5 * (from + to))
            .clamp(LEFT + wide / 2.0, RIGHT - wide / 2.0);
        let own = Rect::from_center_size(
            Point::new(middle, bar.across - above - 3.0),
            (wide + 6.0, 14.0),
        );
        if taken.free(own) && wide <= (to - from) * bar.scale + 14.0 {
            taken.take(own);
            pen.text(
                Face::Word,
                Anchor::Middle,
                (middle, bar.across - above),
                word(class),
            );
        }
    }
}

/// A number on each part, in a box; returns the components in that order.
fn component_keys(pen: &mut Pen, bar: &Bar, span: &SpanZones) -> Vec<String> {
    let mut ids: Vec<&str> = span.bands.iter().map(|b| b.component.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    let mut marks: Vec<(f64, usize)> = Vec::new();
    for (number, id) in ids.iter().enumerate() {
        let own = span.bands.iter().filter(|b| b.component == **id);
        let widest = own.max_by(|a, b| a.widening.length().total_cmp(&b.widening.length()));
        if let Some(band) = widest {
            let place = band.part.unwrap_or(band.widening);
            marks.push((bar.along(place.middle()), number + 1));
        }
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let middles: Vec<f64> = marks.iter().map(|m| m.0).collect();
    let widths: Vec<f64> = marks
        .iter()
        .map(|m| Face::Word.width(&m.1.to_string()) + 8.0)
        .collect();
    if let Some(placed) = spread(&middles, &widths, LEFT, RIGHT) {
        for ((middle, wide), (_, number)) in placed.iter().zip(&widths).zip(&marks) {
            let y = bar.across + THICK / 2.0;
            pen.rect(
                Mark::Paper,
                Rect::from_center_size(Point::new(*middle, y), (wide - 2.0, 16.0)),
            );
            pen.text(
                Face::Word,
                Anchor::Middle,
                (*middle, y + 4.3),
                number.to_string(),
            );
        }
    }
    ids.into_iter().map(str::to_owned).collect()
}

/// Ticks from the foot below, numbered in mm; returns the lower edge.
pub(super) fn ticks(pen: &mut Pen, bar: &Bar) -> f64 {
    let top = bar.off(Beside::After, 9.0);
    let step = [50.0, 100.0, 200.0, 500.0, 1000.0]
        .into_iter()
        .find(|step| step * bar.scale >= 15.0)
        .unwrap_or(2000.0);
    let every = if step * bar.scale * 2.0 >= 46.0 { 2 } else { 4 };
    let mut n: u32 = 0;
    while f64::from(n) * step <= bar.length_mm {
        let station = f64::from(n) * step;
        let x = bar.along(station);
        let numbered = n.is_multiple_of(every);
        pen.line(
            Mark::Tick,
            &[(x, top), (x, top + if numbered { 8.0 } else { 4.0 })],
        );
        if numbered {
            let text = format!("{station}");
            let half = Face::Small.width(&text) / 2.0;
            let middle = x.clamp(half + 2.0, WIDTH - half - 2.0);
            pen.text(Face::Small, Anchor::Middle, (middle, top + 19.0), text);
        }
        n += 1;
    }
    top + 22.0
}

/// The bracket and middle mark of every gap, overlapping ones in lanes.
pub(super) fn brackets(pen: &mut Pen, bar: &Bar, span: &SpanZones, top: f64) -> f64 {
    let mut lanes: Vec<f64> = Vec::new();
    for gap in sorted(span) {
        let lane = lanes
            .iter()
            .position(|end| *end < gap.from_mm)
            .unwrap_or(lanes.len());
        if lane == lanes.len() {
            lanes.push(0.0);
        }
        lanes[lane] = gap.to_mm;
        let distance = top - bar.off(Beside::After, 0.0) + 8.0 + 10.0 * lane as f64;
        bar::bracket(pen, bar, gap, Beside::After, distance);
        if span
            .middle_mm
            .is_some_and(|m| (m - gap_middle(gap)).abs() < 0.02)
        {
            let (x, y) = (bar.along(gap_middle(gap)), bar.off(Beside::After, distance));
            pen.line(Mark::Gap, &[(x, y - 7.0), (x, y + 4.0)]);
        }
    }
    if lanes.is_empty() {
        top
    } else {
        top + 8.0 + 10.0 * lanes.len() as f64
    }
}

fn sorted(span: &SpanZones) -> Vec<&Gap> {
    let mut gaps: Vec<&Gap> = span.gaps.iter().collect();
    gaps.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    gaps
}

/// What a gap is called, by its class.
const fn gap_name(class: Class) -> &'static str {
    match class {
        Class::Bare => "gap, bare",
        Class::Unproven | Class::NoCut => "gap, unseen",
        Class::Expected => "gap, expect",
    }
}

/// One line of the table: a stretch or a run of hard material.
struct Row {
    name: &'static str,
    cells: [String; 4],
    flags: String,
}

/// A stretch with the gaps that begin in it.
fn rows(span: &SpanZones, zones: &Zones) -> Vec<(f64, Row)> {
    let row = |name, range: Range, flags: Flags| {
        let head = range.from_head(span.length_mm);
        let cells = [range.mm(), range.inches(), head.mm(), head.inches()];
        (
            range.to_mm,
            Row {
                name,
                cells,
                flags: flags.words().join(" · "),
            },
        )
    };
    let runs = bar::rounded(span).into_iter().map(|(class, range)| {
        let flags = Flags::between(span, zones, range.from_mm, range.to_mm);
        row(
            word(class),
            range,
            if class == Class::NoCut {
                flags
            } else {
                Flags::default()
            },
        )
    });
    let hard = bar::hard_runs(span)
        .into_iter()
        .map(|(from, to)| row("HARD", Range::outward(from, to), Flags::default()));
    runs.chain(hard).collect()
}

/// Right edges of the figures' columns, and the face of the names beside them.
fn columns(rows: &[(f64, Row)]) -> ([f64; 4], Face) {
    const SPACE: f64 = 6.0;
    let widths = [0, 1, 2, 3].map(|i| {
        let own = rows.iter().map(|r| Face::Cell.width(&r.1.cells[i]));
        own.fold(Face::Small.width(HEADS[i]), f64::max) + SPACE
    });
    let names = RIGHT - LEFT - widths.iter().sum::<f64>();
    let slack = ((names - 64.0) / 4.0).clamp(0.0, 14.0);
    let mut edge = RIGHT;
    let mut edges = [RIGHT; 4];
    for i in (0..3).rev() {
        edge -= widths[i + 1] + slack;
        edges[i] = edge;
    }
    let face = if names >= Face::Word.width(word(Class::Unproven)) {
        Face::Word
    } else {
        Face::Cell
    };
    (edges, face)
}

const HEADS: [&str; 4] = ["mm", "in", "mm", "in"];

/// Figures of every stretch, gap and run of hard material, from both ends.
fn table(pen: &mut Pen, span: &SpanZones, zones: &Zones, top: f64) -> f64 {
    let rows = rows(span, zones);
    let (edges, name_face) = columns(&rows);
    let mut y = top + 20.0;
    pen.line(Mark::Tick, &[(LEFT, top + 6.0), (RIGHT, top + 6.0)]);
    pen.text(Face::Small, Anchor::End, (edges[1], y), "from FOOT");
    pen.text(Face::Small, Anchor::End, (edges[3], y), "from HEAD");
    y += 13.0;
    for (edge, head) in edges.iter().zip(HEADS) {
        pen.text(Face::Small, Anchor::End, (*edge, y), head);
    }
    let mut gaps = sorted(span).into_iter().peekable();
    for (until, row) in &rows {
        y += 17.0;
        pen.text(name_face, Anchor::Start, (LEFT, y), row.name);
        for (edge, cell) in edges.iter().zip(&row.cells) {
            pen.text(Face::Cell, Anchor::End, (*edge, y), cell.as_str());
        }
        if !row.flags.is_empty() {
            y += 14.0;
            pen.text(
                Face::Note,
                Anchor::Start,
                (LEFT + 8.0, y),
                row.flags.as_str(),
            );
        }
        while gaps.next_if(|g| g.from_mm < *until).is_some_and(|g| {
            y = gap_lines(pen, span, g, y);
            true
        }) {}
    }
    y + 4.0
}

/// A gap in the larger figures: from the foot, and below it from the head.
fn gap_lines(pen: &mut Pen, span: &SpanZones, gap: &Gap, above: f64) -> f64 {
    let foot = Range::inward(gap.from_mm, gap.to_mm);
    let face = Face::GapFigure;
    let mut y = above + 18.0;
    pen.text(
        Face::Word,
        Anchor::Start,
        (LEFT + 6.0, y),
        gap_name(gap.class),
    );
    for (range, end) in [(foot, "foot"), (foot.from_head(span.length_mm), "head")] {
        pen.text(face, Anchor::End, (212.0, y), range.mm() + " mm");
        pen.text(face, Anchor::End, (314.0, y), range.inches() + " in");
        pen.text(Face::Note, Anchor::End, (RIGHT, y), end);
        y += 16.0;
    }
    let middle = span
        .middle_mm
        .filter(|m| (m - gap_middle(gap)).abs() < 0.02);
    if let Some(middle) = middle {
        let text = format!(
            "middle {} mm ({} in) from foot",
            mm(middle, Rounding::Nearest),
            inches(middle, Rounding::Nearest)
        );
        pen.text(face, Anchor::Start, (LEFT + 8.0, y), text);
        y += 16.0;
    }
    y - 14.0
}

fn gap_middle(gap: &Gap) -> f64 {
    0.5 * (gap.from_mm + gap.to_mm)
}

/// The numbered components, and what the hard material is.
fn notes(pen: &mut Pen, span: &SpanZones, zones: &Zones, keys: &[String], top: f64) -> f64 {
    let mut y = top + 16.0;
    if span.gaps.is_empty() {
        pen.text(
            Face::Word,
            Anchor::Start,
            (LEFT, y),
            "no blade gap on this bar",
        );
        y += 17.0;
    }
    let find = |id: &str| zones.components.iter().find(|c| c.id == id);
    for (i, id) in keys.iter().enumerate() {
        let kind = find(id).map_or("part", |c| c.kind.name());
        let lines = Face::Note.wrap_to(&format!("{}  {kind} · {id}", i + 1), RIGHT - LEFT, 2);
        y = pen.lines(Face::Note, Anchor::Start, (LEFT, y), &lines);
    }
    let mut hard: Vec<&str> = span
        .stretches
        .iter()
        .flat_map(|s| &s.material)
        .map(|id| id.as_str())
        .collect();
    hard.sort_unstable();
    hard.dedup();
    for id in hard {
        let kind = find(id).map_or("material", |c| c.kind.name());
        let lines = Face::Note.wrap_to(&format!("HARD  {kind} · {id}"), RIGHT - LEFT, 2);
        y = pen.lines(Face::Note, Anchor::Start, (LEFT, y), &lines);
    }
    y - 12.0
}
