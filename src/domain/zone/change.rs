//! What a change to a card does to its no-cut stretches, span by span, in mm.

use super::{Class, SpanZones, Zones};
use crate::domain::geometry::{Interval, union};

/// Lengths below this are rounding, not a change.
pub const LEAST_MM: f64 = 0.02;

/// The no-cut of one span before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct SpanChange {
    pub span: String,
    pub name: String,
    pub before: Vec<Interval>,
    pub after: Vec<Interval>,
    /// No-cut after that was none before, mm.
    pub grows_mm: f64,
    /// No-cut before that is none after, mm.
    pub shrinks_mm: f64,
}

impl SpanChange {
    pub fn before_mm(&self) -> f64 {
        total(&self.before)
    }

    pub fn after_mm(&self) -> f64 {
        total(&self.after)
    }

    /// The same with its ends as people read them, outward to whole millimetres:
    /// so what it grows and shrinks by is what the ends beside it say.
    pub fn in_whole_mm(&self) -> Self {
        let outward = |all: &[Interval]| -> Vec<Interval> {
            let whole = all
                .iter()
                .map(|i| Interval::new(i.from.floor(), i.to.ceil()));
            union(whole.collect()).into_vec()
        };
        Self::between(
            &self.span,
            &self.name,
            outward(&self.before),
            outward(&self.after),
        )
    }

    fn between(span: &str, name: &str, before: Vec<Interval>, after: Vec<Interval>) -> Self {
        let common = common_mm(&before, &after);
        Self {
            span: span.to_owned(),
            name: name.to_owned(),
            grows_mm: total(&after) - common,
            shrinks_mm: total(&before) - common,
            before,
            after,
        }
    }
}

/// Spans whose no-cut changes, in the body style's order. A span that only one
/// of the two has counts as empty in the other.
pub fn no_cut_changes(before: &Zones, after: &Zones) -> Vec<SpanChange> {
    let gone = before
        .spans
        .iter()
        .filter(|b| !after.spans.iter().any(|a| a.id == b.id))
        .map(|b| change(Some(b), None, b));
    let kept = after.spans.iter().map(|a| {
        let b = before.spans.iter().find(|b| b.id == a.id);
        change(b, Some(a), a)
    });
    kept.chain(gone)
        .filter(|c| c.grows_mm > LEAST_MM || c.shrinks_mm > LEAST_MM)
        .collect()
}

fn change(before: Option<&SpanZones>, after: Option<&SpanZones>, named: &SpanZones) -> SpanChange {
    let (before, after) = (before.map(no_cut), after.map(no_cut));
    let (before, after) = (before.unwrap_or_default(), after.unwrap_or_default());
    SpanChange::between(&named.id, &named.name, before, after)
}

/// No-cut stretches of a span; neighbours that differ in material only join.
pub fn no_cut(span: &SpanZones) -> Vec<Interval> {
    let blocked = span.stretches.iter().filter(|s| s.class == Class::NoCut);
    let all = blocked.map(|s| Interval::new(s.from_mm, s.to_mm)).collect();
    union(all).into_vec()
}

fn total(intervals: &[Interval]) -> f64 {
    intervals.iter().map(|i| i.length()).sum()
}

fn common_mm(a: &[Interval], b: &[Interval]) -> f64 {
    let pairs = a.iter().flat_map(|x| b.iter().map(move |y| (x, y)));
    let common = pairs.filter_map(|(x, y)| x.intersection(*y));
    common.map(|i| i.length()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apart(before: &[(f64, f64)], after: &[(f64, f64)]) -> (f64, f64) {
        let intervals = |all: &[(f64, f64)]| -> Vec<Interval> {
            all.iter().map(|(a, b)| Interval::new(*a, *b)).collect()
        };
        let change = SpanChange::between("s", "S", intervals(before), intervals(after));
        (change.grows_mm, change.shrinks_mm)
    }

    #[test]
    fn a_zone_that_moves_grows_at_one_end_and_shrinks_at_the_other() {
        assert_eq!(apart(&[(100.0, 300.0)], &[(150.0, 420.0)]), (120.0, 50.0));
    }

    #[test]
    fn a_zone_that_is_new_only_grows_and_one_that_goes_only_shrinks() {
        assert_eq!(apart(&[], &[(0.0, 80.0)]), (80.0, 0.0));
        assert_eq!(apart(&[(0.0, 80.0)], &[]), (0.0, 80.0));
    }

    #[test]
    fn a_zone_split_in_two_shrinks_by_the_hole() {
        let split = [(0.0, 100.0), (160.0, 400.0)];
        assert_eq!(apart(&[(0.0, 400.0)], &split), (0.0, 60.0));
        assert_eq!(apart(&split, &[(0.0, 400.0)]), (60.0, 0.0));
    }

    #[test]
    fn in_whole_millimetres_it_grows_by_what_its_printed_ends_differ() {
        let interval = |to| vec![Interval::new(99.6, to)];
        let change = SpanChange::between("s", "S", interval(994.9), interval(1004.95));
        assert!(change.grows_mm > 10.0);
        let shown = change.in_whole_mm();
        assert_eq!(shown.before, [Interval::new(99.0, 995.0)]);
        assert_eq!((shown.grows_mm, shown.shrinks_mm), (10.0, 0.0));
    }

    #[test]
    fn the_same_zones_do_not_change() {
        let zones = [(0.0, 100.0), (160.0, 400.0)];
        assert_eq!(apart(&zones, &zones), (0.0, 0.0));
    }
}
