//! Keep-outs and spans on the picture of the car. A body is a polyline and its
//! keep-out a line as wide as twice its radius, with round ends and joins.

use super::super::mark::{Hatch, Mark};
use super::super::name::full_name;
use super::super::scene::{Axis, Pen};
use super::projection::axes;
use super::{Drawing, View};
use crate::domain::body::FittedBody;
use crate::domain::finding::Place;
use crate::domain::frame::Point;
use crate::domain::geometry::{Interval, Polyline};
use crate::domain::zone::{Class, Component, ComponentClass, SpanZones};
use kurbo::{Rect, Vec2};

/// Width of a span along its centreline, and of its edge.
const SPAN: (f64, f64) = (8.0, 11.0);
/// The least width of a part.
const LEAST: f64 = 3.0;

/// The body of a place, in the frame of the car.
fn body(car: &FittedBody, place: &Place) -> Vec<Point> {
    match place {
        Place::Points(ends) => ends.to_vec(),
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => car
            .span(span)
            .map(|s| s.line.between(from_mm.max(0.0), to_mm.min(s.line.length())))
            .unwrap_or_default(),
    }
}

/// The middle of a component.
pub fn middle(car: &FittedBody, component: &Component) -> Point {
    match &component.place {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => car.span(span).map_or(component.ends_mm[0], |s| {
            s.line.point_at(0.5 * (from_mm + to_mm))
        }),
        Place::Points([a, b]) => a.towards(*b, 0.5),
    }
}

/// How far the keep-outs of some components reach in the two axes of a view's
/// outlines, so that the drawing has room for them.
pub fn reach<'a>(
    components: impl Iterator<Item = &'a Component>,
    car: &FittedBody,
    view: View,
) -> Option<Rect> {
    let discs = components.flat_map(|c| &c.keep_outs).flat_map(|keep_out| {
        let twice = 2.0 * keep_out.keep_out_mm;
        let ends = body(car, &keep_out.place).into_iter();
        ends.map(move |p| Rect::from_center_size(axes(view, p), (twice, twice)))
    });
    discs.reduce(|a, b| a.union(b))
}

/// Every keep-out drawn here: edges, then widening, clearance, part, so that
/// the nested bands of neighbours read as one area.
pub fn keep_outs(drawing: &Drawing, pen: &mut Pen) {
    let scale = drawing.projection.scale;
    let mut widening = Vec::new();
    let mut clearance = Vec::new();
    let mut part = Vec::new();
    let mut hard = Vec::new();
    for (component, _) in drawing.components() {
        for keep_out in &component.keep_outs {
            let points = drawing
                .projection
                .points(&body(drawing.body, &keep_out.place));
            if component.class == ComponentClass::Material {
                hard.push(points);
                continue;
            }
            let near = keep_out.radius_mm + component.clearance_mm.unwrap_or(0.0);
            widening.push((points.clone(), 2.0 * keep_out.keep_out_mm * scale));
            clearance.push((points.clone(), 2.0 * near * scale));
            part.push((points, (2.0 * keep_out.radius_mm * scale).max(LEAST)));
        }
    }
    for (points, width) in &widening {
        pen.stroke(Mark::SwatheEdge, points.clone(), width + 2.6);
    }
    for (layer, mark) in [
        (widening, Mark::Swathe(Hatch::Widening)),
        (clearance, Mark::Swathe(Hatch::Clearance)),
        (part, Mark::SwathePart),
    ] {
        for (points, width) in layer {
            pen.stroke(mark, points, width);
        }
    }
    for points in hard {
        let line: Vec<(f64, f64)> = points.iter().map(|p| (p.x, p.y)).collect();
        pen.line(Mark::Hard, &line);
    }
}

/// Every span along its centreline, with its stretches, bands, foot and ticks.
pub fn spans(drawing: &Drawing, pen: &mut Pen) {
    for span in drawing.spans() {
        let Ok(line) = Polyline::new(span.centreline_mm.clone()) else {
            continue;
        };
        let at = |from: f64, to: f64| drawing.projection.points(&line.between(from, to));
        let whole = at(0.0, line.length());
        if flat_length(&whole) < 2.0 * SPAN.1 {
            continue; // Seen end on: its bar would be a blot.
        }
        if drawing.options.touch {
            pen.axis(Axis {
                span: span.id.to_string(),
                name: full_name(span),
                points: drawing.projection.points(line.vertices()),
                stations_mm: line.stations().to_vec(),
            });
        }
        pen.stroke(Mark::SpanEdge, whole, SPAN.1);
        for stretch in &span.stretches {
            pen.stroke(
                mark(stretch.class),
                at(stretch.from_mm, stretch.to_mm),
                SPAN.0,
            );
        }
        for (hatch, pieces) in [
            (Mark::Span(Hatch::Clearance), bands(span, |b| b.clearance)),
            (Mark::SpanPart, bands(span, |b| b.part)),
        ] {
            for piece in pieces {
                pen.stroke(hatch, at(piece.from, piece.to), SPAN.0);
            }
        }
        ticks(drawing, pen, &line);
    }
}

const fn mark(class: Class) -> Mark {
    match class {
        Class::NoCut => Mark::Span(Hatch::Widening),
        Class::Expected => Mark::Span(Hatch::Expected),
        Class::Unproven => Mark::Span(Hatch::Unseen),
        Class::Bare => Mark::SpanBare,
    }
}

fn bands(
    span: &SpanZones,
    pick: impl Fn(&crate::domain::zone::Bands) -> Option<Interval>,
) -> Vec<Interval> {
    let zones = || span.stretches.iter().filter(|s| s.class == Class::NoCut);
    let all = span.bands.iter().filter_map(pick);
    all.flat_map(|band| {
        zones().filter_map(move |s| Interval::new(s.from_mm, s.to_mm).intersection(band))
    })
    .filter(|piece| piece.length() > 0.0)
    .collect()
}

fn flat_length(points: &[kurbo::Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// A dot at the foot, and a tick every 200 mm from it.
fn ticks(drawing: &Drawing, pen: &mut Pen, line: &Polyline) {
    let foot = drawing.projection.point(line.point_at(0.0));
    pen.stroke(Mark::Foot, vec![foot, foot], 5.0);
    let mut station = 200.0;
    while station < line.length() {
        let a = drawing.projection.point(line.point_at(station));
        let b = drawing.projection.point(line.point_at(station + 1.0));
        let along = b - a;
        if along.hypot() > 1e-6 {
            let across = Vec2::new(-along.y, along.x) / along.hypot();
            let (from, to) = (
                a + across * (SPAN.1 / 2.0),
                a + across * (SPAN.1 / 2.0 + 3.0),
            );
            pen.line(Mark::Tick, &[from.into(), to.into()]);
        }
        station += 200.0;
    }
}
