//! What a plan does, on the picture of the car: a blade across the span at each
//! cut, a ring at each contact, a line along each look, with the steps' numbers
//! beside them.

use super::super::mark::Mark;
use super::super::place::Taken;
use super::super::scene::Pen;
use super::super::working::{self, Doing, Work};
use super::{Drawing, LEFT, RIGHT};
use crate::domain::geometry::Polyline;
use kurbo::{Point, Rect, Vec2};

const HIGH: f64 = 15.0;
/// How far beside its span a look is drawn.
const BESIDE: f64 = 9.0;

/// A work of the plan where this view shows it.
struct Placed<'a> {
    work: &'a Work,
    at: Point,
    along: Vec2,
}

fn placed<'a>(drawing: &'a Drawing) -> Vec<Placed<'a>> {
    let on = |work: &'a Work| {
        let span = drawing.spans().find(|s| s.id == work.span)?;
        let line = Polyline::new(span.centreline_mm.clone()).ok()?;
        let point = |mm: f64| {
            drawing
                .projection
                .point(line.point_at(mm.clamp(0.0, line.length())))
        };
        let middle = 0.5 * (work.from_mm + work.to_mm);
        Some(Placed {
            work,
            at: point(middle),
            along: point(middle + 1.0) - point(middle - 1.0),
        })
    };
    drawing.options.works.iter().filter_map(on).collect()
}

/// Marks first, then every number in a free place with its leader.
pub fn numbers(drawing: &Drawing, pen: &mut Pen, taken: &mut Taken) {
    let shown = placed(drawing);
    for Placed { work, at, along } in &shown {
        taken.take(Rect::from_center_size(*at, (9.0, 9.0)));
        match work.doing {
            Doing::Look => look(drawing, pen, work),
            Doing::Cut | Doing::Contact => working::at_point(pen, *at, *along, work),
        }
    }
    let numbered = shown.iter().filter(|p| p.work.doing != Doing::Look);
    let boxes: Vec<(Rect, &Placed)> = numbered
        .filter_map(|p| Some((taken.around(p.at, working::wide(p.work), HIGH, 600.0)?, p)))
        .collect();
    for (own, p) in &boxes {
        pen.line(Mark::Leader, &[own.center().into(), p.at.into()]);
    }
    for (own, p) in boxes {
        working::number(pen, own.center(), p.work);
    }
}

fn look(drawing: &Drawing, pen: &mut Pen, work: &Work) {
    let Some(span) = drawing.spans().find(|s| s.id == work.span) else {
        return;
    };
    let Ok(line) = Polyline::new(span.centreline_mm.clone()) else {
        return;
    };
    let points = drawing
        .projection
        .points(&line.between(work.from_mm, work.to_mm));
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return;
    };
    let along = *last - *first;
    let out = Vec2::new(-along.y, along.x) / along.hypot().max(1e-9) * BESIDE;
    let beside: Vec<(f64, f64)> = points.iter().map(|p| (*p + out).into()).collect();
    pen.line(Mark::Arrow, &beside);
    for end in [first, last] {
        let (a, b) = (*end + out * 0.6, *end + out * 1.4);
        pen.line(Mark::Arrow, &[a.into(), b.into()]);
    }
}

/// What each number does; what another view shows is left to that one.
pub fn key(drawing: &Drawing, pen: &mut Pen, top: f64) -> f64 {
    let here: Vec<Work> = placed(drawing).iter().map(|p| p.work.clone()).collect();
    working::key(
        pen,
        &here,
        &drawing.zones.spans,
        LEFT,
        top + 2.0,
        RIGHT - LEFT,
    )
}
