//! The outlines of a style where they are on a measured car. Millimetres of
//! the view's two axes. A wheel keeps its size and stands on the ground: it is
//! moved, never stretched.

use super::{FittedBody, Outlines, Shape, ShapeRole};
use crate::domain::frame::Point;
use kurbo::{Affine, BezPath, PathEl, Shape as _};

impl FittedBody {
    /// The style's outlines, fitted. Curves are moved by their control points.
    pub fn outlines(&self) -> Outlines {
        let drawn = &self.style.outlines;
        Outlines {
            side: moved(&drawn.side, |p| {
                let q = self.map_point(Point::new(p.x, 0.0, p.y));
                kurbo::Point::new(q.x, q.z)
            }),
            top: moved(&drawn.top, |p| {
                let q = self.map_point(Point::new(p.x, p.y, 0.0));
                kurbo::Point::new(q.x, q.y)
            }),
            front: moved(&drawn.front, |p| {
                let q = self.map_point(Point::new(0.0, p.x, p.y));
                kurbo::Point::new(q.y, q.z)
            }),
        }
    }
}

fn moved(shapes: &[Shape], map: impl Fn(kurbo::Point) -> kurbo::Point) -> Vec<Shape> {
    let one = |shape: &Shape| Shape {
        path: match shape.role {
            ShapeRole::Wheel => shifted(&shape.path, &map),
            _ => bent(&shape.path, &map),
        },
        ..shape.clone()
    };
    shapes.iter().map(one).collect()
}

/// Moved along the view's first axis by as much as its middle moves.
fn shifted(path: &BezPath, map: impl Fn(kurbo::Point) -> kurbo::Point) -> BezPath {
    let middle = path.bounding_box().center();
    Affine::translate((map(middle).x - middle.x, 0.0)) * path.clone()
}

fn bent(path: &BezPath, map: impl Fn(kurbo::Point) -> kurbo::Point) -> BezPath {
    path.elements()
        .iter()
        .map(|element| match *element {
            PathEl::MoveTo(p) => PathEl::MoveTo(map(p)),
            PathEl::LineTo(p) => PathEl::LineTo(map(p)),
            PathEl::QuadTo(a, p) => PathEl::QuadTo(map(a), map(p)),
            PathEl::CurveTo(a, b, p) => PathEl::CurveTo(map(a), map(b), map(p)),
            PathEl::ClosePath => PathEl::ClosePath,
        })
        .collect()
}
