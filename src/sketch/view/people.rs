//! Where patient and caregiver are on the picture of the car: a letter in a ring,
//! which the steps' numbers make way for.

use super::super::mark::Mark;
use super::super::place::Taken;
use super::super::scene::{Anchor, Form, Pen};
use super::super::text::Face;
use super::{Drawing, LEFT, shows};
use crate::domain::frame::Point;
use kurbo::{Circle, Rect, Shape as _};

/// Where somebody is in the car.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// The hip point, mm.
    pub at_mm: Point,
    pub who: Who,
}

/// Who is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    Patient,
    Caregiver,
}

impl Who {
    /// Lower case, so that it is none of the rooms' letters.
    const fn letter(self) -> &'static str {
        match self {
            Self::Patient => "p",
            Self::Caregiver => "c",
        }
    }

    const fn meaning(self) -> &'static str {
        match self {
            Self::Patient => "p  patient’s seat",
            Self::Caregiver => "c  where the caregiver is likely to be",
        }
    }
}

const RADIUS: f64 = 8.0;

fn here<'a>(drawing: &'a Drawing) -> impl Iterator<Item = &'a Person> {
    let all = drawing.options.people.iter();
    all.filter(|p| shows(drawing.body, drawing.view, p.at_mm))
}

/// A ring with its letter at each hip point.
pub fn rings(drawing: &Drawing, pen: &mut Pen, taken: &mut Taken) {
    for person in here(drawing) {
        let at = drawing.projection.point(person.at_mm);
        let across = 2.0 * RADIUS + 1.0;
        taken.take(Rect::from_center_size(at, (across, across)));
        let ring = Circle::new(at, RADIUS).to_path(0.1);
        pen.form(Mark::Paper, Form::Curve(ring));
        let baseline = (at.x, at.y + 4.0);
        pen.text(Face::Word, Anchor::Middle, baseline, person.who.letter());
    }
}

/// Who is here, in words; returns the lower edge.
pub fn key(drawing: &Drawing, pen: &mut Pen, top: f64) -> f64 {
    let who: std::collections::BTreeSet<Who> = here(drawing).map(|p| p.who).collect();
    if who.is_empty() {
        return top;
    }
    let lines: Vec<String> = who.iter().map(|w| w.meaning().to_owned()).collect();
    let first = (LEFT, top + 4.0 + Face::Note.ascent());
    pen.lines(Face::Note, Anchor::Start, first, &lines) - Face::Note.ascent()
}
