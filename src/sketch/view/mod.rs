//! The car from one side, from above or from the front: where on the car each
//! bar of the side frame is. Outline, keep-outs as lines with round ends, spans
//! along their centrelines, components as numbers with a key.

mod labels;
mod layers;
mod notes;
mod people;
mod projection;
mod rooms;
mod works;

use super::caution;
use super::mark::Mark;
use super::name::drivers;
use super::place::Taken;
use super::scene::{Anchor, Pen, Scene};
use super::text::Face;
use super::{Options, Turn, View};
use crate::domain::annotation::{Picture, Spot};
use crate::domain::body::{FittedBody, Shape, ShapeRole};
use crate::domain::frame::{Point, Side};
use crate::domain::vehicle::WheelSide;
use crate::domain::zone::{Component, SpanZones, Zones};
use kurbo::{Affine, Rect, Shape as _, Vec2};
pub use people::{Person, Who};
use projection::{Plane, Projection};
pub use rooms::Room;

const WIDTH: f64 = 360.0;
const LEFT: f64 = 12.0;
const RIGHT: f64 = 348.0;
/// Room around the car for numbers and leaders.
const AROUND: f64 = 34.0;
const TALLEST: f64 = 420.0;

pub fn draw(zones: &Zones, body: &FittedBody, view: View, options: &Options) -> Scene {
    let mut pen = Pen::default();
    let (shapes, top, projection) = lay_out(&mut pen, zones, body, view, options);
    let drawing = Drawing {
        zones,
        body,
        view,
        options,
        projection,
    };
    let area = Rect::new(4.0, top, WIDTH - 4.0, projection.car.y1 + AROUND);
    let mut taken = Taken::new(area);
    drawing.outline(&mut pen, &shapes);
    layers::keep_outs(&drawing, &mut pen);
    drawing.silhouette(&mut pen, &shapes);
    layers::spans(&drawing, &mut pen);
    rooms::outlines(&drawing, &mut pen);
    drawing.sides(&mut pen, &mut taken);
    people::rings(&drawing, &mut pen, &mut taken);
    let (keyed, mut y) = if options.works.is_empty() {
        notes::reserve(&drawing, &mut taken);
        let keyed = labels::numbers(&drawing, &mut pen, &mut taken);
        notes::tags(&drawing, &mut pen, &mut taken);
        let y = drawing.scale_bar(&mut pen, area.y1 + 6.0);
        let y = labels::key(&drawing, &mut pen, &keyed, y);
        let y = notes::key(&drawing, &mut pen, y);
        (keyed.len(), y)
    } else {
        // Numbers are the plan's steps alone.
        works::numbers(&drawing, &mut pen, &mut taken);
        let y = drawing.scale_bar(&mut pen, area.y1 + 6.0);
        (
            drawing.components().len(),
            works::key(&drawing, &mut pen, y),
        )
    };
    rooms::letters(&drawing, &mut pen, &mut taken);
    y = people::key(&drawing, &mut pen, y);
    y = rooms::key(&drawing, &mut pen, y);
    y = caution::key(&mut pen, false, LEFT, y + 6.0, RIGHT - LEFT);
    y = caution::write(&mut pen, options, LEFT, y + 4.0, RIGHT - LEFT);
    let seen = seen(view);
    Scene {
        width: WIDTH,
        height: (y + 6.0).ceil(),
        title: options
            .title
            .map_or(format!("The car {seen}"), |t| format!("{t}, {seen}")),
        desc: format!(
            "A {} {seen}, with {} components. {}",
            body.style.name,
            keyed,
            caution::sentences(options).join(" ")
        ),
        readable: false,
        items: pen.items,
    }
}

/// The heading, and under it the car in its room: its outlines, the heading's
/// lower edge, and where each point of the car comes to lie.
fn lay_out(
    pen: &mut Pen,
    zones: &Zones,
    body: &FittedBody,
    view: View,
    options: &Options,
) -> (Vec<Shape>, f64, Projection) {
    let outlines = body.outlines();
    let shapes = match view {
        View::Top => outlines.top,
        View::Front => outlines.front,
        _ => outlines.side,
    };
    let shown = |c: &&Component| shows(body, view, layers::middle(body, c));
    let reach = layers::reach(zones.components.iter().filter(shown), body, view);
    let bounds = reach.map_or(extent(&shapes), |r| extent(&shapes).union(r));
    let top = heading(pen, zones, view, options);
    let plane = Plane::new(view, options);
    let (left, wide) = (LEFT + AROUND / 2.0, RIGHT - LEFT - AROUND);
    let projection = Projection::fit(plane, bounds, left, wide, top + AROUND, TALLEST);
    (shapes, top, projection)
}

/// The place on the picture that a point of the drawing shows, in user units
/// from its upper left; `None` on a frame, which is no picture.
pub fn spot_at(
    zones: &Zones,
    body: &FittedBody,
    view: View,
    options: &Options,
    at: (f64, f64),
) -> Option<(Picture, Spot)> {
    let picture = notes::picture(view)?;
    let (_, _, projection) = lay_out(&mut Pen::default(), zones, body, view, options);
    let spot = projection.outline.inverse() * kurbo::Point::from(at);
    Some((picture, [spot.x, spot.y]))
}

