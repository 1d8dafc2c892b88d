//! A part that lies beside the structure, as a tape finds each of its ends:
//! beside which pillar, rail or sill, at which station, then how far across,
//! along and up from the middle of its section. What is kept are two points of
//! the frame.

use super::read::{END, End, SPAN};
use crate::domain::body::{FittedBody, Span};
use crate::domain::frame::{Point, Vector};
use crate::domain::units::{Unit, entry_text, length};
use crate::domain::vehicle::words;
use crate::web::typed::{Asked, Typed};

words! {
    /// Whether a part is on the span, between two stations, or lies beside it.
    Where { On = "on", Beside = "beside" }
}

words! {
    /// Which way across the car.
    Across { Inward = "inward", Outward = "outward", Left = "left", Right = "right" }
}

words! {
    /// Which way along the car.
    Along { Forward = "forward", Rearward = "rearward" }
}

words! {
    /// Which way along a plumb line.
    Plumb { Up = "up", Down = "down" }
}

pub const WHERE: Asked<'static> = Asked::new("where", "Where it is");

/// Farthest that a tape is held beside a span, mm.
const FARTHEST_MM: f64 = 3_000.0;

/// Nearer to the middle of the car than this, nothing is inward or outward, mm.
const MIDDLE_MM: f64 = 1.0;

/// The names of one end's fields.
#[derive(Debug, Clone, Copy)]
pub struct EndFields {
    pub span: Asked<'static>,
    pub at: Asked<'static>,
    pub across: Asked<'static>,
    pub across_way: Asked<'static>,
    pub along: Asked<'static>,
    pub along_way: Asked<'static>,
    pub up: Asked<'static>,
    pub up_way: Asked<'static>,
}

/// The span of the first end is the form's own.
pub const ONE: EndFields = EndFields {
    span: SPAN,
    at: Asked::new("one_at", "First end: station"),
    across: Asked::new("one_across", "First end: across"),
    across_way: Asked::new("one_across_way", "First end: which way across"),
    along: Asked::new("one_along", "First end: along"),
    along_way: Asked::new("one_along_way", "First end: which way along"),
    up: Asked::new("one_up", "First end: up or down"),
    up_way: Asked::new("one_up_way", "First end: which way up"),
};

/// Left empty, the span of the second end is the first one's.
pub const TWO: EndFields = EndFields {
    span: Asked::new("two_span", "Other end: beside"),
    at: Asked::new("two_at", "Other end: station"),
    across: Asked::new("two_across", "Other end: across"),
    across_way: Asked::new("two_across_way", "Other end: which way across"),
    along: Asked::new("two_along", "Other end: along"),
    along_way: Asked::new("two_along_way", "Other end: which way along"),
    up: Asked::new("two_up", "Other end: up or down"),
    up_way: Asked::new("two_up_way", "Other end: which way up"),
};

impl EndFields {
    /// Every field but the span.
    pub const fn all(&self) -> [Asked<'static>; 7] {
        [
            self.at,
            self.across,
            self.across_way,
            self.along,
            self.along_way,
            self.up,
            self.up_way,
        ]
    }
}

/// Reads both ends. `None` if a field is at fault.
pub fn read_points(typed: &mut Typed, body: &FittedBody, unit: Unit) -> Option<[Point; 2]> {
    let end = typed.word(END, End::from_word).unwrap_or(End::Foot);
    let first = typed.required_text(SPAN, 64, "choose the pillar, rail or sill it lies beside");
    let first = first.and_then(|id| span_of(typed, SPAN, &id, body));
    let second = match typed.text(TWO.span, 64) {
        Some(id) => span_of(typed, TWO.span, &id, body),
        None => first,
    };
    let one = first.and_then(|span| read_end(typed, &ONE, (span, end), unit));
    let two = second.and_then(|span| read_end(typed, &TWO, (span, end), unit));
    let (one, two) = (one?, two?);
    if one.1.length() + two.1.length() == 0.0 {
        let said = "both ends lie in the middle of the section: choose “on it” and enter stations, or say how far beside it they lie";
        typed.refuse(ONE.across, said);
        return None;
    }
    typed.is_valid().then_some([one.0, two.0])
}

fn span_of<'a>(
    typed: &mut Typed,
    field: Asked<'_>,
    id: &str,
    body: &'a FittedBody,
) -> Option<&'a Span> {
    let span = body.span(id);
    if span.is_none() {
        let said = "this body style has no such span: choose one from the list";
        typed.refuse(field, said);
    }
    span
}

