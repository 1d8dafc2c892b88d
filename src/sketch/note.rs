//! Notes on a drawing: the note's id in a tag with a round end, with a leader to
//! its place, or at the tail of its arrow. A tag is no part's number, which
//! stands in a square box; one that is only offered has a dashed edge.

use super::bar::{Bar, Beside, Toward};
use super::mark::Mark;
use super::place::spread;
use super::scene::{Anchor, Form, Pen};
use super::text::Face;
use crate::domain::annotation::Target;
use crate::domain::zone::SpanZones;
use kurbo::{Point, Rect, Shape as _, Vec2};

/// A note as a drawing shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct NoteMark {
    pub id: String,
    pub target: Target,
    pub offered: bool,
    /// What the drawing's key says of it.
    pub said: String,
}

/// Height of a tag.
pub const HIGH: f64 = 14.0;

/// Width of a tag with these words.
pub fn wide(words: &str) -> f64 {
    Face::Word.width(words) + 12.0
}

/// A tag with its words.
pub fn tag(pen: &mut Pen, middle: Point, words: &str, offered: bool) {
    let own = Rect::from_center_size(middle, (wide(words) - 1.5, HIGH - 1.0));
    let round = own.to_rounded_rect(HIGH / 2.0).to_path(0.1);
    pen.form(Mark::Paper, Form::Curve(round.clone()));
    if offered {
        pen.form(Mark::EdgeOffered, Form::Curve(round));
    }
    let at = (middle.x, middle.y + 4.3);
    pen.text(Face::Word, Anchor::Middle, at, words);
}

/// An arrow from its tail to its head, with a filled tip. Paper around it keeps it
/// in sight over any hatch, also where a photocopier leaves no colour.
pub fn arrow(pen: &mut Pen, tail: Point, head: Point) {
    let along = (head - tail) / (head - tail).hypot().max(1e-9);
    let across = Vec2::new(-along.y, along.x);
    let back = head - along * 9.0;
    let closed = |points: Vec<Point>| Form::Line {
        points,
        closed: true,
    };
    let beside = across * 3.5;
    let shaft = vec![tail + beside, back + beside, back - beside, tail - beside];
    pen.form(Mark::Paper, closed(shaft));
    let (tip, wings) = (head + along * 4.5, back - along * 2.5);
    let wide = across * 8.0;
    pen.form(Mark::Paper, closed(vec![tip, wings + wide, wings - wide]));
    pen.line(Mark::Edge, &[tail.into(), back.into()]);
    let half = across * 4.5;
    pen.form(Mark::Ink, closed(vec![head, back + half, back - half]));
}

/// Height of a tag at a bar, and how far it lies on it: the zones below stay in
/// sight.
const LOW: f64 = 12.0;
const ON: f64 = 4.0;

/// Tags of the notes at stations of a bar, along one of its edges, none on
/// another.
pub fn on_bar(pen: &mut Pen, bar: &Bar, notes: &[NoteMark], span: &SpanZones, edge: Beside) {
    let at = |note: &NoteMark| match &note.target {
        Target::Station { span: on, at_mm } if span.id == on.as_str() => {
            Some(bar.along(at_mm.clamp(0.0, bar.length_mm)))
        }
        _ => None,
    };
    let mut own: Vec<(f64, &NoteMark)> = notes.iter().filter_map(|n| Some((at(n)?, n))).collect();
    own.sort_by(|a, b| a.0.total_cmp(&b.0));
    let upright = bar.toward == Toward::Up;
    let wide = |note: &NoteMark| Face::Note.width(&note.id) + 8.0;
    let middles: Vec<f64> = own.iter().map(|(along, _)| *along).collect();
    let lengths: Vec<f64> = own
        .iter()
        .map(|(_, note)| if upright { LOW } else { wide(note) })
        .collect();
    let ends = (bar.along(0.0), bar.along(bar.length_mm));
    let (low, high) = (ends.0.min(ends.1) - 8.0, ends.0.max(ends.1) + 8.0);
    let placed = spread(&middles, &lengths, low, high).unwrap_or(middles);
    for (along, (_, note)) in placed.iter().zip(&own) {
        let deep = if upright { wide(note) } else { LOW };
        let across = bar.off(edge, deep / 2.0 - ON);
        let middle = match upright {
            true => Point::new(across, *along),
            false => Point::new(*along, across),
        };
        let size = (wide(note) - 1.5, LOW - 1.0);
        let own = Rect::from_center_size(middle, size);
        let round = own.to_rounded_rect(LOW / 2.0).to_path(0.1);
        pen.form(Mark::Paper, Form::Curve(round.clone()));
        if note.offered {
            pen.form(Mark::EdgeOffered, Form::Curve(round));
        }
        let at = (middle.x, middle.y + 3.8);
        pen.text(Face::Note, Anchor::Middle, at, note.id.as_str());
    }
}
