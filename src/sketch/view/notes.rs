//! Notes on the picture of the car: a tag beside its place with a leader, an
//! arrow with its label, and what each says below.

use super::super::View;
use super::super::mark::Mark;
use super::super::note::{self, NoteMark};
use super::super::place::Taken;
use super::super::scene::{Anchor, Pen};
use super::super::text::Face;
use super::{Drawing, LEFT, RIGHT};
use crate::domain::annotation::{Picture, Spot, Target};
use crate::domain::geometry::Polyline;
use kurbo::{Point, Rect};

/// The picture a view draws; frames are none.
pub const fn picture(view: View) -> Option<Picture> {
    match view {
        View::Left => Some(Picture::Left),
        View::Right => Some(Picture::Right),
        View::Top => Some(Picture::Top),
        View::Front => Some(Picture::Front),
        View::FrameLeft | View::FrameRight => None,
    }
}

/// A note of this view: its place, and where an arrow points from there.
struct Placed<'a> {
    note: &'a NoteMark,
    at: Point,
    head: Option<Point>,
    words: String,
}

fn placed<'a>(drawing: &'a Drawing) -> Vec<Placed<'a>> {
    let here = picture(drawing.view);
    let flat = |[a, b]: Spot| drawing.projection.outline * Point::new(a, b);
    let place = |note: &'a NoteMark| {
        let of = |at, head, words| Placed {
            note,
            at,
            head,
            words,
        };
        match &note.target {
            Target::Place { picture, at_mm } if here == Some(*picture) => {
                Some(of(flat(*at_mm), None, note.id.clone()))
            }
            Target::Arrow {
                picture,
                from_mm,
                to_mm,
                label,
            } if here == Some(*picture) => {
                let words = format!("{} {label}", note.id);
                Some(of(flat(*from_mm), Some(flat(*to_mm)), words))
            }
            Target::Station { span, at_mm } => {
                let span = drawing.spans().find(|s| s.id == span.as_str())?;
                let line = Polyline::new(span.centreline_mm.clone()).ok()?;
                let at = line.point_at(at_mm.clamp(0.0, line.length()));
                Some(of(drawing.projection.point(at), None, note.id.clone()))
            }
            _ => None,
        }
    };
    drawing.options.notes.iter().filter_map(place).collect()
}

/// Keeps the places that notes point to free of other numbers.
pub fn reserve(drawing: &Drawing, taken: &mut Taken) {
    for Placed { at, head, .. } in placed(drawing) {
        let head = head.unwrap_or(at);
        taken.take(Rect::from_center_size(head, (12.0, 12.0)));
        let pieces = (head - at).hypot() / 6.0;
        for n in 1..pieces as usize {
            let on = at + (head - at) * (n as f64 / pieces);
            taken.take(Rect::from_center_size(on, (5.0, 5.0)));
        }
    }
}

/// Arrows, then every tag in a free place; a place outside the drawing, noted on
/// a car of other dimensions, is drawn at its edge.
pub fn tags(drawing: &Drawing, pen: &mut Pen, taken: &mut Taken) {
    let edge = drawing.projection.car.inflate(14.0, 14.0);
    let inside = |p: Point| Point::new(p.x.clamp(edge.x0, edge.x1), p.y.clamp(edge.y0, edge.y1));
    let shown = placed(drawing);
    for Placed { at, head, .. } in &shown {
        match head {
            Some(head) => note::arrow(pen, inside(*at), inside(*head)),
            None => {
                let at = inside(*at);
                pen.stroke(Mark::Foot, vec![at, at], 3.4);
            }
        }
    }
    for Placed {
        note, at, words, ..
    } in shown
    {
        let at = inside(at);
        let Some(own) = taken.around(at, note::wide(&words), note::HIGH, 600.0) else {
            continue;
        };
        pen.line(Mark::Leader, &[own.center().into(), at.into()]);
        note::tag(pen, own.center(), &words, note.offered);
    }
}

/// What each tag says; returns the lower edge.
pub fn key(drawing: &Drawing, pen: &mut Pen, top: f64) -> f64 {
    let mut y = top + 12.0;
    for Placed { note, .. } in placed(drawing) {
        let lines = Face::Note.wrap_to(&format!("{}  {}", note.id, note.said), RIGHT - LEFT, 2);
        y = pen.lines(Face::Note, Anchor::Start, (LEFT, y), &lines) + 2.0;
    }
    if y > top + 12.0 { y - 10.0 } else { top }
}
