//! What changed between two revisions, span by span, before and after in mm:
//! where no-cut grew, where it shrank, and the blade gaps.

use crate::domain::geometry::Interval;
use crate::domain::units::Rounding;
use crate::domain::zone::change::{LEAST_MM, no_cut};
use crate::domain::zone::{Class, SpanZones, Stretch, Zones};
use crate::sketch::figures::Range;
use crate::web::card::{best_gap, length_of};
use crate::web::figures::short;
use crate::web::say;

/// The blade gaps of one span before and after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GapChange {
    pub before: String,
    pub after: String,
}

/// What changed on one span.
#[derive(Debug, Clone, PartialEq)]
pub struct SpanChange {
    pub name: String,
    pub id: String,
    /// Class, mm before, mm after; only what changed.
    pub lengths: Vec<(&'static str, String, String)>,
    /// Where no-cut is now that was not before.
    pub grown: Vec<String>,
    /// Where no-cut was that is not now.
    pub shrunk: Vec<String>,
    pub gaps: Option<GapChange>,
}

/// Every span that differs, in the body style's order.
pub fn changes(before: &Zones, after: &Zones) -> Vec<SpanChange> {
    let was = |id: &str| before.spans.iter().find(|s| s.id == id);
    let mut all: Vec<SpanChange> = after
        .spans
        .iter()
        .filter_map(|now| match was(&now.id) {
            Some(was) => span_change(was, now),
            None => Some(only_one(now, "not on the body style before")),
        })
        .collect();
    let gone = before
        .spans
        .iter()
        .filter(|s| !after.spans.iter().any(|t| t.id == s.id));
    all.extend(gone.map(|s| only_one(s, "no longer on the body style")));
    all
}

fn only_one(span: &SpanZones, what: &str) -> SpanChange {
    SpanChange {
        name: format!("{} ({what})", span.name),
        id: span.id.to_string(),
        lengths: Vec::new(),
        grown: Vec::new(),
        shrunk: Vec::new(),
        gaps: None,
    }
}

fn span_change(was: &SpanZones, now: &SpanZones) -> Option<SpanChange> {
    let lengths = [
        (Class::NoCut, "NO CUT"),
        (Class::Bare, "BARE"),
        (Class::Expected, "EXPECT"),
        (Class::Unproven, "UNSEEN"),
    ];
    let lengths: Vec<_> = lengths
        .into_iter()
        .filter(|(class, _)| (length_of(was, *class) - length_of(now, *class)).abs() > LEAST_MM)
        .map(|(class, word)| {
            let shown = |span| short(shown_length(span, class), Rounding::Nearest);
            (word, shown(was), shown(now))
        })
        .collect();
    let (old, new) = (no_cut(was), no_cut(now));
    let change = SpanChange {
        name: now.name.to_string(),
        id: now.id.to_string(),
        lengths,
        grown: without(&new, &old),
        shrunk: without(&old, &new),
        gaps: gap_change(was, now),
    };
    let nothing = change.lengths.is_empty()
        && change.grown.is_empty()
        && change.shrunk.is_empty()
        && change.gaps.is_none();
    (!nothing).then_some(change)
}

/// The length of a class in whole millimetres, from ends rounded as they are
/// printed: no-cut outward, bare inward.
fn shown_length(span: &SpanZones, class: Class) -> f64 {
    let runs = span.stretches.chunk_by(|a, b| a.class == b.class);
    let of_class = runs.filter(|run| run[0].class == class);
    let length = |run: &[Stretch]| {
        let (from, to) = (run[0].from_mm, run[run.len() - 1].to_mm);
        match class {
            Class::NoCut => to.ceil() - from.floor(),
            Class::Bare => (to.floor() - from.ceil()).max(0.0),
            Class::Expected | Class::Unproven => to.round() - from.round(),
        }
    };
    of_class.map(length).sum()
}

fn gap_change(was: &SpanZones, now: &SpanZones) -> Option<GapChange> {
    let (before, after) = (best_gap(was), best_gap(now));
    (before != after).then_some(GapChange { before, after })
}

/// What of `these` lies in none of `those`, in words. Both are disjoint and in
/// order.
fn without(these: &[Interval], those: &[Interval]) -> Vec<String> {
    let mut left = Vec::new();
    for this in these {
        let mut from = this.from;
        for that in those.iter().filter(|t| t.overlaps(*this)) {
            left.push(Interval::new(from, that.from));
            from = from.max(that.to);
        }
        left.push(Interval::new(from, this.to));
    }
    left.into_iter()
        .filter(|i| i.length() > LEAST_MM)
        .map(|i| say::range(Range::outward(i.from, i.to)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(pairs: &[(f64, f64)]) -> Vec<Interval> {
        pairs.iter().map(|(a, b)| Interval::new(*a, *b)).collect()
    }

    #[test]
    fn what_is_left_is_cut_at_both_sides_of_what_was_there() {
        let left = without(
            &all(&[(0.0, 100.0), (300.0, 400.0)]),
            &all(&[(20.0, 40.0), (90.0, 350.0)]),
        );
        let mm: Vec<&str> = left.iter().filter_map(|s| s.split(" mm").next()).collect();
        assert_eq!(mm, ["0–20", "40–90", "350–400"]);
    }

    #[test]
    fn the_same_intervals_leave_nothing() {
        let same = all(&[(0.0, 331.25)]);
        assert!(without(&same, &same).is_empty());
        assert!(without(&[], &same).is_empty());
    }
}
