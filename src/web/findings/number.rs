//! Ids of new findings and parts on a card: the next free `f12`, `c7`. Short,
//! so that two people can say them over a radio; every finding ever recorded
//! counts, so that a number is never used twice.

use crate::domain::finding::{Finding, Report};
use crate::domain::numbers::FreeNumbers;

/// Hands out ids that the card does not have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbers {
    finding: FreeNumbers,
    component: FreeNumbers,
    blank: bool,
}

impl Numbers {
    /// After every finding of a card, whatever its status.
    pub fn after(findings: &[Finding]) -> Self {
        let mut numbers = Self::none_taken();
        for finding in findings {
            numbers.finding.take(&finding.id);
            if let Report::Component(part) = &finding.report {
                numbers.component.take(&part.component);
            }
        }
        numbers
    }

    /// Blank ids, which the store fills in when it saves.
    pub fn left_to_the_store() -> Self {
        Self {
            blank: true,
            ..Self::none_taken()
        }
    }

    const fn none_taken() -> Self {
        Self {
            finding: FreeNumbers::of('f'),
            component: FreeNumbers::of('c'),
            blank: false,
        }
    }

    pub fn finding(&mut self) -> String {
        if self.blank {
            return String::new();
        }
        self.finding.next_id()
    }

    pub fn component(&mut self) -> String {
        if self.blank {
            return String::new();
        }
        self.component.next_id()
    }
}
