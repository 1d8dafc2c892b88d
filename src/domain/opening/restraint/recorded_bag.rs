//! The room to keep from bags as they are recorded on a card, each at its own
//! place. Millimetres in the frame.

use super::bag_room::{caregiver, distance_mm, every_seat, source, with_state};
use super::people::seats_inside;
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::{Place, Report};
use crate::domain::frame::{Point, Side};
use crate::domain::geometry::chain_distance;
use crate::domain::kind::Bag;
use crate::domain::opening::ask::Ask;
use crate::domain::opening::result::DeploymentKeepOut;
use crate::domain::zone::{Component, Zones};
use std::collections::BTreeSet;

/// The room around every bag part on the card, at its own recorded place: a bag in
/// the rear seat back is not where the built-in places above put it.
pub fn rooms(card: &Card, body: &FittedBody, zones: &Zones, ask: &Ask) -> Vec<DeploymentKeepOut> {
    let parts = Bag::ALL.iter().flat_map(|bag| {
        let ids: BTreeSet<&str> = on_card(card, *bag).collect();
        ids.into_iter().map(move |id| (*bag, id))
    });
    let room = |(bag, id): (Bag, &str)| {
        let component = part(zones, id);
        let from_mm = component.map_or_else(Vec::new, |c| outline(c, body));
        let distance_mm = distance_mm(bag);
        let seats = match distance_mm {
            Some(mm) if !from_mm.is_empty() => {
                seats_inside(bag, side_of(&from_mm), &from_mm, mm, body)
            }
            _ => every_seat(body),
        };
        let at = component.map_or_else(|| id.to_owned(), |c| format!("{} {id}", c.kind.name()));
        DeploymentKeepOut {
            bag,
            at: with_state(&at, ask, bag),
            side: side_of(&from_mm),
            distance_mm,
            caregiver: caregiver(&seats, body, ask),
            seats,
            from_mm,
            because: id.to_owned(),
            source: source(bag, distance_mm).to_owned(),
        }
    };
    parts.map(room).collect()
}

/// A part recorded this near to a bag's usual place is that bag's, mm.
const SAME_PLACE_MM: f64 = 200.0;

fn part<'a>(zones: &'a Zones, id: &str) -> Option<&'a Component> {
    zones.components.iter().find(|c| c.id == id)
}

/// The recorded part of a bag that lies at the bag's usual place, by id.
pub fn at(
    bag: Bag,
    usual_mm: &[Point],
    card: &Card,
    body: &FittedBody,
    zones: &Zones,
) -> Option<String> {
    let mut parts = on_card(card, bag).filter_map(|id| part(zones, id));
    let here = |c: &&Component| chain_distance(&outline(c, body), usual_mm) <= SAME_PLACE_MM;
    parts.find(here).map(|c| c.id.to_string())
}

/// Where a component lies: its piece of the span, else the line between its ends.
fn outline(component: &Component, body: &FittedBody) -> Vec<Point> {
    let on_span = match &component.place {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => body.span(span).map(|s| s.line.between(*from_mm, *to_mm)),
        Place::Points(_) => None,
    };
    on_span.unwrap_or_else(|| component.ends_mm.to_vec())
}

/// The side a place lies on; on the middle plane, or across it, it has none.
fn side_of(points: &[Point]) -> Side {
    let all = |on: fn(f64) -> bool| !points.is_empty() && points.iter().all(|p| on(p.y));
    if all(|y| y < -ON_THE_MIDDLE_MM) {
        Side::Left
    } else if all(|y| y > ON_THE_MIDDLE_MM) {
        Side::Right
    } else {
        Side::Centre
    }
}

/// Nearer than this to the middle plane a part counts as in the middle, mm.
const ON_THE_MIDDLE_MM: f64 = 50.0;

/// Ids of components recorded as part of a bag.
fn on_card(card: &Card, bag: Bag) -> impl Iterator<Item = &str> {
    card.findings.iter().filter_map(move |f| match &f.report {
        Report::Component(c) if c.bag == Some(bag) && f.acts() => Some(c.component.as_str()),
        _ => None,
    })
}
