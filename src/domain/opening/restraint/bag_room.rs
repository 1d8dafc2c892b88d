//! Room to keep from bags that are not known to have fired. No cut zone.
//!
//! Distances: the 5-10-20 rule (5 in from side and knee bags, 10 in from the
//! driver's, 20 in from the passenger's), common practice; variants exist. A
//! curtain can fill about 12 in down from the rail. Others are unknown. `once`
//! clears no distance, since a second stage may be left.

use super::people::{caregiver_seat, seats_inside};
use super::recorded_bag;
use crate::domain::body::{FittedBody, ShapeRole};
use crate::domain::card::Card;
use crate::domain::frame::{Point, Side};
use crate::domain::kind::Bag;
use crate::domain::opening::ask::{Ask, Fired};
use crate::domain::opening::result::DeploymentKeepOut;
use crate::domain::vehicle::WheelSide;
use crate::domain::zone::Zones;
use kurbo::Shape as _;

/// The 5-10-20 rule, and where it comes from.
const SOURCE: &str = "5-10-20 rule, common practice; variants exist";
const CURTAIN_SOURCE: &str = "about 12 in down from the rail, common practice";
const UNKNOWN_SOURCE: &str = "no distance known";
/// A bag nobody has recorded and that is not expected is still not known to be absent.
const NOT_KNOWN_ABSENT: &str = "not known to be absent";

/// Distance in mm to keep from a bag; `None`: unknown.
pub const fn distance_mm(bag: Bag) -> Option<f64> {
    match bag {
        Bag::Driver => Some(254.0),
        Bag::Passenger => Some(508.0),
        Bag::Knee | Bag::SeatSide => Some(127.0),
        Bag::Curtain => Some(305.0),
        _ => None,
    }
}

/// A bag's place before anything is said about it.
struct BagPlace {
    bag: Bag,
    at: String,
    side: Side,
    from_mm: Vec<Point>,
    /// The expectation it rests on, without side.
    expectation: &'static str,
}

/// Every bag that is not known to be absent, with the room to keep from it,
/// front to rear as the bag words stand.
pub fn keep_outs(
    card: &Card,
    body: &FittedBody,
    zones: &Zones,
    ask: &Ask,
) -> Vec<DeploymentKeepOut> {
    let wheel = ask.variant.wheel.or(card.vehicle.wheel);
    let mut places = frontal(body, wheel);
    places.extend(
        [Side::Left, Side::Right]
            .into_iter()
            .flat_map(|s| sides(body, s)),
    );
    let mut found: Vec<DeploymentKeepOut> = places
        .into_iter()
        .map(|place| keep_out(place, card, body, zones, ask))
        .collect();
    found.extend(recorded_bag::rooms(card, body, zones, ask));
    found.sort_by(|a, b| (a.bag, a.side, &a.at).cmp(&(b.bag, b.side, &b.at)));
    found
}

/// The bags in front of the front seats. Where the wheel side is unknown each
/// side may hold either, so both have both.
fn frontal(body: &FittedBody, wheel: Option<WheelSide>) -> Vec<BagPlace> {
    let drivers: &[Side] = match wheel {
        Some(WheelSide::Left) => &[Side::Left],
        Some(WheelSide::Right) => &[Side::Right],
        None => &[Side::Left, Side::Right],
    };
    // Fitting the outlines is work: once for both sides.
    let hub = steering_hub(body);
    let mut places = Vec::new();
    for side in [Side::Left, Side::Right] {
        let word = side.word();
        let may_drive = drivers.contains(&side);
        if may_drive {
            places.extend(steering_wheel(hub, body, side).map(|hub| BagPlace {
                bag: Bag::Driver,
                at: format!("steering wheel, {word}"),
                side,
                from_mm: vec![hub],
                expectation: "frontal",
            }));
        }
        let dash = dash(body, side);
        if dash.is_empty() {
            continue;
        }
        if !may_drive || wheel.is_none() {
            places.push(BagPlace {
                bag: Bag::Passenger,
                at: format!("dash, {word}"),
                side,
                from_mm: dash.clone(),
                expectation: "frontal",
            });
        }
        places.push(BagPlace {
            bag: Bag::Knee,
            at: format!("under the dash, {word}"),
            side,
            from_mm: dash,
            expectation: "knee",
        });
    }
    places
}