/// One end and its distance from the middle of the section.
fn read_end(
    typed: &mut Typed,
    fields: &EndFields,
    (span, end): (&Span, End),
    unit: Unit,
) -> Option<(Point, Vector)> {
    let whole = span.line.length();
    let at = typed.required_length(fields.at, unit);
    if at.is_some_and(|at| !(0.0..=whole).contains(&at)) {
        let long = length(whole, unit);
        let said = format!(
            "not on the {}, which is {long} long: enter 0 to its length",
            span.name
        );
        typed.refuse(fields.at, said);
    }
    let at = at.map(|at| match end {
        End::Foot => at,
        End::Head => whole - at,
    });
    let middle = at.map(|at| span.line.point_at(at));
    let across = read_leg(
        typed,
        (fields.across, fields.across_way),
        unit,
        Across::from_word,
    );
    let along = read_leg(
        typed,
        (fields.along, fields.along_way),
        unit,
        Along::from_word,
    );
    let up = read_leg(typed, (fields.up, fields.up_way), unit, Plumb::from_word);
    let (middle, across, along, up) = (middle?, across?, along?, up?);
    let off = Vector::new(
        along.map_or(0.0, |(mm, way)| match way {
            Along::Forward => -mm,
            Along::Rearward => mm,
        }),
        match across {
            None => 0.0,
            Some((mm, way)) => mm * sign_across(typed, fields.across_way, middle, way)?,
        },
        up.map_or(0.0, |(mm, way)| match way {
            Plumb::Up => mm,
            Plumb::Down => -mm,
        }),
    );
    Some((middle + off, off))
}

/// A distance with its way: `Some(None)` where none was typed, `None` where
/// one is at fault.
fn read_leg<T>(
    typed: &mut Typed,
    (figure, way): (Asked<'static>, Asked<'static>),
    unit: Unit,
    from_word: fn(&str) -> Option<T>,
) -> Option<Option<(f64, T)>> {
    if typed.value(figure.name).trim().is_empty() {
        return Some(None);
    }
    let mm = typed.required_length(figure, unit)?;
    if !(0.0..=FARTHEST_MM).contains(&mm) {
        let said = format!("enter 0 to {FARTHEST_MM:.0} mm, and choose which way");
        typed.refuse(figure, said);
        return None;
    }
    if mm == 0.0 {
        return Some(None);
    }
    let way = typed.required_word(way, from_word)?;
    Some(Some((mm, way)))
}

/// To the right is plus; inward and outward are told from the side the middle
/// of the section stands on.
fn sign_across(typed: &mut Typed, field: Asked<'_>, middle: Point, way: Across) -> Option<f64> {
    let outward = middle.y.signum();
    match way {
        Across::Left => Some(-1.0),
        Across::Right => Some(1.0),
        _ if middle.y.abs() < MIDDLE_MM => {
            let said =
                "this is the middle of the car, nothing is inward of it: choose left or right";
            typed.refuse(field, said);
            None
        }
        Across::Inward => Some(-outward),
        Across::Outward => Some(outward),
    }
}

/// Puts two points back into a form, beside the spans they are nearest to.
pub fn fill_points(typed: &mut Typed, points: &[Point; 2], body: &FittedBody, unit: Unit) {
    typed.put(WHERE.name, Where::Beside.word());
    typed.put(END.name, End::Foot.word());
    for (point, fields) in points.iter().zip([ONE, TWO]) {
        let near = body.spans.iter().map(|span| {
            let at = span.line.nearest(*point);
            (span, at, span.line.point_at(at).distance(*point))
        });
        let Some((span, at, _)) = near.min_by(|a, b| a.2.total_cmp(&b.2)) else {
            continue;
        };
        // A whole millimetre on the span; the rest of the way makes up for it.
        let at = at.floor();
        let off = *point - span.line.point_at(at);
        typed.put(fields.span.name, span.id.as_str());
        typed.put(fields.at.name, entry_text(at, unit));
        let legs = [
            (fields.across, fields.across_way, off.y, ["left", "right"]),
            (
                fields.along,
                fields.along_way,
                off.x,
                ["forward", "rearward"],
            ),
            (fields.up, fields.up_way, off.z, ["down", "up"]),
        ];
        for (figure, way, mm, [minus, plus]) in legs {
            typed.put(figure.name, entry_text(mm.abs(), unit));
            typed.put(way.name, if mm < 0.0 { minus } else { plus });
        }
    }
}
