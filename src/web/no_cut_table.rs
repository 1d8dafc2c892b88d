//! What a change does to the no-cut stretches, in words and mm, for the table
//! that every page shows before such a change is saved.

use super::figures;
use crate::domain::geometry::Interval;
use crate::domain::units::Rounding;
use crate::domain::zone::Zones;
use crate::domain::zone::change::{LEAST_MM, SpanChange, no_cut_changes};
use crate::sketch::figures::Range;

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
    /// Neither shrinks nor is among the largest changes: may be folded away.
    pub minor: bool,
}

/// Rows that stand open on the page; a span that shrinks always does.
const OPEN_ROWS: usize = 5;

/// Rows for the spans whose no-cut changes: what shrinks first, then by size.
pub fn rows(before: &Zones, after: &Zones) -> Vec<ChangeRow> {
    let mut changes = no_cut_changes(before, after);
    changes.sort_by(|a, b| {
        let by_shrink = b.shrinks_mm.total_cmp(&a.shrinks_mm);
        by_shrink.then(b.grows_mm.total_cmp(&a.grows_mm))
    });
    changes.iter().enumerate().map(row).collect()
}

fn row((place, change): (usize, &SpanChange)) -> ChangeRow {
    let shown = change.in_whole_mm();
    let amounts = [
        ("grows", change.grows_mm, shown.grows_mm),
        ("shrinks", change.shrinks_mm, shown.shrinks_mm),
    ];
    let said = amounts
        .into_iter()
        .filter(|(_, mm, _)| *mm > LEAST_MM)
        .map(|(word, _, shown)| match shown >= 1.0 {
            true => format!("{word} by {}", figures::short(shown, Rounding::Nearest)),
            false => format!("{word} by less than 1 mm"),
        })
        .collect::<Vec<_>>();
    ChangeRow {
        span: change.span.clone(),
        name: change.name.clone(),
        before: stretches(&change.before),
        after: stretches(&change.after),
        said: said.join(", "),
        shrinks: change.shrinks_mm > LEAST_MM,
        minor: change.shrinks_mm <= LEAST_MM && place >= OPEN_ROWS,
    }
}

/// No-cut stretches outward: a printed figure never leaves any of it out.
fn stretches(intervals: &[Interval]) -> String {
    if intervals.is_empty() {
        return "none recorded".to_owned();
    }
    let one = |i: &Interval| figures::short_range(Range::outward(i.from, i.to));
    intervals.iter().map(one).collect::<Vec<_>>().join(", ")
}