const fn seen(view: View) -> &'static str {
    match view {
        View::Right => "from the right, seen from outside",
        View::Top => "from above",
        View::Front => "from the front, seen from outside",
        _ => "from the left, seen from outside",
    }
}

fn extent(shapes: &[Shape]) -> Rect {
    let boxes = shapes.iter().map(|s| s.path.bounding_box());
    boxes
        .reduce(|a, b| a.union(b))
        .unwrap_or(Rect::new(0.0, 0.0, 4000.0, 1500.0))
}

/// Which side this is, from where it is seen, and where its front is.
fn heading(pen: &mut Pen, zones: &Zones, view: View, options: &Options) -> f64 {
    let mut y = 15.0;
    if let Some(title) = options.title {
        pen.text(
            Face::Word,
            Anchor::Start,
            (LEFT, 13.0),
            Face::Word.fit(title, RIGHT - LEFT),
        );
        y += 18.0;
    }
    let side = |side: Side| {
        let word = side.word().to_uppercase();
        drivers(zones, side).map_or(word.clone(), |who| format!("{word} · {who}"))
    };
    let name = match view {
        View::Right => side(Side::Right),
        View::Top => "FROM ABOVE".to_owned(),
        View::Front => "FROM THE FRONT".to_owned(),
        _ => side(Side::Left),
    };
    let forward = forward(view, options);
    // The name stands at the end that the front does not point to.
    let (anchor, x) = match forward {
        Some(forward) if forward.x > 0.5 => (Anchor::Start, LEFT),
        _ => (Anchor::End, RIGHT),
    };
    pen.text(Face::Name, anchor, (x, y + 1.0), name);
    let mut note = String::from(if view == View::Top {
        "front marked"
    } else {
        "seen from outside"
    });
    if options.turn != Turn::None {
        note += &format!(" · turned {}°", options.turn);
    }
    if options.flip {
        note += " · mirrored";
    }
    if zones.vehicle.wheel.is_none() {
        note += " · wheel side unknown";
    }
    pen.text(Face::Note, anchor, (x, y + 16.0), note);
    if let Some(forward) = forward {
        front(pen, forward, y);
    }
    y + 22.0
}

/// Which way the car's front points on this drawing; `None` toward the reader.
fn forward(view: View, options: &Options) -> Option<Vec2> {
    if view == View::Front {
        return None;
    }
    let linear = Plane::new(view, options).outline();
    Some(linear * kurbo::Point::new(-1.0, 0.0) - linear * kurbo::Point::ORIGIN)
}

/// An arrow that points where the car's front points, at the end it points to.
fn front(pen: &mut Pen, forward: Vec2, y: f64) {
    let at_right = forward.x > 0.5;
    let x = if at_right { RIGHT - 11.0 } else { LEFT + 11.0 };
    let middle = kurbo::Point::new(x, y - 2.0);
    let tip = middle + forward * 10.0;
    let side = Vec2::new(-forward.y, forward.x) * 5.0;
    let back = tip - forward * 6.0;
    let tail = middle - forward * 10.0;
    pen.line(Mark::Arrow, &[tail.into(), tip.into()]);
    pen.line(
        Mark::Arrow,
        &[(back + side).into(), tip.into(), (back - side).into()],
    );
    let (anchor, x) = match at_right {
        true => (Anchor::End, RIGHT - 28.0),
        false => (Anchor::Start, LEFT + 28.0),
    };
    pen.text(Face::Word, anchor, (x, y + 2.0), "FRONT");
}

/// Whether something at this point of the car is drawn in a view: what is on
/// the near side or in the middle; from the front, what stands before the
/// front seats' backs.
fn shows(body: &FittedBody, view: View, p: Point) -> bool {
    let near = 60.0;
    match view {
        View::Left => p.y <= near,
        View::Right => p.y >= -near,
        View::Front => {
            let first = body.style.seats.iter().filter(|s| s.row == 1);
            p.x <= body
                .map_point(Point::new(
                    first.map(|s| s.h_point.x).fold(0.0, f64::max),
                    0.0,
                    0.0,
                ))
                .x
                + 100.0
        }
        _ => true,
    }
}

/// What the layers of one view share.
pub struct Drawing<'a> {
    pub zones: &'a Zones,
    pub body: &'a FittedBody,
    pub view: View,
    pub options: &'a Options<'a>,
    pub projection: Projection,
}

