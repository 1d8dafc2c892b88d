//! The shape of every answer: stretches tile, gaps hold their blade, figures are
//! finite, and neither order nor repetition of findings matters.

use super::{ROUNDED, answer};
use crate::support::cards::card;
use pillarbook::domain::finding::Status;
use pillarbook::domain::policy::Policy;
use pillarbook::domain::units::{Unit, parse_length};
use pillarbook::domain::zone::{Class, Gap, SpanZones};
use proptest::prelude::*;

/// Half of what a blade touches at a station (design section 6), h interpolated.
fn half_touched(span: &SpanZones, policy: &Policy, station: f64) -> f64 {
    let after = span.stations_mm.partition_point(|s| *s <= station);
    let i = after.clamp(1, span.stations_mm.len() - 1);
    let (a, b) = (span.stations_mm[i - 1], span.stations_mm[i]);
    let (low, high) = (span.half_depth_mm[i - 1], span.half_depth_mm[i]);
    let depth = low + (high - low) * (station - a) / (b - a);
    policy.blade_half_width_mm + (depth + policy.tip_reach_mm) * policy.lean_deg.to_radians().tan()
}

fn allowed_in(gap: &Gap) -> &'static [Class] {
    match gap.class {
        Class::Bare => &[Class::Bare],
        Class::Unproven => &[Class::Bare, Class::Unproven],
        Class::Expected => &[Class::Bare, Class::Unproven, Class::Expected],
        Class::NoCut => &[],
    }
}

fn stays_in_its_run(span: &SpanZones, policy: &Policy, gap: &Gap, station: f64) -> bool {
    let half = half_touched(span, policy, station);
    let (from, to) = (station - half, station + half);
    let inside = from >= -ROUNDED && to <= span.length_mm + ROUNDED;
    inside
        && span
            .stretches
            .iter()
            .filter(|s| s.from_mm < to - ROUNDED && from + ROUNDED < s.to_mm)
            .all(|s| allowed_in(gap).contains(&s.class))
}

proptest! {
    #![proptest_config(super::cases(128))]

    #[test]
    fn stretches_tile_each_span_without_hole_or_overlap(card in card()) {
        for span in answer(&card).spans {
            prop_assert_eq!(span.stretches[0].from_mm, 0.0);
            prop_assert_eq!(span.stretches.last().unwrap().to_mm, span.length_mm);
            for pair in span.stretches.windows(2) {
                prop_assert_eq!(pair[0].to_mm, pair[1].from_mm, "{}", span.id);
                let same = pair[0].class == pair[1].class && pair[0].material == pair[1].material;
                prop_assert!(!same, "{}: neighbours alike are not merged", span.id);
            }
            prop_assert!(span.stretches.iter().all(|s| s.from_mm < s.to_mm), "{}: an empty stretch", span.id);
        }
    }

    #[test]
    fn a_blade_anywhere_in_a_gap_stays_in_its_run(card in card()) {
        for span in answer(&card).spans {
            for gap in &span.gaps {
                prop_assert!(gap.to_mm - gap.from_mm >= 1.0 - 1e-9, "{}: {gap:?}", span.id);
                for station in [gap.from_mm, 0.5 * (gap.from_mm + gap.to_mm), gap.to_mm] {
                    prop_assert!(
                        stays_in_its_run(&span, &card.policy, gap, station),
                        "{} at {station}: {gap:?} in {:?}", span.id, span.stretches
                    );
                }
            }
        }
    }

    #[test]
    fn every_valid_card_answers_in_finite_figures(card in card()) {
        let zones = answer(&card);
        for c in &zones.components {
            let figures = [c.radius_mm, c.sigma_mm, c.k, c.keep_out_mm, c.chi2, c.birge];
            prop_assert!(figures.iter().all(|f| f.is_finite() && *f >= 0.0), "{c:?}");
            prop_assert!(c.ends_mm.iter().all(|p| p.is_finite()), "{c:?}");
        }
        for span in &zones.spans {
            prop_assert!(span.length_mm.is_finite() && span.middle_mm.is_none_or(f64::is_finite));
        }
    }

    #[test]
    fn the_order_of_findings_does_not_matter(
        (card, shuffled) in card().prop_flat_map(|card| {
            let order = Just(card.findings.clone()).prop_shuffle();
            (Just(card), order)
        })
    ) {
        let mut other = card.clone();
        other.findings = shuffled;
        let (one, two) = (answer(&card), answer(&other));
        prop_assert_eq!(one.components, two.components);
        prop_assert_eq!(one.spans, two.spans);
    }

    #[test]
    fn repeating_an_identical_finding_from_the_same_car_changes_nothing(card in card(), pick in any::<prop::sample::Index>()) {
        prop_assume!(!card.findings.is_empty());
        let mut more = card.clone();
        let mut again = pick.get(&card.findings).clone();
        prop_assume!(matches!(again.status, Status::Accepted | Status::Offered));
        again.id.push_str("-again");
        more.findings.push(again);
        let (one, two) = (answer(&card), answer(&more));
        for (a, b) in one.spans.iter().zip(&two.spans) {
            prop_assert_eq!(&a.gaps, &b.gaps);
            let classes = |s: &SpanZones| s.stretches.iter()
                .map(|t| (t.from_mm, t.to_mm, t.class, t.material.clone())).collect::<Vec<_>>();
            prop_assert_eq!(classes(a), classes(b));
        }
    }

    #[test]
    fn units_do_not_matter(whole in 0u32..100, eighth in 1u32..8) {
        let inches = format!("{whole} {eighth}/8");
        let mm = 25.4 * (f64::from(whole) + f64::from(eighth) / 8.0);
        let typed_in = parse_length(&inches, Unit::Inch).unwrap();
        let typed_mm = parse_length(&format!("{mm} mm"), Unit::Mm).unwrap();
        prop_assert!((typed_in - typed_mm).abs() < 1e-9, "{typed_in} {typed_mm}");
    }
}
