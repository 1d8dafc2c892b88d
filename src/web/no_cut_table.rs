//! What a change does to the no-cut stretches, in words and mm, for the table
//! that every page shows before such a change is saved.

use crate::domain::geometry::Interval;
use crate::domain::units::{Rounding, millimetres};
use crate::domain::zone::Zones;
use crate::domain::zone::change::{SpanChange, no_cut_changes};

/// One span of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeRow {
    pub span: String,
    pub name: String,
    pub before: String,
    pub after: String,
    /// `grows by 120 mm`, `shrinks by 40 mm`, or both.
    pub said: String,
    pub shrinks: bool,
}

/// Rows for the spans whose no-cut changes.
pub fn rows(before: &Zones, after: &Zones) -> Vec<ChangeRow> {
    let changes = no_cut_changes(before, after);
    changes.iter().map(row).collect()
}

fn row(change: &SpanChange) -> ChangeRow {
    let amounts = [("grows", change.grows_mm), ("shrinks", change.shrinks_mm)];
    let said = amounts
        .into_iter()
        .filter(|(_, mm)| *mm > 0.02)
        .map(|(word, mm)| format!("{word} by {}", millimetres(mm, Rounding::Up)))
        .collect::<Vec<_>>();
    ChangeRow {
        span: change.span.clone(),
        name: change.name.clone(),
        before: stretches(&change.before),
        after: stretches(&change.after),
        said: said.join(", "),
        shrinks: change.shrinks_mm > 0.02,
    }
}

/// No-cut stretches outward: a printed figure never leaves any of it out.
fn stretches(intervals: &[Interval]) -> String {
    if intervals.is_empty() {
        return "none recorded".to_owned();
    }
    let one = |i: &Interval| {
        let from = millimetres(i.from, Rounding::Down);
        let from = from.trim_end_matches(" mm").to_owned();
        format!("{from}–{}", millimetres(i.to, Rounding::Up))
    };
    intervals.iter().map(one).collect::<Vec<_>>().join(", ")
}
