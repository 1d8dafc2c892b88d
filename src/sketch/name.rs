//! What spans and sides are called on a drawing.

use crate::domain::frame::Side;
use crate::domain::vehicle::WheelSide;
use crate::domain::zone::{SpanZones, Zones};

/// The span's name with its side: `B-pillar, left`.
pub fn full_name(span: &SpanZones) -> String {
    let side = span.side.word();
    if span.side == Side::Centre || span.name.to_lowercase().contains(side) {
        span.name.to_string()
    } else {
        format!("{}, {side}", span.name)
    }
}

/// What stands at a pillar in large letters: `B` for a B-pillar.
pub fn pillar_name(span: &SpanZones) -> String {
    let id = span.id.split('.').next().unwrap_or_default();
    match id.strip_suffix("-pillar") {
        Some(letter) if letter.chars().count() == 1 => letter.to_uppercase(),
        Some("hinge") => "hinge".to_owned(),
        _ => bar_name(span).replace("-pillar", ""),
    }
}

/// The span's name without its side.
pub fn bar_name(span: &SpanZones) -> String {
    span.name
        .split(',')
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned()
}

/// `driver’s side`, where the card says on which side the wheel is.
pub fn drivers(zones: &Zones, side: Side) -> Option<&'static str> {
    let wheel = match zones.vehicle.wheel? {
        WheelSide::Left => Side::Left,
        WheelSide::Right => Side::Right,
    };
    Some(if wheel == side {
        "driver’s side"
    } else {
        "passenger’s side"
    })
}