fn sides(body: &FittedBody, side: Side) -> Vec<BagPlace> {
    let word = side.word();
    let line = |span: &str| {
        let span = body.span(&format!("{span}.{word}"))?;
        Some(span.line.vertices().to_vec())
    };
    let seat = line("seat-back").map(|from_mm| BagPlace {
        bag: Bag::SeatSide,
        at: format!("seat back, {word}"),
        side,
        from_mm,
        expectation: "seat-side",
    });
    let curtain = line("roof-rail").map(|from_mm| BagPlace {
        bag: Bag::Curtain,
        at: format!("roof rail, {word}"),
        side,
        from_mm,
        expectation: "curtain",
    });
    // Without a roof rail the head bag rises from the door.
    let door = || {
        line("front-door-beam").map(|from_mm| BagPlace {
            bag: Bag::Door,
            at: format!("door, {word}"),
            side,
            from_mm,
            expectation: "door-curtain",
        })
    };
    seat.into_iter().chain(curtain.or_else(door)).collect()
}

fn keep_out(
    place: BagPlace,
    card: &Card,
    body: &FittedBody,
    zones: &Zones,
    ask: &Ask,
) -> DeploymentKeepOut {
    let distance_mm = distance_mm(place.bag);
    let seats = match distance_mm {
        Some(mm) => seats_inside(place.bag, place.side, &place.from_mm, mm, body),
        None => every_seat(body),
    };
    let because = recorded_bag::at(place.bag, &place.from_mm, card, body, zones)
        .or_else(|| expected(zones, place.expectation, place.side))
        .unwrap_or_else(|| NOT_KNOWN_ABSENT.to_owned());
    DeploymentKeepOut {
        bag: place.bag,
        at: with_state(&place.at, ask, place.bag),
        side: place.side,
        distance_mm,
        caregiver: caregiver(&seats, body, ask),
        seats,
        from_mm: place.from_mm,
        because,
        source: source(place.bag, distance_mm).to_owned(),
    }
}

pub const fn source(bag: Bag, distance_mm: Option<f64>) -> &'static str {
    match (bag, distance_mm) {
        (_, None) => UNKNOWN_SOURCE,
        (Bag::Curtain, _) => CURTAIN_SOURCE,
        _ => SOURCE,
    }
}

fn expected(zones: &Zones, id: &str, side: Side) -> Option<String> {
    let sided = format!("{id}.{}", side.word());
    let found = zones
        .expectations
        .iter()
        .find(|e| *e.id == *id || *e.id == *sided)?;
    Some(found.id.to_string())
}

pub fn with_state(at: &str, ask: &Ask, bag: Bag) -> String {
    match ask.fired.get(&bag) {
        Some(Fired::Once) => format!("{at} (fired once; a second stage may be left)"),
        Some(Fired::No) => format!("{at} (not fired)"),
        Some(Fired::Unknown) | None => at.to_owned(),
    }
}

pub fn caregiver(seats: &[String], body: &FittedBody, ask: &Ask) -> Option<String> {
    let style = body.style;
    let places = ask
        .seats
        .iter()
        .filter_map(|patient| caregiver_seat(patient, style));
    let mut inside: Vec<&str> = places
        .filter(|seat| seats.iter().any(|id| *id == *seat.id))
        .map(|seat| &*seat.name)
        .collect();
    inside.dedup();
    (!inside.is_empty())
        .then(|| format!("the caregiver's place is inside it: {}", inside.join(", ")))
}

pub fn every_seat(body: &FittedBody) -> Vec<String> {
    let style = body.style;
    style.seats.iter().map(|s| s.id.to_string()).collect()
}

/// The hub of the wheel as drawn from the side, in x and z.
fn steering_hub(body: &FittedBody) -> Option<kurbo::Point> {
    let outlines = body.outlines();
    let drawn = outlines
        .side
        .iter()
        .find(|s| s.role == ShapeRole::SteeringWheel)?;
    Some(drawn.path.bounding_box().center())
}

/// The hub in front of the front seat of the side asked for.
fn steering_wheel(hub: Option<kurbo::Point>, body: &FittedBody, side: Side) -> Option<Point> {
    let hub = hub?;
    let style = body.style;
    let seat = style.seats.iter().find(|s| s.row == 1 && s.side == side)?;
    Some(Point::new(hub.x, body.map_point(seat.h_point).y, hub.y))
}

