//! Ids of new findings and parts on a card: the next free `f12`, `c7`. Short,
//! so that two people can say them over a radio; every finding ever recorded
//! counts, so that a number is never used twice.

use crate::domain::finding::{Finding, Report};

/// Hands out ids that the card does not have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Numbers {
    finding: u64,
    component: u64,
    blank: bool,
}

impl Numbers {
    /// After every finding of a card, whatever its status.
    pub fn after(findings: &[Finding]) -> Self {
        let mut numbers = Self {
            finding: 0,
            component: 0,
            blank: false,
        };
        for finding in findings {
            numbers.finding = numbers.finding.max(number(&finding.id, 'f'));
            if let Report::Component(part) = &finding.report {
                numbers.component = numbers.component.max(number(&part.component, 'c'));
            }
        }
        numbers
    }

    /// Blank ids, which the store fills in when it saves.
    pub fn left_to_the_store() -> Self {
        Self {
            finding: 0,
            component: 0,
            blank: true,
        }
    }

    pub fn finding(&mut self) -> String {
        if self.blank {
            return String::new();
        }
        self.finding += 1;
        format!("f{}", self.finding)
    }

    pub fn component(&mut self) -> String {
        if self.blank {
            return String::new();
        }
        self.component += 1;
        format!("c{}", self.component)
    }
}

/// The number of an id of ours; 0 for an id from elsewhere.
fn number(id: &str, letter: char) -> u64 {
    id.strip_prefix(letter)
        .and_then(|digits| digits.parse::<u32>().ok())
        .map_or(0, u64::from)
}
