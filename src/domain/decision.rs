//! Who may decide where a finding stands (design, findings and safety rules).
//!
//! A bare finding waits for a second person. What comes from outside waits for an
//! officer. What would shrink a `no-cut` waits for an officer who did not write
//! it. Where a department is one person there is no second one: then it is done
//! single-handed, and the record says so.

use super::card::Card;
use super::finding::{Finding, Report, Status};
use super::role::{Deed, Roles};
use super::vehicle::{Variant, words};
use super::zone::change::{LEAST_MM, SpanChange, no_cut_changes};
use super::zone::zones;

words! {
    /// What is decided about a finding.
    Decision {
        Accept = "accept", Decline = "decline", Withdraw = "withdraw",
        /* that a bare finding stands although a component overlaps it */
        Resolve = "resolve",
        TakeBack = "take-back",
    }
}

words! {
    /// For whom a decision waits.
    WaitsFor {
        SecondPerson = "second-person", Officer = "officer", OtherOfficer = "other-officer",
    }
}

impl Decision {
    /// The decision that gives a finding this status, if one does.
    pub const fn to(status: Status) -> Option<Self> {
        match status {
            Status::Accepted => Some(Self::Accept),
            Status::Declined => Some(Self::Decline),
            Status::Withdrawn => Some(Self::Withdraw),
            Status::Offered | Status::Superseded => None,
        }
    }
}

impl WaitsFor {
    /// Who can, as a refusal names them.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::SecondPerson => {
                "a second person of this department: whoever recorded it cannot confirm it"
            }
            Self::Officer => "an officer of this department",
            Self::OtherOfficer => "an officer of this department who did not record it",
        }
    }
}

/// Who decides.
#[derive(Debug, Clone, Copy)]
pub struct Decider<'a> {
    pub roles: &'a Roles,
    /// Whether it is a person; a program is nobody's second person.
    pub person: bool,
    /// Whether nobody else of the department could: it is one person.
    pub alone: bool,
}

/// What is decided about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Case {
    pub bare: bool,
    /// Whether a partner's member recorded it.
    pub from_outside: bool,
    /// Whether the decider recorded it, by themselves or by a program of theirs.
    pub own: bool,
    /// Whether the decision takes any `no-cut` away.
    pub shrinks: bool,
}

/// What comes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Allowed,
    /// A second person was asked for, and there is none.
    SingleHanded,
    Waits(WaitsFor),
}

/// Whether this decider may decide this case.
pub fn verdict(decision: Decision, case: Case, by: Decider) -> Verdict {
    let asked = match decision {
        Decision::TakeBack => return allowed_if(by.roles.may(Deed::Record), WaitsFor::Officer),
        Decision::Resolve => Some(WaitsFor::OtherOfficer),
        _ if case.shrinks => Some(WaitsFor::OtherOfficer),
        Decision::Accept if case.bare && !case.from_outside => Some(WaitsFor::SecondPerson),
        Decision::Accept => Some(WaitsFor::Officer),
        Decision::Decline if case.from_outside => Some(WaitsFor::Officer),
        Decision::Decline | Decision::Withdraw => None,
    };
    let Some(asked) = asked else {
        return allowed_if(by.roles.may(Deed::Record), WaitsFor::Officer);
    };
    let deed = match asked {
        WaitsFor::SecondPerson => Deed::Record,
        WaitsFor::Officer | WaitsFor::OtherOfficer => Deed::Decide,
    };
    if !by.roles.may(deed) || !by.person {
        return Verdict::Waits(asked);
    }
    match asked {
        WaitsFor::SecondPerson | WaitsFor::OtherOfficer if case.own && by.alone => {
            Verdict::SingleHanded
        }
        WaitsFor::SecondPerson | WaitsFor::OtherOfficer if case.own => Verdict::Waits(asked),
        _ => Verdict::Allowed,
    }
}

const fn allowed_if(may: bool, otherwise: WaitsFor) -> Verdict {
    match may {
        true => Verdict::Allowed,
        false => Verdict::Waits(otherwise),
    }
}

/// Whether a correction takes the place of what it corrects at once: where it
/// takes no `no-cut` away, or nobody else could accept it. Else it is offered.
pub fn corrects_at_once(shrinks: bool, by: Decider) -> bool {
    let own = Case {
        bare: false,
        from_outside: false,
        own: true,
        shrinks,
    };
    !shrinks || verdict(Decision::Accept, own, by) == Verdict::SingleHanded
}

/// Whether this decider may review a card; `wrote`: whether they wrote any of what
/// came since the last review.
pub fn review_verdict(wrote: bool, by: Decider) -> Verdict {
    match (by.roles.may(Deed::Decide) && by.person, wrote) {
        (false, _) => Verdict::Waits(WaitsFor::Officer),
        (true, false) => Verdict::Allowed,
        (true, true) if by.alone => Verdict::SingleHanded,
        (true, true) => Verdict::Waits(WaitsFor::OtherOfficer),
    }
}

/// The card after these findings stand otherwise; what a correction corrects
/// gives way when the correction is accepted, if it still acts.
pub fn with_statuses(card: &Card, changes: &[(&str, Status)]) -> Card {
    let mut card = card.clone();
    for id in superseded_by(&card.findings, changes) {
        set(&mut card.findings, &id, Status::Superseded);
    }
    for (id, status) in changes {
        set(&mut card.findings, id, *status);
    }
    card
}

fn set(findings: &mut [Finding], id: &str, status: Status) {
    for finding in findings.iter_mut().filter(|f| f.id == id) {
        finding.status = status;
    }
}

