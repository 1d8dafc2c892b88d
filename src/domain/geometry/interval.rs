//! Closed intervals of stations (mm) and unions of them.

use smallvec::SmallVec;

/// A closed interval of stations, `from` ≤ `to`, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub from: f64,
    pub to: f64,
}

impl Interval {
    pub const fn new(from: f64, to: f64) -> Self {
        Self { from, to }
    }

    pub fn length(self) -> f64 {
        self.to - self.from
    }

    pub fn middle(self) -> f64 {
        0.5 * (self.from + self.to)
    }

    /// Whether they share a point; touching counts.
    pub fn touches(self, other: Self) -> bool {
        self.from <= other.to && other.from <= self.to
    }

    /// Whether they share more than a point.
    pub fn overlaps(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }

    pub fn covers(self, other: Self) -> bool {
        self.from <= other.from && other.to <= self.to
    }

    /// The common part, if any.
    pub fn intersection(self, other: Self) -> Option<Self> {
        self.touches(other)
            .then(|| Self::new(self.from.max(other.from), self.to.min(other.to)))
    }
}

/// Intervals on one span: few, so that they are kept in place.
pub type Intervals = SmallVec<[Interval; 4]>;

/// The union, as disjoint intervals in ascending order; touching ones join.
pub fn union(mut all: Intervals) -> Intervals {
    all.sort_unstable_by(|a, b| a.from.total_cmp(&b.from));
    all.dedup_by(|next, last| {
        let joins = next.from <= last.to;
        if joins {
            last.to = last.to.max(next.to);
        }
        joins
    });
    all
}
