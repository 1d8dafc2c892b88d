//! What every drawing must show: the car's own size, each pane and door, and
//! metal, not glass, where the spans run.

use super::*;
use kurbo::Shape as _;

fn every_style() -> impl Iterator<Item = &'static BodyStyle> {
    StyleId::ALL.iter().map(|id| style(*id))
}

fn bounds(shapes: &[Shape], role: ShapeRole) -> kurbo::Rect {
    shapes
        .iter()
        .filter(|s| s.role == role)
        .map(|s| s.path.bounding_box())
        .reduce(|a, b| a.union(b))
        .expect("the view draws it")
}

fn of(shapes: &[Shape], role: ShapeRole) -> impl Iterator<Item = &Shape> {
    shapes.iter().filter(move |s| s.role == role)
}

#[test]
fn the_body_is_drawn_as_long_wide_and_high_as_the_car() {
    for s in every_style() {
        let d = s.dimensions;
        let rear = d.wheelbase_mm + d.rear_overhang_mm;
        let (side, top) = (&s.outlines.side, &s.outlines.top);
        for (view, shapes) in [("side", side), ("top", top)] {
            let b = bounds(shapes, ShapeRole::Body);
            assert!(
                (b.x0 + d.front_overhang_mm).abs() <= 10.0,
                "{} {view} {b:?}",
                s.id
            );
            assert!((b.x1 - rear).abs() <= 10.0, "{} {view} {b:?}", s.id);
        }
        let high = bounds(side, ShapeRole::Body).y1;
        assert!(
            (high - d.height_mm).abs() <= 10.0,
            "{} is {high} high",
            s.id
        );
        let front = bounds(&s.outlines.front, ShapeRole::Body);
        assert!((front.y1 - d.height_mm).abs() <= 10.0, "{} {front:?}", s.id);
        for wide in [bounds(top, ShapeRole::Body).height(), front.width()] {
            assert!(
                (wide - d.width_mm).abs() <= 0.03 * d.width_mm,
                "{} {wide}",
                s.id
            );
        }
    }
}

#[test]
fn views_from_above_and_from_the_front_are_symmetric() {
    for s in every_style() {
        let top = bounds(&s.outlines.top, ShapeRole::Body);
        let front = bounds(&s.outlines.front, ShapeRole::Body);
        assert!((top.y0 + top.y1).abs() < 1e-6, "{}", s.id);
        assert!((front.x0 + front.x1).abs() < 1e-6, "{}", s.id);
        for shape in of(&s.outlines.top, ShapeRole::Seat) {
            let id = shape.id.as_deref().expect("a seat has its id");
            let seat = s
                .seats
                .iter()
                .find(|seat| seat.id == id)
                .expect("the seat is there");
            assert!(
                shape
                    .path
                    .bounding_box()
                    .contains((seat.h_point.x, seat.h_point.y)),
                "{id}"
            );
        }
    }
}

#[test]
fn wheels_stand_on_the_ground_under_their_axles() {
    for s in every_style() {
        let tyres: Vec<_> = of(&s.outlines.side, ShapeRole::Wheel)
            .map(|w| w.path.bounding_box())
            .collect();
        for (axle, x) in [("front", 0.0), ("rear", s.dimensions.wheelbase_mm)] {
            let tyre = tyres
                .iter()
                .find(|t| (t.center().x - x).abs() < 1.0 && t.y0.abs() < 1.0);
            let tyre = tyre.unwrap_or_else(|| panic!("{}: no {axle} wheel", s.id));
            assert!((600.0..=800.0).contains(&tyre.width()), "{} {axle}", s.id);
        }
    }
}

#[test]
fn what_is_drawn_as_glass_or_door_is_a_pane_or_a_door_of_the_style() {
    for s in every_style() {
        for shape in s
            .outlines
            .side
            .iter()
            .chain(&s.outlines.top)
            .chain(&s.outlines.front)
        {
            if shape.role == ShapeRole::Glass {
                let id = shape.id.as_deref().expect("glass has its id");
                assert!(s.panes.iter().any(|p| p.id == id), "{} {id}", s.id);
            }
        }
        // A van's rear doors are not seen from the side.
        let seen = |d: &&Door| d.side == Side::Left && d.hinge != Hinge::Side;
        for door in s.doors.iter().filter(seen) {
            let drawn =
                of(&s.outlines.side, ShapeRole::DoorGap).any(|g| g.id.as_deref() == Some(&door.id));
            assert!(drawn, "{} {}", s.id, door.id);
        }
        for pane in s
            .panes
            .iter()
            .filter(|p| p.id.ends_with("-left") && p.id != "back-left")
        {
            let drawn =
                of(&s.outlines.side, ShapeRole::Glass).any(|g| g.id.as_deref() == Some(&pane.id));
            assert!(drawn, "{} {}", s.id, pane.id);
        }
    }
}

#[test]
fn pillars_and_rails_run_in_metal_between_the_panes() {
    for s in every_style() {
        for span in s.spans.iter().filter(|p| p.side == Side::Left) {
            if !matches!(
                span.group,
                SpanGroup::Pillar | SpanGroup::RoofRail | SpanGroup::Rocker
            ) {
                continue;
            }
            for i in 0..=60 {
                let p = span.line.point_at(span.line.length() * f64::from(i) / 60.0);
                let seen = kurbo::Point::new(p.x, p.z);
                let name = format!("{} {} at {seen:?}", s.id, span.id);
                let inside = |role| of(&s.outlines.side, role).any(|g| g.path.contains(seen));
                assert!(inside(ShapeRole::Body), "{name} is off the body");
                assert!(!inside(ShapeRole::Glass), "{name} is in glass");
            }
        }
    }
}
