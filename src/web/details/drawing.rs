//! A body style's side as a small drawing, to be recognised by.

use crate::domain::body::{BodyStyle, Shape, ShapeRole};
use kurbo::{Affine, BezPath, Rect, Shape as _};
use std::fmt::Write;

/// Longest side drawn, in units of the drawing.
const WIDTH: f64 = 160.0;
const HEIGHT: f64 = 64.0;
/// Every style to one scale, so that a van is larger than a coupé.
const LONGEST_MM: f64 = 6_000.0;

/// The left side from outside, front at the left, as an SVG for a page.
pub fn small_side(style: &BodyStyle) -> String {
    let scale = WIDTH / LONGEST_MM;
    let bounds = style
        .outlines
        .side
        .iter()
        .map(|s| s.path.bounding_box())
        .reduce(|a, b| a.union(b))
        .unwrap_or(Rect::ZERO);
    // z is up in the frame, down on the page; every car stands on one line.
    let place = Affine::new([
        scale,
        0.0,
        0.0,
        -scale,
        -bounds.x0 * scale + 2.0,
        HEIGHT - 2.0,
    ]);
    let mut svg = format!(
        "<svg class=\"small-side\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" aria-hidden=\"true\" focusable=\"false\">"
    );
    let seen = |s: &&Shape| !matches!(s.role, ShapeRole::Seat | ShapeRole::SteeringWheel);
    for shape in style.outlines.side.iter().filter(seen) {
        let path: BezPath = place * shape.path.clone();
        let _ = write!(
            svg,
            "<path class=\"{}\" d=\"{}\"/>",
            class(shape),
            rounded(&path)
        );
    }
    svg.push_str("</svg>");
    svg
}

const fn class(shape: &Shape) -> &'static str {
    match shape.role {
        ShapeRole::Body => "side-body",
        ShapeRole::Glass => "side-glass",
        ShapeRole::Wheel => "side-wheel",
        _ => "side-line",
    }
}

/// To a tenth: two hundred points a style, twelve styles a page.
fn rounded(path: &BezPath) -> String {
    let tenth = |p: kurbo::Point| kurbo::Point::new(round(p.x), round(p.y));
    let elements = path.elements().iter().map(|el| match *el {
        kurbo::PathEl::MoveTo(p) => kurbo::PathEl::MoveTo(tenth(p)),
        kurbo::PathEl::LineTo(p) => kurbo::PathEl::LineTo(tenth(p)),
        kurbo::PathEl::QuadTo(a, b) => kurbo::PathEl::QuadTo(tenth(a), tenth(b)),
        kurbo::PathEl::CurveTo(a, b, c) => kurbo::PathEl::CurveTo(tenth(a), tenth(b), tenth(c)),
        kurbo::PathEl::ClosePath => kurbo::PathEl::ClosePath,
    });
    BezPath::from_vec(elements.collect()).to_svg()
}

fn round(v: f64) -> f64 {
    (v * 10.0).round() / 10.0
}
