//! Hatches as lines of their own, for paper: printers are sent the patterns of a
//! page as coarse pictures, on which one hatch looks like another.
//!
//! Each hatched area becomes its ground and the lines or dots of its pattern, cut
//! off where the area ends. Units of the drawing.

use super::mark::{Hatch, Mark};
use super::scene::{Form, Item, Link, Scene, Shape};
use kurbo::{BezPath, Cap, Join, PathEl, Point, Rect, Shape as _, Stroke, StrokeOpts, Vec2};

/// How far a flattened curve may be off.
const FLAT: f64 = 0.1;
/// Lines shorter than this are not drawn.
const SHORTEST: f64 = 0.3;

impl Scene {
    /// The scene with its hatches drawn as lines.
    pub fn ruled(&self) -> Self {
        Self {
            items: items(&self.items),
            ..self.clone()
        }
    }
}

fn items(all: &[Item]) -> Vec<Item> {
    let mut ruled = Vec::with_capacity(all.len());
    for item in all {
        match item {
            Item::Shape(shape) => match shape.mark.hatch() {
                Some((hatch, _)) => ruled.extend(area(shape, hatch)),
                None => ruled.push(item.clone()),
            },
            Item::Link(link) => ruled.push(Item::Link(Link {
                items: items(&link.items),
                ..link.clone()
            })),
            Item::Text(_) | Item::Axis(_) => ruled.push(item.clone()),
        }
    }
    ruled
}

/// The ground of an area and the pattern on it.
fn area(shape: &Shape, hatch: Hatch) -> [Item; 2] {
    let outline = outline(shape);
    let pattern = pattern(&outline, hatch);
    let item = |mark, form| {
        Item::Shape(Shape {
            mark,
            form,
            width: None,
        })
    };
    let ground = match &shape.form {
        Form::Rect(rect) => Form::Rect(*rect),
        _ => Form::Curve(outline),
    };
    [
        item(Mark::Ground(hatch), ground),
        item(Mark::Ruling(hatch), Form::Curve(pattern)),
    ]
}

/// What a shape covers: itself, or its line as wide as it is, with round ends.
fn outline(shape: &Shape) -> BezPath {
    let path = match &shape.form {
        Form::Rect(rect) => rect.to_path(FLAT),
        Form::Curve(path) => path.clone(),
        Form::Line { points, closed } => line(points, *closed),
    };
    let Some(width) = shape.width else {
        return path;
    };
    let cap = match shape.mark {
        Mark::Swathe(_) => Cap::Round,
        _ => Cap::Butt,
    };
    let style = Stroke::new(width).with_caps(cap).with_join(Join::Round);
    kurbo::stroke(path, &style, &StrokeOpts::default(), FLAT)
}

fn line(points: &[Point], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in points.iter().enumerate() {
        match i {
            0 => path.move_to(*p),
            _ => path.line_to(*p),
        }
    }
    if closed {
        path.close_path();
    }
    path
}

/// The lines or dots of a hatch within an outline: the same as its pattern's, so
/// that areas side by side fit together.
fn pattern(outline: &BezPath, hatch: Hatch) -> BezPath {
    let edges = edges(outline);
    let slope = std::f64::consts::FRAC_1_SQRT_2;
    let (down, up) = (Vec2::new(slope, slope), Vec2::new(slope, -slope));
    let mut path = BezPath::new();
    match hatch {
        Hatch::Clearance => {
            rule(&mut path, &edges, down, (1.0, 5.0));
            rule(&mut path, &edges, up, (-1.0, 5.0));
        }
        Hatch::Widening => rule(&mut path, &edges, down, (3.0, 7.0)),
        Hatch::Unseen => rule(&mut path, &edges, Vec2::new(0.0, 1.0), (-1.5, 5.0)),
        Hatch::Expected => {
            dots(&mut path, &edges, outline.bounding_box(), (2.0, 2.0));
            dots(&mut path, &edges, outline.bounding_box(), (5.5, 5.5));
        }
    }
    path
}

/// A straight edge of an outline.
type Edge = (Point, Point);

fn edges(outline: &BezPath) -> Vec<Edge> {
    let mut edges = Vec::new();
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(outline, FLAT, |element| match element {
        PathEl::MoveTo(p) => (start, last) = (p, p),
        PathEl::LineTo(p) => {
            edges.push((last, p));
            last = p;
        }
        PathEl::ClosePath => {
            edges.push((last, start));
            last = start;
        }
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    edges
}

/// Parallel lines along a unit direction, `first` plus whole multiples of `apart`
/// off the origin, where they lie inside.
fn rule(path: &mut BezPath, edges: &[Edge], along: Vec2, (first, apart): (f64, f64)) {
    let across = Vec2::new(-along.y, along.x);
    let off = |p: Point| p.to_vec2().dot(across);
    let ends = edges.iter().flat_map(|(a, b)| [off(*a), off(*b)]);
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), d| {
        (l.min(d), h.max(d))
    });
    if low > high {
        return;
    }
    let mut at = first + ((low - first) / apart).ceil() * apart;
    while at <= high {
        for (from, to) in inside(edges, along, across, at) {
            if to - from >= SHORTEST {
                path.move_to((across * at + along * from).to_point());
                path.line_to((across * at + along * to).to_point());
            }
        }
        at += apart;
    }
}

