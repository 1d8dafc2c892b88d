//! Where people are in the car, for the room to keep from bags. Millimetres in
//! the frame.
//!
//! Assumption (common practice, no source): a person on a seat fills an upright
//! body from 100 mm below the hip point to 750 mm above it, 200 mm around its
//! middle, anywhere along the seat's travel.

use crate::domain::body::{BodyStyle, FittedBody, Seat};
use crate::domain::frame::{Point, Side, Vector};
use crate::domain::geometry::chain_distance;
use crate::domain::kind::Bag;

const BELOW_HIP_MM: f64 = 100.0;
const ABOVE_HIP_MM: f64 = 750.0;
/// Half of a person's thickness.
pub const AROUND_MM: f64 = 200.0;

/// The middle of a person on a seat, over the seat's travel.
fn person(seat: &Seat, body: &FittedBody) -> Vec<Point> {
    let hip = body.map_point(seat.h_point);
    let forward = Vector::new(-seat.travel_mm, 0.0, 0.0);
    let (low, high) = (
        Vector::new(0.0, 0.0, -BELOW_HIP_MM),
        Vector::new(0.0, 0.0, ABOVE_HIP_MM),
    );
    let mut outline = vec![hip + low, hip + high];
    if seat.travel_mm > 0.0 {
        // The middle of the travel too: a person is no empty frame.
        let middle = hip + forward * 0.5;
        outline.extend([
            middle + high,
            middle + low,
            hip + forward + low,
            hip + forward + high,
        ]);
    }
    outline
}

/// Ids of the seats on which a person would be within `distance` of a chain of points.
fn seats_within(from: &[Point], distance_mm: f64, body: &FittedBody) -> Vec<String> {
    let style = body.style;
    let inside =
        |seat: &&Seat| chain_distance(from, &person(seat, body)) <= distance_mm + AROUND_MM;
    let seats = style.seats.iter().filter(inside);
    seats.map(|s| s.id.to_string()).collect()
}

/// Ids of the seats inside a bag's room. A knee bag's room is where the knees of the
/// front seats of its side are, which the upright body above does not reach.
pub fn seats_inside(
    bag: Bag,
    side: Side,
    from: &[Point],
    distance_mm: f64,
    body: &FittedBody,
) -> Vec<String> {
    let within = seats_within(from, distance_mm, body);
    let near = |s: &Seat| side == Side::Centre || s.side != side.mirrored();
    let knees = |s: &&Seat| bag == Bag::Knee && s.row == 1 && near(s);
    let inside = |s: &&Seat| within.contains(&s.id) || knees(s);
    let seats = body.style.seats.iter().filter(inside);
    seats.map(|s| s.id.to_string()).collect()
}

/// Where the caregiver is likely to sit for a patient's seat: behind it, else
/// beside it (common practice, no source).
pub fn caregiver_seat<'a>(patient: &str, style: &'a BodyStyle) -> Option<&'a Seat> {
    let seat = style.seats.iter().find(|s| *s.id == *patient)?;
    let behind = style
        .seats
        .iter()
        .find(|s| s.row == seat.row + 1 && s.side == seat.side);
    behind.or_else(|| {
        style
            .seats
            .iter()
            .find(|s| s.row == seat.row && s.side == seat.side.mirrored() && s.id != seat.id)
    })
}
