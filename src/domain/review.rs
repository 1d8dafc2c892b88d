//! Whether an officer has looked a card over, and since when that is due again.
//! While it is, what was seen bare counts for nothing: the reading is no longer
//! vouched for. A card nobody has reviewed yet is a draft; its bare findings rest on
//! the second person who confirmed each.

use super::finding::{Finding, Report, Status};
use super::zone::Zones;
use time::{Duration, OffsetDateTime};

/// After how many days a review is due again where a department has not set it
/// (policy default, common practice, no source).
pub const DEFAULT_DAYS: u32 = 365;

/// How many days a department may set.
pub const DAYS: std::ops::RangeInclusive<u32> = 1..=3650;

/// A review that was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reviewed {
    /// The revision that was looked over.
    pub revision: i64,
    pub at: OffsetDateTime,
    pub by: String,
    /// By who wrote part of it, since nobody else was there.
    pub single_handed: bool,
}

/// What is known of a card's reviews.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Review {
    /// The last one; none of a draft.
    pub last: Option<Reviewed>,
    /// After how many days it is due again.
    pub days: u32,
    /// Whether a finding that came since disputes another.
    pub disputed: bool,
}

/// Why a review is due again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DueBecause {
    /// Since that moment.
    Time(OffsetDateTime),
    Dispute,
}

/// Where a card stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing<'a> {
    Draft,
    Reviewed(&'a Reviewed),
    DueAgain(&'a Reviewed, DueBecause),
}

impl Default for Review {
    fn default() -> Self {
        Self {
            last: None,
            days: DEFAULT_DAYS,
            disputed: false,
        }
    }
}

impl Review {
    /// Where the card stands at a moment.
    pub fn standing(&self, now: OffsetDateTime) -> Standing<'_> {
        let Some(last) = &self.last else {
            return Standing::Draft;
        };
        let due_at = last.at + Duration::days(i64::from(self.days));
        match () {
            () if now >= due_at => Standing::DueAgain(last, DueBecause::Time(due_at)),
            () if self.disputed => Standing::DueAgain(last, DueBecause::Dispute),
            () => Standing::Reviewed(last),
        }
    }

    /// Whether a review is overdue at a moment.
    pub fn is_overdue(&self, now: OffsetDateTime) -> bool {
        matches!(self.standing(now), Standing::DueAgain(..))
    }
}

/// Whether one of these findings is in dispute with another: on a component, as the
/// zones say; a bare one, with a component that may be where it says bare.
pub fn disputes(zones: &Zones, findings: &[Finding], newer: &[String]) -> bool {
    let is_newer = |id: &str| newer.iter().any(|n| n == id);
    let of_components = zones
        .components
        .iter()
        .flat_map(|c| &c.disagree)
        .any(|pair| is_newer(&pair.a) || is_newer(&pair.b));
    let contradicted = zones.warnings.iter().any(|w| {
        w.code == super::zone::WarningCode::Contradiction
            && w.ids
                .iter()
                .any(|id| is_newer(id) || newer_on(findings, newer, id))
    });
    of_components || contradicted
}

/// Whether one of the newer findings is about this component.
fn newer_on(findings: &[Finding], newer: &[String], component: &str) -> bool {
    let about = |f: &Finding| match &f.report {
        Report::Component(report) => report.component == component,
        Report::Bare(_) => false,
    };
    let mut accepted = findings.iter().filter(|f| f.status == Status::Accepted);
    accepted.any(|f| newer.contains(&f.id) && about(f))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    const MADE: OffsetDateTime = datetime!(2026-03-05 10:00 UTC);

    fn review(disputed: bool) -> Review {
        Review {
            last: Some(Reviewed {
                revision: 7,
                at: MADE,
                by: "Di Holt".into(),
                single_handed: false,
            }),
            days: 30,
            disputed,
        }
    }

    #[test]
    fn a_card_nobody_reviewed_is_a_draft_and_never_overdue() {
        let none = Review::default();
        assert_eq!(none.standing(MADE), Standing::Draft);
        assert!(!none.is_overdue(MADE + Duration::days(9_999)));
    }

    #[test]
    fn a_review_is_due_again_after_its_days_and_not_a_second_before() {
        let review = review(false);
        let due = MADE + Duration::days(30);
        assert!(matches!(
            review.standing(due - Duration::SECOND),
            Standing::Reviewed(_)
        ));
        let expected = DueBecause::Time(due);
        assert!(matches!(review.standing(due), Standing::DueAgain(_, why) if why == expected));
    }

    #[test]
    fn a_newer_finding_in_dispute_makes_it_due_at_once() {
        let standing = review(true);
        let standing = standing.standing(MADE);
        assert!(matches!(
            standing,
            Standing::DueAgain(_, DueBecause::Dispute)
        ));
    }
}
