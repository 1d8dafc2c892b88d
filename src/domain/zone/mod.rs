//! From findings to zones: keep-outs, the stretches that tile each span, gaps.
//!
//! The way of a finding: [`locate`] puts it on the fitted body, [`component`]
//! fuses it with the others on its component into [`keep_out`] volumes,
//! [`blade`] finds the stations each volume blocks on each span, [`stretch`]
//! tiles the spans, [`gap`] finds where a blade has room.

pub mod bare;
pub mod blade;
pub mod change;
pub mod component;
pub mod error;
pub mod gap;
pub mod keep_out;
pub mod locate;
pub mod marks;
pub mod report;
pub mod result;
pub mod round;
mod say;
pub mod stretch;

pub use error::{PlaceError, PlaceProblem, ZoneError};
pub use result::*;

use crate::domain::body::{Expectation, FittedBody, fit, style};
use crate::domain::card::Card;
use crate::domain::policy::CushionPolicy;
use crate::domain::vehicle::Variant;
use blade::BladeSpan;
use component::{Assessed, Report, assess};
use gap::BladeWidth;
use locate::LocatedFindings;

/// The zones of a card for the variant asked for (unknown fields fall back to
/// the card's vehicle).
///
/// # Errors
/// The measurements do not fit the body style, or an acting finding is not on
/// the fitted body; every such finding is named.
pub fn zones(card: &Card, variant: &Variant) -> Result<Zones, ZoneError> {
    let body = fit(style(card.vehicle.body_style), &card.measured).map_err(ZoneError::Fit)?;
    zones_on(&body, card, variant)
}

/// The zones of a card on a body already fitted to it.
///
/// # Errors
/// An acting finding is not on the body.
pub fn zones_on(body: &FittedBody, card: &Card, variant: &Variant) -> Result<Zones, ZoneError> {
    let policy = &card.policy;
    let spans: Vec<BladeSpan> = body
        .spans
        .iter()
        .map(|s| BladeSpan::new(s, policy.tip_reach_mm))
        .collect();
    let LocatedFindings {
        components,
        bare,
        mut warnings,
    } = locate::locate(&card.findings, &spans).map_err(ZoneError::Findings)?;
    let assessed = assess_all(components, card, &spans);
    let expected: Vec<&Expectation> = body
        .style
        .expectations
        .iter()
        .filter(|e| e.applies(&card.vehicle, variant))
        .collect();
    warnings.extend(assessed.iter().flat_map(report::warnings));
    let about = (&card.vehicle, variant);
    let counting = match card.review_overdue {
        false => bare::counting(&bare, &assessed, &spans, policy, about, &mut warnings),
        true => {
            warnings.extend(bare::overdue(&bare));
            Vec::new()
        }
    };
    let cushions = cushions_as_expected(&assessed, policy.cushion);
    let width = BladeWidth::of(policy);
    let marked = marks::Marked {
        assessed: &assessed,
        cushions,
        counting: &counting,
        expected: &expected,
    };
    Ok(Zones {
        vehicle: card.vehicle.clone(),
        policy: policy.clone(),
        spans: (0..spans.len())
            .map(|i| marked.span_zones(i, &spans[i], &width))
            .collect(),
        components: assessed
            .iter()
            .map(|c| report::component(c, &spans))
            .collect(),
        expectations: expected.iter().map(|e| report::expected_here(e)).collect(),
        bare: counting.iter().filter_map(|b| b.here(&spans)).collect(),
        warnings,
    })
}

/// Findings by component, components sorted by id.
fn assess_all<'a>(
    mut reports: Vec<Report<'a>>,
    card: &Card,
    spans: &[BladeSpan],
) -> Vec<Assessed<'a>> {
    // Stable: within a component the order of date and id stays.
    reports.sort_by_key(|r| r.1.component.as_str());
    reports
        .chunk_by(|a, b| a.1.component == b.1.component)
        .map(|own| {
            assess(
                own[0].1.component.as_str(),
                own.to_vec(),
                &card.policy,
                spans,
            )
        })
        .collect()
}

/// Which components are folded bags that count as expected: under that policy,
/// nothing but bag fabric is reported, and an accepted inflator or cylinder of
/// every bag it may belong to is on the card.
fn cushions_as_expected(assessed: &[Assessed], policy: CushionPolicy) -> Vec<bool> {
    let located: Vec<_> = assessed.iter().flat_map(report::inflator_bags).collect();
    assessed
        .iter()
        .map(|c| {
            policy == CushionPolicy::Expected
                && report::cushion_bags(c)
                    .is_some_and(|bags| bags.iter().all(|b| located.contains(b)))
        })
        .collect()
}
