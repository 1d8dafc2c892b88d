//! From the frame of the car to the drawing: which two axes a view shows, how
//! it is turned and flipped, and the scale that fits it into its room.

use super::super::{Options, Turn, View};
use crate::domain::frame::Point;
use kurbo::{Affine, Rect};

/// The plane of a view, before it is scaled: mm, right and down.
#[derive(Debug, Clone, Copy)]
pub struct Plane {
    view: View,
    turned: Affine,
}

impl Plane {
    pub fn new(view: View, options: &Options) -> Self {
        let degrees: f64 = match options.turn {
            Turn::None => 0.0,
            Turn::Quarter => 90.0,
            Turn::Half => 180.0,
            Turn::ThreeQuarters => 270.0,
        };
        let flip = if options.flip {
            Affine::scale_non_uniform(-1.0, 1.0)
        } else {
            Affine::IDENTITY
        };
        Self {
            view,
            turned: flip * Affine::rotate(degrees.to_radians()),
        }
    }

    /// From the two axes the outlines are drawn in: (x, z), (x, y) or (y, z).
    pub fn outline(&self) -> Affine {
        let [u, v] = match self.view {
            View::Right => [-1.0, -1.0],
            View::Front => [-1.0, -1.0],
            _ => [1.0, -1.0],
        };
        self.turned * Affine::scale_non_uniform(u, v)
    }
}

/// The two axes of a point that a view's outlines are drawn in.
pub fn axes(view: View, p: Point) -> kurbo::Point {
    match view {
        View::Top => kurbo::Point::new(p.x, p.y),
        View::Front => kurbo::Point::new(p.y, p.z),
        _ => kurbo::Point::new(p.x, p.z),
    }
}

/// The drawing of a plane: where each point of the car comes to lie.
#[derive(Debug, Clone, Copy)]
pub struct Projection {
    plane: Plane,
    /// From outline axes to user units.
    pub outline: Affine,
    /// User units a millimetre.
    pub scale: f64,
    /// Where the car is drawn.
    pub car: Rect,
}

impl Projection {
    /// Fits what is inside `bounds` (outline axes) under `top`.
    pub fn fit(plane: Plane, bounds: Rect, left: f64, width: f64, top: f64, tallest: f64) -> Self {
        let flat = plane.outline().transform_rect_bbox(bounds);
        let scale = (width / flat.width()).min(tallest / flat.height());
        let free = 0.5 * (width - flat.width() * scale);
        let shift = Affine::translate((left + free - flat.x0 * scale, top - flat.y0 * scale));
        let outline = shift * Affine::scale(scale) * plane.outline();
        Self {
            plane,
            outline,
            scale,
            car: outline.transform_rect_bbox(bounds),
        }
    }

    pub fn point(&self, p: Point) -> kurbo::Point {
        self.outline * axes(self.plane.view, p)
    }

    pub fn points(&self, all: &[Point]) -> Vec<kurbo::Point> {
        all.iter().map(|p| self.point(*p)).collect()
    }
}