/// The half of the dash in front of one front seat, foot of the dash beam first.
fn dash(body: &FittedBody, side: Side) -> Vec<Point> {
    let Some(span) = body.span("dash-beam") else {
        return Vec::new();
    };
    let length = span.line.length();
    // The beam's foot is on the left; a bag may reach to the middle.
    let [from, to] = match side {
        Side::Left => [0.05, 0.5],
        Side::Right => [0.5, 0.95],
        Side::Centre => [0.05, 0.95],
    };
    span.line.between(from * length, to * length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::{StyleId, fit, style};
    use crate::domain::opening::ask::Care;
    use crate::domain::vehicle::{Variant, Vehicle};
    use crate::domain::zone::zones_on;

    fn rooms(id: StyleId, wheel: Option<WheelSide>, ask: &Ask) -> Vec<DeploymentKeepOut> {
        let card = Card::unrecorded(Vehicle {
            wheel,
            ..Vehicle::of_style(id)
        });
        let body = fit(style(id), &card.measured).expect("a template");
        let zones = zones_on(&body, &card, &Variant::default()).expect("a template");
        keep_outs(&card, &body, &zones, ask)
    }

    /// 5, 10 and 20 in, exactly 25.4 mm an inch: the rule of common practice.
    #[test]
    fn distances_are_five_ten_and_twenty_inches() {
        for (bag, inches) in [
            (Bag::SeatSide, 5.0),
            (Bag::Knee, 5.0),
            (Bag::Driver, 10.0),
            (Bag::Passenger, 20.0),
        ] {
            assert_eq!(distance_mm(bag), Some(inches * 25.4), "{bag}");
        }
        assert_eq!(distance_mm(Bag::Centre), None);
    }

    #[test]
    fn every_style_has_room_for_both_front_bags_and_reaches_a_front_seat() {
        for id in StyleId::ALL {
            let found = rooms(
                *id,
                Some(WheelSide::Left),
                &Ask::of("front-left", Care::Gentle),
            );
            let of = |bag: Bag| found.iter().filter(|k| k.bag == bag).collect::<Vec<_>>();
            assert_eq!(of(Bag::Driver).len(), 1, "{id}");
            assert_eq!(of(Bag::Driver)[0].side, Side::Left);
            assert_eq!(of(Bag::Driver)[0].seats, ["front-left"], "{id}");
            assert!(
                of(Bag::Passenger)[0]
                    .seats
                    .contains(&"front-right".to_owned()),
                "{id}"
            );
            assert_eq!(of(Bag::SeatSide).len(), 2, "{id}");
        }
    }

    #[test]
    fn an_unknown_wheel_side_gives_both_front_seats_both_distances() {
        let found = rooms(StyleId::Sedan, None, &Ask::of("front-left", Care::Gentle));
        for side in [Side::Left, Side::Right] {
            for bag in [Bag::Driver, Bag::Passenger] {
                assert!(
                    found.iter().any(|k| k.side == side && k.bag == bag),
                    "{side:?} {bag}"
                );
            }
        }
    }

    #[test]
    fn a_bag_that_fired_once_keeps_its_distance() {
        let mut ask = Ask::of("front-left", Care::Gentle);
        let before = rooms(StyleId::Sedan, None, &ask);
        for bag in Bag::ALL {
            ask.fired.insert(*bag, Fired::Once);
        }
        let after = rooms(StyleId::Sedan, None, &ask);
        let distances =
            |k: &[DeploymentKeepOut]| k.iter().map(|k| (k.bag, k.distance_mm)).collect::<Vec<_>>();
        assert_eq!(distances(&before), distances(&after));
    }

    #[test]
    fn the_caregiver_behind_a_front_patient_is_named_where_a_curtain_reaches() {
        let found = rooms(StyleId::Sedan, None, &Ask::of("front-left", Care::Gentle));
        let curtain = found
            .iter()
            .find(|k| k.bag == Bag::Curtain && k.side == Side::Left);
        let said = curtain.and_then(|k| k.caregiver.as_deref());
        assert!(said.is_some_and(|s| s.contains("left")), "{said:?}");
    }
}
