//! A car and its mirror image have mirrored zones.

use super::{ROUNDED, answer};
use crate::support::cards::card;
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{Place, Report};
use pillarbook::domain::frame::Point;
use pillarbook::domain::vehicle::WheelSide;
use pillarbook::domain::zone::{SpanZones, Zones};
use proptest::prelude::*;

pub fn mirrored_id(id: &str) -> String {
    if let Some(stem) = id.strip_suffix(".left") {
        return format!("{stem}.right");
    }
    id.strip_suffix(".right")
        .map_or(id.to_owned(), |stem| format!("{stem}.left"))
}

/// Whether a span is its own mirror image turned round: one across the car.
pub fn is_turned(span: &SpanZones) -> bool {
    let (foot, head) = (span.centreline_mm[0], *span.centreline_mm.last().unwrap());
    mirrored_id(&span.id) == span.id && foot.mirrored().distance(head) < 1.0
}

/// The same car seen in a mirror.
pub fn mirrored(card: &Card, zones: &Zones) -> Card {
    let mut other = card.clone();
    other.vehicle.wheel = card.vehicle.wheel.map(|w| match w {
        WheelSide::Left => WheelSide::Right,
        WheelSide::Right => WheelSide::Left,
    });
    let across = |span: &mut String, from: &mut f64, to: &mut f64| {
        let on = zones.spans.iter().find(|s| s.id == *span).unwrap();
        if is_turned(on) {
            let length = unrounded_length(on);
            (*from, *to) = (length - *to, length - *from);
        }
        *span = mirrored_id(span);
    };
    for finding in &mut other.findings {
        match &mut finding.report {
            Report::Bare(b) => across(&mut b.span, &mut b.from_mm, &mut b.to_mm),
            Report::Component(c) => match &mut c.place {
                Place::OnSpan {
                    span,
                    from_mm,
                    to_mm,
                } => across(span, from_mm, to_mm),
                Place::Points(ends) => *ends = ends.map(Point::mirrored),
            },
        }
    }
    other
}

fn unrounded_length(span: &SpanZones) -> f64 {
    span.centreline_mm
        .windows(2)
        .map(|p| p[0].distance(p[1]))
        .sum()
}

/// Figures of a span read from the foot, or from the head where it is turned.
fn figures(span: &SpanZones, turned: bool) -> Vec<(f64, f64, String)> {
    let mut all: Vec<_> = span
        .stretches
        .iter()
        .map(|s| (s.from_mm, s.to_mm, format!("{} {:?}", s.class, s.material)))
        .chain(
            span.gaps
                .iter()
                .map(|g| (g.from_mm, g.to_mm, format!("gap {}", g.class))),
        )
        .map(|(a, b, what)| {
            if turned {
                (span.length_mm - b, span.length_mm - a, what)
            } else {
                (a, b, what)
            }
        })
        .collect();
    all.sort_by(|a, b| a.2.cmp(&b.2).then(a.0.total_cmp(&b.0)));
    all
}

proptest! {
    #![proptest_config(super::cases(96))]

    #[test]
    fn the_mirror_image_of_a_car_has_the_mirror_image_of_its_zones(card in card()) {
        let zones = answer(&card);
        let across = answer(&mirrored(&card, &zones));
        for span in &zones.spans {
            let image = across.spans.iter().find(|s| s.id == mirrored_id(&span.id)).unwrap();
            let (one, two) = (figures(span, is_turned(span)), figures(image, false));
            prop_assert_eq!(one.len(), two.len(), "{}: {:?} {:?}", span.id, one, two);
            for (a, b) in one.iter().zip(&two) {
                prop_assert_eq!(&a.2, &b.2, "{}", span.id);
                let near = (a.0 - b.0).abs() <= ROUNDED && (a.1 - b.1).abs() <= ROUNDED;
                prop_assert!(near, "{}: {a:?} {b:?}", span.id);
            }
        }
    }
}
