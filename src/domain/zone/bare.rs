//! Which bare findings count, and how much of each is left after widening.

use super::blade::BladeSpan;
use super::component::Assessed;
use super::locate::LocatedBare;
use super::result::{BareHere, Warning};
use super::round::{Rounded, mm, nearest};
use super::say;
use crate::domain::finding::{Depth, Status};
use crate::domain::fusion::estimate::own_sigma;
use crate::domain::geometry::Interval;
use crate::domain::name::Name;
use crate::domain::policy::Policy;
use crate::domain::vehicle::{Variant, Vehicle};

/// A bare finding that counts: unrounded stations, widening taken off.
#[derive(Debug, Clone)]
pub struct CountingBare<'a> {
    /// The finding's id.
    pub id: Name,
    pub located: LocatedBare<'a>,
    pub left: Interval,
}

impl CountingBare<'_> {
    pub fn here(&self, spans: &[BladeSpan]) -> Option<BareHere> {
        let length = nearest(spans[self.located.place.span].length());
        let left = Rounded::inward(self.left, length)?;
        Some(BareHere {
            finding: self.located.finding.id.clone(),
            span: self.located.report.span.clone(),
            from_mm: mm(left.from),
            to_mm: mm(left.to),
            by: self.located.finding.by.clone(),
            on: self.located.finding.observed_on,
        })
    }
}

/// Sorts the bare findings out. Skin, offered, other-variant and contradicted
/// ones count for nothing.
pub fn counting<'a>(
    bare: &[LocatedBare<'a>],
    components: &[Assessed],
    spans: &[BladeSpan],
    policy: &Policy,
    (vehicle, variant): (&Vehicle, &Variant),
    warnings: &mut Vec<Warning>,
) -> Vec<CountingBare<'a>> {
    let mut counting = Vec::new();
    for found in bare {
        let through = found.report.depth == Depth::Through;
        if found.finding.status != Status::Accepted || !through {
            continue;
        }
        if !agrees(&found.finding.observed, vehicle, variant) {
            warnings.push(say::variant_differs(found));
            continue;
        }
        let against = contradicting(found, components, spans);
        if !against.is_empty() && found.report.resolved.is_none() {
            warnings.push(say::contradiction(found, against));
            continue;
        }
        match left_of(found, policy) {
            Some(left) => counting.push(CountingBare {
                id: found.finding.id.as_str().into(),
                located: *found,
                left,
            }),
            None => warnings.push(say::counts_for_nothing(found)),
        }
    }
    counting
}

/// Said where none of them counts because a review of the card is overdue: what
/// was bare reads unproven, or expected where something is expected.
pub fn overdue(bare: &[LocatedBare]) -> Option<Warning> {
    let accepted = bare.iter().filter(|b| b.finding.status == Status::Accepted);
    let ids: Vec<String> = accepted.map(|b| b.finding.id.clone()).collect();
    (!ids.is_empty()).then(|| say::review_overdue(ids))
}

/// From + kσ to − kσ, if a hundredth of a millimetre is left of it.
fn left_of(found: &LocatedBare, policy: &Policy) -> Option<Interval> {
    let sigma = own_sigma(found.finding.bound_mm(), policy.car_to_car_mm);
    let widening = policy.coverage.k_stations() * sigma;
    let left = Interval::new(found.place.from + widening, found.place.to - widening);
    Rounded::inward(left, i64::MAX).map(|_| left)
}

/// Ids of accepted no-cut components that may be where it says bare.
fn contradicting(found: &LocatedBare, components: &[Assessed], spans: &[BladeSpan]) -> Vec<String> {
    let index = found.place.span;
    let recorded = Interval::new(found.place.from, found.place.to);
    let overlaps = |c: &&Assessed| {
        c.volumes
            .iter()
            .filter(|v| !v.offered && v.clearance_mm.is_some())
            .any(|v| {
                v.extent(index, &spans[index])
                    .iter()
                    .any(|e| e.touches(recorded))
            })
    };
    components
        .iter()
        .filter(overlaps)
        .map(|c| c.id.to_string())
        .collect()
}

/// Field by field, what was observed agrees with the variant asked for, or else
/// with the card's vehicle; what is unknown on either side agrees.
fn agrees(observed: &Variant, vehicle: &Vehicle, variant: &Variant) -> bool {
    fn same<T: PartialEq>(seen: &Option<T>, asked: &Option<T>, card: &Option<T>) -> bool {
        match (seen, asked.as_ref().or(card.as_ref())) {
            (Some(seen), Some(reference)) => seen == reference,
            _ => true,
        }
    }
    let year = match (observed.year, variant.year, vehicle.years) {
        (Some(seen), Some(asked), _) => seen == asked,
        (Some(seen), None, Some(years)) => years.contains(seen),
        _ => true,
    };
    year && same(&observed.drive, &variant.drive, &vehicle.drive)
        && same(&observed.wheel, &variant.wheel, &vehicle.wheel)
        && same(&observed.roof, &variant.roof, &vehicle.roof)
        && same(&observed.region, &variant.region, &vehicle.region)
}
