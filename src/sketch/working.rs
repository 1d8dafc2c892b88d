//! What a plan does, drawn over the zones: a numbered blade across the bar at
//! each cut, a round number at each contact, an arrow along each look. Numbers
//! are those of the plan's steps; shape and word tell what each is, not colour.

use super::bar::{Bar, Beside, Toward};
use super::mark::Mark;
use super::place::spread;
use super::scene::{Anchor, Form, Pen};
use super::text::Face;
use crate::domain::zone::SpanZones;
use kurbo::{Circle, Point, Rect, Shape as _, Vec2};

/// What is done at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// A blade parts the span.
    Cut,
    /// Something presses or lifts.
    Contact,
    /// Trim is off, and the metal was looked at.
    Look,
}

/// One place of a plan on a span.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    pub doing: Doing,
    /// Number of the step; empty for a look.
    pub number: String,
    pub span: String,
    /// From the foot, mm; of a look where it begins.
    pub from_mm: f64,
    /// The same, or where a look ends.
    pub to_mm: f64,
    /// There is no place for it: drawn crossed out where it was meant.
    pub blocked: bool,
    /// What is said of it: `seen bare`, `look first` …
    pub word: String,
}

/// How far a blade stands out of its bar on each side.
const OUT: f64 = 5.0;
/// How far beyond a short bar numbers may stand, and the edge of the drawing.
const FAR: f64 = 60.0;
const RIGHTMOST: f64 = 356.0;
/// Height of a number's box.
const HIGH: f64 = 14.0;

/// The works on one span, from foot to head.
pub fn on_span<'a>(works: &'a [Work], span: &SpanZones) -> Vec<&'a Work> {
    let mut own: Vec<&Work> = works.iter().filter(|w| w.span == span.id).collect();
    own.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    own
}

/// Draws what is done on a bar, the numbers on the bar itself.
pub fn on_bar(pen: &mut Pen, bar: &Bar, works: &[&Work]) {
    for look in works.iter().filter(|w| w.doing == Doing::Look) {
        look_along(pen, bar, look);
    }
    let numbered: Vec<&&Work> = works.iter().filter(|w| w.doing != Doing::Look).collect();
    for work in &numbered {
        blade(pen, bar, work);
    }
    numbers(pen, bar, &numbered);
}

/// The blade across the bar, with wedges at its ends; crossed where blocked.
fn blade(pen: &mut Pen, bar: &Bar, work: &Work) {
    let (low, high) = (bar.off(Beside::Before, OUT), bar.off(Beside::After, OUT));
    let station = work.from_mm;
    if work.doing == Doing::Contact {
        return;
    }
    if work.blocked {
        let reach = if bar.toward == Toward::Up {
            HIGH
        } else {
            wide(work)
        };
        let each = (reach / 2.0 + OUT) / bar.scale;
        for (a, b) in [(-each, each), (each, -each)] {
            let ends = [
                bar.point(station + a, low + 1.0),
                bar.point(station + b, high - 1.0),
            ];
            pen.line(Mark::Arrow, &ends);
        }
        return;
    }
    pen.line(
        Mark::Edge,
        &[bar.point(station, low), bar.point(station, high)],
    );
    for (tip, back) in [(low + OUT, low), (high - OUT, high)] {
        let tip = Point::from(bar.point(station, tip));
        let end = Point::from(bar.point(station, back));
        let along = Point::from(bar.point(station, 0.0)) - Point::from(bar.point(station, 1.0));
        let half = Vec2::new(-along.y, along.x) * 3.5;
        let points = vec![tip, end + half, end - half];
        pen.form(
            Mark::Ink,
            Form::Line {
                points,
                closed: true,
            },
        );
    }
}

/// Number boxes along the middle of the bar, square for cuts and round for
/// contacts, none on another.
fn numbers(pen: &mut Pen, bar: &Bar, works: &[&&Work]) {
    let upright = bar.toward == Toward::Up;
    let mut placed: Vec<(f64, &Work)> = works.iter().map(|w| (bar.along(w.from_mm), **w)).collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let length = |w: &Work| if upright { HIGH } else { wide(w) };
    let middles: Vec<f64> = placed.iter().map(|p| p.0).collect();
    let lengths: Vec<f64> = placed.iter().map(|p| length(p.1)).collect();
    let ends = (bar.along(0.0), bar.along(bar.length_mm));
    // At the foot of a standing bar its name begins.
    let past = if upright { 0.0 } else { 8.0 };
    let (low, high) = (ends.0.min(ends.1) - 8.0, ends.0.max(ends.1) + past);
    // A short lying bar has room behind its far end.
    let far = if upright {
        high
    } else {
        (high + FAR).min(RIGHTMOST)
    };
    let at = spread(&middles, &lengths, low, high)
        .or_else(|| spread(&middles, &lengths, low, far))
        .unwrap_or(middles);
    for (along, (_, work)) in at.iter().zip(&placed) {
        let across = bar.across + bar.thick / 2.0;
        let middle = if upright {
            Point::new(across, *along)
        } else {
            Point::new(*along, across)
        };
        number(pen, middle, work);
    }
}