/// The findings that give way to corrections accepted by these changes: those
/// that still act and are not changed themselves.
pub fn superseded_by(findings: &[Finding], changes: &[(&str, Status)]) -> Vec<String> {
    let find = |id: &str| findings.iter().find(|f| f.id == id);
    let mut ids: Vec<String> = changes
        .iter()
        .filter(|(_, status)| *status == Status::Accepted)
        .filter_map(|(id, _)| find(id)?.supersedes.clone())
        .filter(|old| find(old).is_some_and(Finding::acts))
        .filter(|old| changes.iter().all(|(id, _)| id != old))
        .collect();
    ids.sort();
    ids.dedup();
    ids
}

/// Whether any `no-cut` of the card gets shorter. A card whose zones cannot be
/// worked out counts as one that does: nobody could see before and after.
pub fn shrinks(before: &Card, after: &Card) -> bool {
    let own = Variant::default();
    match (zones(before, &own), zones(after, &own)) {
        (Ok(before), Ok(after)) => no_cut_changes(&before, &after).iter().any(takes_away),
        _ => true,
    }
}

fn takes_away(change: &SpanChange) -> bool {
    change.shrinks_mm > LEAST_MM
}

/// Whether a finding states bare metal.
pub fn is_bare(finding: &Finding) -> bool {
    matches!(finding.report, Report::Bare(_))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::role::Role;

    const PLAIN: Case = Case {
        bare: false,
        from_outside: false,
        own: false,
        shrinks: false,
    };

    fn by(roles: &[Role], alone: bool, decision: Decision, case: Case) -> Verdict {
        let roles: Roles = roles.iter().copied().collect();
        let decider = Decider {
            roles: &roles,
            person: true,
            alone,
        };
        verdict(decision, case, decider)
    }

    fn every_case() -> impl Iterator<Item = Case> {
        (0..16).map(|bits| Case {
            bare: bits & 1 > 0,
            from_outside: bits & 2 > 0,
            own: bits & 4 > 0,
            shrinks: bits & 8 > 0,
        })
    }

    #[test]
    fn what_shrinks_a_no_cut_waits_for_an_officer_who_did_not_record_it() {
        for decision in [Decision::Accept, Decision::Decline, Decision::Withdraw] {
            for case in every_case().filter(|c| c.shrinks) {
                let member = by(
                    &[Role::Member, Role::Keeper, Role::Trainer],
                    false,
                    decision,
                    case,
                );
                assert_eq!(member, Verdict::Waits(WaitsFor::OtherOfficer));
                let officer = by(&[Role::Officer], false, decision, case);
                assert_eq!(
                    officer == Verdict::Allowed,
                    !case.own,
                    "{decision} {case:?}"
                );
            }
        }
    }

    #[test]
    fn a_bare_finding_of_ones_own_waits_for_a_second_person_of_any_recording_role() {
        let case = Case {
            bare: true,
            ..PLAIN
        };
        let own = Case { own: true, ..case };
        for role in [Role::Member, Role::Officer] {
            let accept = |case| by(&[role], false, Decision::Accept, case);
            assert_eq!(accept(case), Verdict::Allowed);
            assert_eq!(accept(own), Verdict::Waits(WaitsFor::SecondPerson));
        }
        let trainer = by(&[Role::Trainer], false, Decision::Accept, case);
        assert_eq!(trainer, Verdict::Waits(WaitsFor::SecondPerson));
    }

    #[test]
    fn what_comes_from_outside_waits_for_an_officer() {
        for bare in [false, true] {
            let case = Case {
                bare,
                from_outside: true,
                ..PLAIN
            };
            for decision in [Decision::Accept, Decision::Decline] {
                let member = by(&[Role::Member], false, decision, case);
                assert_eq!(member, Verdict::Waits(WaitsFor::Officer));
                assert_eq!(
                    by(&[Role::Officer], false, decision, case),
                    Verdict::Allowed
                );
            }
        }
    }

    #[test]
    fn who_is_alone_does_it_single_handed_and_needs_the_role_all_the_same() {
        let own = Case {
            own: true,
            shrinks: true,
            ..PLAIN
        };
        let all: Vec<Role> = Role::ALL.to_vec();
        assert_eq!(
            by(&all, true, Decision::Withdraw, own),
            Verdict::SingleHanded
        );
        assert_eq!(
            by(&[Role::Member], true, Decision::Withdraw, own),
            Verdict::Waits(WaitsFor::OtherOfficer)
        );
    }

    #[test]
    fn a_program_is_nobodys_second_person() {
        let roles = Roles::all();
        let program = Decider {
            roles: &roles,
            person: false,
            alone: true,
        };
        for case in every_case() {
            let bare_or_shrinks = case.bare || case.shrinks || case.from_outside;
            let accept = verdict(Decision::Accept, case, program);
            assert!(matches!(accept, Verdict::Waits(_)), "{case:?}");
            let withdraw = verdict(Decision::Withdraw, case, program);
            assert!(bare_or_shrinks || withdraw == Verdict::Allowed);
        }
    }

    #[test]
    fn taking_a_resolution_back_only_makes_more_cautious() {
        assert_eq!(
            by(&[Role::Member], false, Decision::TakeBack, PLAIN),
            Verdict::Allowed
        );
        let resolve = by(&[Role::Member], false, Decision::Resolve, PLAIN);
        assert_eq!(resolve, Verdict::Waits(WaitsFor::OtherOfficer));
    }
}