impl Drawing<'_> {
    fn outline(&self, pen: &mut Pen, shapes: &[Shape]) {
        let unfitted = self.options.generic || !self.options.fitted;
        for shape in shapes {
            let mark = match shape.role {
                ShapeRole::Body if unfitted => Mark::BodyDashed,
                ShapeRole::Body => Mark::Body,
                ShapeRole::Glass => Mark::Glass,
                ShapeRole::DoorGap => Mark::Shut,
                ShapeRole::Wheel | ShapeRole::Seat => Mark::Fitting,
                ShapeRole::SteeringWheel => match self.wheel() {
                    Some(_) => Mark::Fitting,
                    None => continue,
                },
                ShapeRole::Detail => Mark::Detail,
            };
            let mirrored =
                shape.role == ShapeRole::SteeringWheel && self.wheel() == Some(WheelSide::Right);
            let across = match self.view {
                View::Top if mirrored => Affine::scale_non_uniform(1.0, -1.0),
                View::Front if mirrored => Affine::scale_non_uniform(-1.0, 1.0),
                _ => Affine::IDENTITY,
            };
            pen.form(
                mark,
                super::scene::Form::Curve(self.projection.outline * across * shape.path.clone()),
            );
        }
    }

    /// The car's edge and its shut lines once more, over the keep-outs.
    fn silhouette(&self, pen: &mut Pen, shapes: &[Shape]) {
        for shape in shapes {
            let mark = match shape.role {
                ShapeRole::Body if self.options.generic || !self.options.fitted => Mark::EdgeDashed,
                ShapeRole::Body => Mark::Edge,
                ShapeRole::DoorGap => Mark::Shut,
                _ => continue,
            };
            let path = self.projection.outline * shape.path.clone();
            pen.form(mark, super::scene::Form::Curve(path));
        }
    }

    fn wheel(&self) -> Option<WheelSide> {
        self.zones.vehicle.wheel
    }

    pub fn spans(&self) -> impl Iterator<Item = &SpanZones> {
        self.zones.spans.iter().filter(|s| {
            let own = |side| s.side == side;
            match self.view {
                View::Left => own(Side::Left),
                View::Right => own(Side::Right),
                View::Front => s
                    .centreline_mm
                    .iter()
                    .all(|p| shows(self.body, self.view, *p)),
                _ => true,
            }
        })
    }

    /// Components drawn here, with the middle of each.
    pub fn components(&self) -> Vec<(&Component, kurbo::Point)> {
        let middle = |c: &Component| layers::middle(self.body, c);
        let components = self.zones.components.iter();
        components
            .map(|c| (c, middle(c)))
            .filter(|(_, at)| shows(self.body, self.view, *at))
            .map(|(c, at)| (c, self.projection.point(at)))
            .collect()
    }

    /// LEFT and RIGHT beside the car, where a view shows both.
    fn sides(&self, pen: &mut Pen, taken: &mut Taken) {
        if !matches!(self.view, View::Top | View::Front) {
            return;
        }
        let d = self.body.style.dimensions;
        for (word, y) in [("LEFT", -1.0), ("RIGHT", 1.0)] {
            let edge = Point::new(
                d.wheelbase_mm / 2.0,
                y * d.width_mm / 2.0,
                d.height_mm * 0.35,
            );
            let at = self.projection.point(edge);
            let opposite = self.projection.point(edge.mirrored());
            let (wide, high) = (Face::Word.width(word), 14.0);
            let out = at - opposite;
            let car = self.projection.car;
            let middle = if out.x.abs() > out.y.abs() {
                let x = if out.x > 0.0 {
                    car.x1 + wide / 2.0 + 2.0
                } else {
                    car.x0 - wide / 2.0 - 2.0
                };
                kurbo::Point::new(
                    x.clamp(wide / 2.0 + 5.0, WIDTH - wide / 2.0 - 5.0),
                    car.y1 + 14.0,
                )
            } else {
                kurbo::Point::new(
                    at.x,
                    if out.y > 0.0 {
                        car.y1 + 14.0
                    } else {
                        car.y0 - 14.0
                    },
                )
            };
            taken.take(Rect::from_center_size(middle, (wide + 4.0, high)));
            pen.text(Face::Word, Anchor::Middle, (middle.x, middle.y + 4.0), word);
        }
    }

    fn scale_bar(&self, pen: &mut Pen, y: f64) -> f64 {
        let long = 1000.0 * self.projection.scale;
        let long = if long > 110.0 { long / 2.0 } else { long };
        let words = if 1000.0 * self.projection.scale > 110.0 {
            "500 mm (19⅝ in)"
        } else {
            "1000 mm (39⅜ in)"
        };
        pen.line(
            Mark::Arrow,
            &[
                (LEFT, y - 3.0),
                (LEFT, y + 3.0),
                (LEFT, y),
                (LEFT + long, y),
                (LEFT + long, y - 3.0),
                (LEFT + long, y + 3.0),
            ],
        );
        let words = if self.options.fitted {
            words.to_owned()
        } else {
            format!("{words} on the template")
        };
        pen.text(
            Face::Small,
            Anchor::Start,
            (LEFT + long + 8.0, y + 4.0),
            Face::Small.fit(&words, RIGHT - LEFT - long - 8.0),
        );
        pen.text(
            Face::Small,
            Anchor::Start,
            (LEFT, y + 20.0),
            "Dot: foot of a bar · ticks: every 200 mm from the foot",
        );
        y + 28.0
    }
}
