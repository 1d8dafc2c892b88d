//! What can be done about a finding as it stands, who may do it, and what it does
//! to the no-cut.

use super::{Seeing, effect};
use crate::domain::decision::{Decision, Verdict, WaitsFor, with_statuses};
use crate::domain::finding::{Finding, Report, Resolved, Status};
use crate::domain::role::Deed;
use crate::domain::vehicle::words;
use crate::domain::zone::WarningCode;
use crate::store::{AskedChange, Deciding, Revision, StatusChange, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::zones_of;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use time::OffsetDateTime;

words! {
    /// What can be done about a finding.
    Act {
        Accept = "accept", Decline = "decline", Withdraw = "withdraw",
        Resolve = "resolve", Unresolve = "unresolve",
        /* what somebody asked for */
        Refuse = "refuse",
    }
}

/// One thing that can be done, and what it does.
pub struct ActRow {
    pub act: Act,
    pub title: &'static str,
    pub about: &'static str,
    pub button: &'static str,
    pub needs_reason: bool,
    pub rows: Vec<ChangeRow>,
    /// The tick by which a member says they saw what it takes away.
    pub tick: Option<&'static str>,
    /// Nobody else could do it.
    pub single_handed: bool,
    /// Who can do it, where the member cannot.
    pub waits_for: Option<&'static str>,
    /// Whether the form was sent for this act and shown again.
    pub sent: bool,
}

/// What can be done about a finding as it stands.
pub fn possible(stored: &StoredCard, finding: &Finding, asked: Option<&AskedChange>) -> Vec<Act> {
    let offered = finding.status == Status::Offered;
    let accepted = finding.status == Status::Accepted;
    let resolved = match &finding.report {
        Report::Bare(bare) if accepted => Some(bare.resolved.is_some()),
        _ => None,
    };
    let can = |act: &&Act| match act {
        Act::Accept | Act::Decline => offered,
        Act::Withdraw => offered || accepted,
        Act::Resolve => resolved == Some(false) && is_contradicted(stored, finding),
        Act::Unresolve => resolved == Some(true),
        Act::Refuse => asked.is_some(),
    };
    Act::ALL.iter().filter(can).copied().collect()
}

fn is_contradicted(stored: &StoredCard, finding: &Finding) -> bool {
    zones_of(&stored.card).is_ok_and(|zones| {
        let mut warnings = zones.warnings.iter();
        warnings.any(|w| w.code == WarningCode::Contradiction && w.ids.contains(&finding.id))
    })
}

impl Act {
    pub const fn needs_reason(self) -> bool {
        matches!(self, Self::Decline | Self::Withdraw | Self::Refuse)
    }

    /// Whether somebody who may not do it can ask for it. What is offered is asked
    /// for by standing there.
    pub const fn can_be_asked_for(self) -> bool {
        matches!(self, Self::Decline | Self::Withdraw)
    }

    const fn decision(self) -> Option<Decision> {
        match self {
            Self::Accept => Some(Decision::Accept),
            Self::Decline => Some(Decision::Decline),
            Self::Withdraw => Some(Decision::Withdraw),
            Self::Resolve => Some(Decision::Resolve),
            Self::Unresolve => Some(Decision::TakeBack),
            Self::Refuse => None,
        }
    }

    pub fn verdict(self, deciding: &Deciding, finding: &Finding, rows: &[ChangeRow]) -> Verdict {
        let shrinks = rows.iter().any(|r| r.shrinks);
        match self.decision() {
            Some(decision) => deciding.verdict(decision, finding, shrinks),
            None if deciding.decider().roles.may(Deed::Decide) => Verdict::Allowed,
            None => Verdict::Waits(WaitsFor::Officer),
        }
    }

    /// Title, what it means, and its key.
    const fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Accept => (
                "Accept",
                "It then counts, and takes the place of what it corrects. A bare finding is confirmed by a second person, what comes from outside by an officer.",
                "Accept",
            ),
            Self::Decline => (
                "Decline",
                "It no longer acts. The record and the reason stay.",
                "Decline",
            ),
            Self::Withdraw => (
                "Withdraw",
                "It no longer acts. The record and the reason stay. If it is only wrong, correct it instead.",
                "Withdraw",
            ),
            Self::Resolve => (
                "Resolve the contradiction",
                "A recorded part overlaps this bare finding, so it counts for nothing. Resolved, it counts again; the part’s no-cut stays.",
                "Resolve",
            ),
            Self::Unresolve => (
                "Take the resolution back",
                "It then counts for nothing while a part overlaps it.",
                "Take it back",
            ),
            Self::Refuse => (
                "Refuse what was asked for",
                "The finding stands as it stood. Your words are kept beside it.",
                "Refuse",
            ),
        }
    }

    pub const fn status(self) -> Option<Status> {
        match self {
            Self::Accept => Some(Status::Accepted),
            Self::Decline => Some(Status::Declined),
            Self::Withdraw => Some(Status::Withdrawn),
            Self::Resolve | Self::Unresolve | Self::Refuse => None,
        }
    }

    pub fn effect(
        self,
        stored: &StoredCard,
        finding: &Finding,
    ) -> Result<Vec<ChangeRow>, AppError> {
        // A resolution moves bare, which never touches a no-cut.
        let Some(status) = self.status() else {
            return Ok(Vec::new());
        };
        effect(
            &stored.card,
            &with_statuses(&stored.card, &[(&finding.id, status)]),
        )
    }

    pub fn row(
        self,
        stored: &StoredCard,
        finding: &Finding,
        deciding: &Deciding,
        typed: &Typed,
    ) -> Result<ActRow, AppError> {
        let (title, about, button) = self.words();
        let rows = self.effect(stored, finding)?;
        let verdict = self.verdict(deciding, finding, &rows);
        let waits_for = match verdict {
            Verdict::Waits(waits_for) => Some(waits_for.meaning()),
            Verdict::Allowed | Verdict::SingleHanded => None,
        };
        let shrinks = rows.iter().any(|r| r.shrinks);
        Ok(ActRow {
            act: self,
            title,
            about,
            button,
            needs_reason: self.needs_reason(),
            tick: (shrinks && waits_for.is_none()).then(|| Seeing::of(verdict).tick()),
            single_handed: verdict == Verdict::SingleHanded,
            waits_for,
            rows,
            sent: typed.chosen("act", self.word()),
        })
    }

    pub async fn store(
        self,
        state: &AppState,
        stored: &StoredCard,
        finding: &str,
        expected: Revision,
        reason: Option<String>,
    ) -> Result<Option<()>, StoreError> {
        let now = OffsetDateTime::now_utc();
        let (store, actor, card) = (&state.store, &state.actor, &stored.id);
        let done = match self {
            Self::Refuse => {
                let answer = reason.unwrap_or_default();
                return store.refuse_asked(actor, card, finding, &answer, now).await;
            }
            Self::Resolve | Self::Unresolve => {
                let resolved = (self == Self::Resolve).then(|| Resolved {
                    by: actor.member_name.clone(),
                    on: now.date(),
                });
                let resolved = resolved.as_ref();
                store
                    .set_resolved(actor, card, Some(expected), finding, resolved, now)
                    .await
            }
            Self::Accept | Self::Decline | Self::Withdraw => {
                let status = self.status().expect("these give a status");
                let change = [change_to(finding, status, reason)];
                store
                    .change_status(actor, card, Some(expected), &change, now)
                    .await
            }
        };
        Ok(done?.map(|_| ()))
    }
}

impl Seeing {
    pub(super) const fn of(verdict: Verdict) -> Self {
        Self {
            alone: matches!(verdict, Verdict::SingleHanded),
        }
    }
}

pub fn change_to(finding: &str, status: Status, reason: Option<String>) -> StatusChange {
    StatusChange {
        finding: finding.to_owned(),
        status,
        reason,
    }
}