/// Where the line `at` off the origin lies inside, by the winding of the edges it
/// crosses: as a fill that is not told otherwise.
fn inside(edges: &[Edge], along: Vec2, across: Vec2, at: f64) -> Vec<(f64, f64)> {
    let mut crossings: Vec<(f64, i32)> = edges
        .iter()
        .filter_map(|(a, b)| {
            let (da, db) = (a.to_vec2().dot(across) - at, b.to_vec2().dot(across) - at);
            // Half open: a line through a corner crosses one of its two edges.
            if (da < 0.0) == (db < 0.0) {
                return None;
            }
            let t = da / (da - db);
            let place = a.lerp(*b, t).to_vec2().dot(along);
            Some((place, if da < db { 1 } else { -1 }))
        })
        .collect();
    crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Vec::new();
    let mut winding = 0;
    for pair in crossings.windows(2) {
        winding += pair[0].1;
        if winding != 0 {
            match found.last_mut() {
                Some((_, to)) if *to == pair[0].0 => *to = pair[1].0,
                _ => found.push((pair[0].0, pair[1].0)),
            }
        }
    }
    found
}

/// Dots every seven units, from `first` on, that lie inside.
fn dots(path: &mut BezPath, edges: &[Edge], bounds: Rect, (x0, y0): (f64, f64)) {
    const APART: f64 = 7.0;
    let along = Vec2::new(1.0, 0.0);
    let across = Vec2::new(0.0, 1.0);
    let mut y = y0 + ((bounds.y0 - y0) / APART).ceil() * APART;
    while y <= bounds.y1 {
        for (from, to) in inside(edges, along, across, y) {
            let mut x = x0 + ((from - x0) / APART).ceil() * APART;
            while x <= to {
                path.move_to((x, y));
                path.line_to((x, y));
                x += APART;
            }
        }
        y += APART;
    }
}

#[cfg(test)]
mod tests {
    use super::super::scene::Pen;
    use super::*;

    fn ruled(mark: Mark, form: Form, width: Option<f64>) -> (Vec<Mark>, BezPath, BezPath) {
        let shape = Shape { mark, form, width };
        let outline = outline(&shape);
        let scene = Scene {
            width: 100.0,
            height: 100.0,
            title: String::new(),
            desc: String::new(),
            readable: false,
            items: vec![Item::Shape(shape)],
        };
        let all = scene.ruled();
        let marks = all.shapes().iter().map(|s| s.mark).collect();
        let Form::Curve(lines) = &all.shapes()[1].form else {
            panic!("a pattern is a path");
        };
        (marks, outline, lines.clone())
    }

    const HATCHES: [Hatch; 4] = Hatch::ALL;

    #[test]
    fn an_area_becomes_its_ground_and_lines_that_stay_within_it() {
        for hatch in HATCHES {
            let rect = Rect::new(10.0, 20.0, 60.0, 45.0);
            let (marks, _, lines) = ruled(Mark::Fill(hatch), Form::Rect(rect), None);
            assert_eq!(marks, [Mark::Ground(hatch), Mark::Ruling(hatch)]);
            let within = rect.inflate(1e-9, 1e-9);
            assert!(lines.elements().len() > 10, "{hatch:?}");
            for element in lines.elements() {
                let end = element.end_point().expect("moves and lines");
                assert!(within.contains(end), "{hatch:?} {end:?}");
            }
        }
    }

    #[test]
    fn a_line_is_hatched_as_wide_as_it_is_and_no_wider() {
        let points = vec![
            Point::new(20.0, 50.0),
            Point::new(60.0, 50.0),
            Point::new(60.0, 80.0),
        ];
        for hatch in HATCHES {
            let line = Form::Line {
                points: points.clone(),
                closed: false,
            };
            let (_, _, lines) = ruled(Mark::Swathe(hatch), line.clone(), Some(16.0));
            // Flattened curves may be off by a little.
            let outline = outline(&Shape {
                mark: Mark::Swathe(hatch),
                form: line,
                width: Some(16.0 + 4.0 * FLAT),
            });
            for segment in lines.segments() {
                let middle = segment.as_line().expect("a line").midpoint();
                assert_ne!(outline.winding(middle), 0, "{hatch:?} {middle:?}");
            }
            assert!(lines.elements().len() > 10);
        }
    }

    #[test]
    fn hatches_side_by_side_fit_together() {
        let piece = |x0, x1| {
            let rect = Rect::new(x0, 0.0, x1, 20.0);
            pattern(&rect.to_path(FLAT), Hatch::Unseen).bounding_box()
        };
        let (left, right) = (piece(0.0, 33.0), piece(33.0, 60.0));
        assert_eq!((left.x1, right.x0), (31.5, 36.5));
    }

    #[test]
    fn what_is_not_hatched_stays_as_it_is() {
        let mut pen = Pen::default();
        pen.rect(Mark::Bare, Rect::new(0.0, 0.0, 9.0, 9.0));
        assert_eq!(items(&pen.items), pen.items);
    }
}