/// Width of a work's number box.
pub fn wide(work: &Work) -> f64 {
    Face::Word.width(&work.number) + 8.0
}

/// One number in its box.
pub fn number(pen: &mut Pen, middle: Point, work: &Work) {
    let own = Rect::from_center_size(middle, (wide(work) - 1.5, HIGH - 1.0));
    match work.doing {
        Doing::Contact => {
            let round = own.to_rounded_rect(HIGH / 2.0).to_path(0.1);
            pen.form(Mark::Paper, Form::Curve(round));
        }
        Doing::Cut | Doing::Look => {
            pen.rect(Mark::Paper, own);
            pen.rect(Mark::Edge, own);
        }
    }
    let baseline = middle.y + 4.3;
    pen.text(
        Face::Word,
        Anchor::Middle,
        (middle.x, baseline),
        work.number.as_str(),
    );
}

/// A line with bars at both ends beside the bar: where trim is off.
fn look_along(pen: &mut Pen, bar: &Bar, look: &Work) {
    let across = bar.off(Beside::Before, 3.5);
    let ends = [look.from_mm, look.to_mm];
    pen.line(Mark::Arrow, &ends.map(|mm| bar.point(mm, across)));
    for mm in ends {
        pen.line(
            Mark::Arrow,
            &[bar.point(mm, across - 4.0), bar.point(mm, across + 4.0)],
        );
    }
}

/// A work's mark at a point of a view: a blade across the span, a ring, or
/// nothing but its leader.
pub fn at_point(pen: &mut Pen, at: Point, along: Vec2, work: &Work) {
    let across = Vec2::new(-along.y, along.x) / along.hypot().max(1e-9);
    match work.doing {
        Doing::Cut if !work.blocked => {
            let (a, b) = (at + across * 9.0, at - across * 9.0);
            pen.line(Mark::Edge, &[a.into(), b.into()]);
        }
        Doing::Cut => {
            for turned in [Vec2::new(5.0, 5.0), Vec2::new(5.0, -5.0)] {
                pen.line(Mark::Arrow, &[(at + turned).into(), (at - turned).into()]);
            }
        }
        Doing::Contact | Doing::Look => {
            let ring = Circle::new(at, 4.0).to_path(0.1);
            pen.form(Mark::Paper, Form::Curve(ring));
        }
    }
}

/// `2 cut, B-pillar, left, 415 from the foot: seen bare`, a line each; returns
/// the lower edge.
pub fn key(
    pen: &mut Pen,
    works: &[Work],
    spans: &[SpanZones],
    left: f64,
    top: f64,
    width: f64,
) -> f64 {
    let mut y = top + Face::Note.ascent();
    for work in works {
        let Some(span) = spans.iter().find(|s| s.id == work.span) else {
            continue;
        };
        let lines = Face::Note.wrap(&said(work, span), width);
        y = pen.lines(Face::Note, Anchor::Start, (left, y), &lines);
    }
    y - Face::Note.ascent()
}

fn said(work: &Work, span: &SpanZones) -> String {
    let name = super::name::full_name(span);
    match (work.doing, work.blocked) {
        (Doing::Look, _) => format!(
            "Look: {name}, {:.0}–{:.0} from the foot: {}",
            work.from_mm.ceil(),
            work.to_mm.floor(),
            work.word
        ),
        (_, true) => format!("{}  {name}: no place, {}", work.number, work.word),
        (Doing::Cut, false) => format!(
            "{}  cut, {name}, {:.0} from the foot: {}",
            work.number, work.from_mm, work.word
        ),
        (Doing::Contact, false) => format!(
            "{}  presses, {name}, {:.0} from the foot: {}",
            work.number, work.from_mm, work.word
        ),
    }
}
