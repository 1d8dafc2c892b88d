//! Room to keep from bags that are not known to have fired: a dotted outline of
//! its own with a letter, bodies and not blades. No hatch, no fill: it is no cut
//! zone.

use super::super::mark::Mark;
use super::super::place::Taken;
use super::super::scene::{Anchor, Form, Pen};
use super::super::text::Face;
use super::{Drawing, LEFT, RIGHT, shows};
use crate::domain::frame::Point;
use kurbo::{BezPath, Cap, Join, Rect, Stroke, StrokeOpts};

/// One bag's room.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Where the bag comes out: a point or a line, mm.
    pub from_mm: Vec<Point>,
    /// `None`: unknown, and only its place is marked.
    pub distance_mm: Option<f64>,
    /// In words: which bag, how far, who is inside.
    pub said: String,
}

const HIGH: f64 = 14.0;
/// How close an outline follows its curve, user units.
const CLOSE: f64 = 0.3;

/// Those of this view; a letter means the same in every view.
fn here<'a>(drawing: &'a Drawing) -> impl Iterator<Item = (char, &'a Room)> {
    let seen = |(_, room): &(char, &Room)| {
        let mut points = room.from_mm.iter();
        // One whose place nobody knows may be anywhere: in words, in every view.
        room.from_mm.is_empty() || points.any(|p| shows(drawing.body, drawing.view, *p))
    };
    ('A'..='Z').zip(drawing.options.rooms).filter(seen)
}

/// The outline of everything within a distance of a line, flat.
fn outline(points: &[kurbo::Point], reach: f64) -> BezPath {
    let mut line = BezPath::new();
    for (i, p) in points.iter().enumerate() {
        if i == 0 {
            line.move_to(*p);
        } else {
            line.line_to(*p);
        }
    }
    if points.windows(2).all(|w| w[0].distance(w[1]) < 0.5)
        && let Some(p) = points.first()
    {
        let disc = kurbo::Circle::new(*p, reach);
        return kurbo::Shape::to_path(&disc, CLOSE);
    }
    let pen = Stroke::new(2.0 * reach)
        .with_caps(Cap::Round)
        .with_join(Join::Round);
    kurbo::stroke(line, &pen, &StrokeOpts::default(), CLOSE)
}

/// The dotted outlines, under everything that is numbered.
pub fn outlines(drawing: &Drawing, pen: &mut Pen) {
    for (_, room) in here(drawing) {
        let points = drawing.projection.points(&room.from_mm);
        if let Some(mm) = room.distance_mm {
            let path = outline(&points, mm * drawing.projection.scale);
            pen.form(Mark::Room, Form::Curve(path));
        }
    }
}

/// A letter for each, where the steps' numbers leave room.
pub fn letters(drawing: &Drawing, pen: &mut Pen, taken: &mut Taken) {
    for (letter, room) in here(drawing) {
        let points = drawing.projection.points(&room.from_mm);
        let Some(middle) = points.get(points.len() / 2).copied() else {
            continue;
        };
        let text = letter.to_string();
        let wide = Face::Word.width(&text) + 8.0;
        if let Some(own) = taken.around(middle, wide, HIGH, 600.0) {
            pen.line(Mark::Leader, &[own.center().into(), middle.into()]);
            let round = own.inset(-1.0).to_rounded_rect(3.0);
            let round = kurbo::Shape::to_path(&round, 0.1);
            pen.form(Mark::Paper, Form::Curve(round));
            let at = (own.center().x, own.center().y + 4.3);
            pen.text(Face::Word, Anchor::Middle, at, text);
        }
    }
}

/// What each letter is; returns the lower edge.
pub fn key(drawing: &Drawing, pen: &mut Pen, top: f64) -> f64 {
    let mut y = top;
    for (i, (letter, room)) in here(drawing).enumerate() {
        if i == 0 {
            pen.rect(Mark::Room, Rect::new(LEFT, y + 3.0, LEFT + 20.0, y + 14.0));
            let words = "room to keep from a bag that may still fire: bodies, no cut zone";
            let lines = Face::Note.wrap(words, RIGHT - LEFT - 26.0);
            let first = (LEFT + 26.0, y + 13.0);
            y = pen.lines(Face::Note, Anchor::Start, first, &lines) + 2.0;
        }
        let said = format!("{letter}  {}", room.said);
        let lines = Face::Note.wrap(&said, RIGHT - LEFT);
        y = pen.lines(Face::Note, Anchor::Start, (LEFT, y), &lines);
    }
    if y > top { y - 8.0 } else { top }
}
