//! How a card came to be as its file says: the steps that lead there, played in
//! the order of their dates.

use super::{Crew, DemoError};
use crate::domain::card::Card;
use crate::domain::decision::Verdict;
use crate::domain::finding::{Finding, Report, Resolved, Status};
use crate::domain::role::Role;
use crate::store::{Actor, CardDetails, CardId, StatusChange, Store};
use std::collections::BTreeMap;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, Time};

/// When findings of a day are written down, in UTC.
const EVENING: Time = time!(17:00);
/// When others decide about them.
const LATER: Time = time!(18:30);

/// Something a member did to the card.
#[derive(Debug)]
enum Step {
    /// Findings as they were handed in; corrections after what they correct.
    BringIn { by: String, session: Vec<Finding> },
    /// What a second member decided about findings of `author`.
    Decide {
        author: String,
        changes: Vec<StatusChange>,
    },
    /// An officer's word on a bare finding of `author`.
    Resolve {
        author: String,
        finding: String,
        word: Resolved,
    },
}

/// Makes the card on the day of its first finding and plays its steps; none
/// where nothing was found.
pub(super) async fn replay(
    store: &Store,
    name: &'static str,
    crew: &Crew,
    card: Card,
    now: OffsetDateTime,
) -> Result<Option<CardId>, DemoError> {
    let details = CardDetails::from(&card);
    let mut made: Option<CardId> = None;
    let mut last = None;
    for (at, step) in steps(card.findings) {
        last = Some(at);
        let actor = crew.actor(name, &step)?;
        let card = match &made {
            Some(card) => card.clone(),
            None => store.create_card(actor, &details, at).await?.id,
        };
        step.play(store, actor, &card, at).await?;
        crew.accept_corrections(store, actor, &card, at).await?;
        made = Some(card);
    }
    if let (Some(card), Some(last)) = (&made, last) {
        let day_after = last + Duration::DAY;
        match name {
            REVIEWED_LONG_AGO => crew.review(store, card, day_after).await?,
            REVIEWED_LATELY => {
                let lately = day_after.max(now - Duration::days(30));
                crew.review(store, card, lately).await?;
            }
            _ => {}
        }
    }
    Ok(made)
}

/// A card whose review is due again; but for the next, the others are drafts.
const REVIEWED_LONG_AGO: &str = "norrick-drover-2015";
const REVIEWED_LATELY: &str = "tuvalo-sedge-2022";

impl Step {
    async fn play(
        self,
        store: &Store,
        actor: &Actor,
        card: &CardId,
        at: OffsetDateTime,
    ) -> Result<(), DemoError> {
        match self {
            Self::BringIn { session, .. } => {
                let (corrections, plain): (Vec<Finding>, Vec<Finding>) =
                    session.into_iter().partition(|f| f.supersedes.is_some());
                store.add_findings(actor, card, None, &plain, at).await?;
                for new in corrections {
                    let old = new.supersedes.clone().unwrap_or_default();
                    store
                        .correct_finding(actor, card, None, &old, new, at)
                        .await?;
                }
            }
            Self::Decide { changes, .. } => {
                store.change_status(actor, card, None, &changes, at).await?;
            }
            Self::Resolve { finding, word, .. } => {
                store
                    .set_resolved(actor, card, None, &finding, Some(&word), at)
                    .await?;
            }
        }
        Ok(())
    }
}

impl Crew {
    /// Accepts what was offered to take the place of an older finding, as another
    /// officer does.
    async fn accept_corrections(
        &self,
        store: &Store,
        author: &Actor,
        card: &CardId,
        at: OffsetDateTime,
    ) -> Result<(), DemoError> {
        let Some(stored) = store.card(&author.department, card).await? else {
            return Ok(());
        };
        let waits = |f: &&Finding| {
            let is_component = matches!(f.report, Report::Component(_));
            is_component && f.supersedes.is_some() && f.status == Status::Offered
        };
        let accepted = stored
            .card
            .findings
            .iter()
            .filter(waits)
            .map(|f| StatusChange {
                finding: f.id.clone(),
                status: Status::Accepted,
                reason: None,
            });
        let changes: Vec<StatusChange> = accepted.collect();
        let Some(officer) = self.officer_beside(&author.member_name) else {
            return Ok(());
        };
        store
            .change_status(officer, card, None, &changes, at)
            .await?;
        Ok(())
    }

    /// A review by whichever officer may make it.
    async fn review(
        &self,
        store: &Store,
        card: &CardId,
        at: OffsetDateTime,
    ) -> Result<(), DemoError> {
        for officer in self.members.iter().filter(|m| m.roles.has(Role::Officer)) {
            let may = store.review_verdict(officer, card).await?;
            let revision = store.card_revision(&officer.department, card).await?;
            if let (Verdict::Allowed, Some(revision)) = (may, revision) {
                store.review_card(officer, card, revision, None, at).await?;
                return Ok(());
            }
        }
        Ok(())
    }

    fn officer_beside(&self, author: &str) -> Option<&Actor> {
        let mut members = self.members.iter();
        members.find(|m| m.member_name != author && m.roles.has(Role::Officer))
    }

    /// Who takes a step: the author brings in, another officer decides.
    fn actor(&self, name: &'static str, step: &Step) -> Result<&Actor, DemoError> {
        let (Step::BringIn { by: author, .. }
        | Step::Decide { author, .. }
        | Step::Resolve { author, .. }) = step;
        let is_author = |member: &&Actor| member.member_name == *author;
        let found = match step {
            Step::BringIn { .. } => self.members.iter().find(is_author),
            _ => self.officer_beside(author),
        };
        found.ok_or_else(|| DemoError::Stranger {
            name,
            who: author.clone(),
        })
    }
}

/// The steps to these findings, oldest first.
fn steps(findings: Vec<Finding>) -> Vec<(OffsetDateTime, Step)> {
    let mut sessions: BTreeMap<(Date, String), Vec<Finding>> = BTreeMap::new();
    for finding in findings {
        let by = finding.by.clone().unwrap_or_default();
        sessions
            .entry((finding.observed_on, by))
            .or_default()
            .push(finding);
    }
    let mut steps = Vec::new();
    for ((day, author), session) in sessions {
        let next_day = OffsetDateTime::new_utc(day, LATER) + Duration::DAY;
        for changes in decisions(&session) {
            let author = author.clone();
            steps.push((next_day, Step::Decide { author, changes }));
        }
        for (finding, word) in session.iter().filter_map(resolution) {
            let at = OffsetDateTime::new_utc(word.on, LATER);
            let author = author.clone();
            steps.push((
                at,
                Step::Resolve {
                    author,
                    finding,
                    word,
                },
            ));
        }
        let session = session.into_iter().map(as_handed_in).collect();
        let at = OffsetDateTime::new_utc(day, EVENING);
        let by = author;
        steps.push((at, Step::BringIn { by, session }));
    }
    steps.sort_by_key(|(at, _)| *at);
    steps
}

/// What was decided about a session, one status at a time, so that the card's
/// history names each.
fn decisions(session: &[Finding]) -> Vec<Vec<StatusChange>> {
    let decided = |status: Status| -> Vec<StatusChange> {
        session
            .iter()
            .filter(|finding| finding.status == status)
            .filter(|finding| as_handed_in((*finding).clone()).status != status)
            .map(|finding| StatusChange {
                finding: finding.id.clone(),
                status,
                reason: finding.reason.clone(),
            })
            .collect()
    };
    [Status::Accepted, Status::Withdrawn, Status::Declined]
        .map(decided)
        .into_iter()
        .filter(|changes| !changes.is_empty())
        .collect()
}

fn resolution(finding: &Finding) -> Option<(String, Resolved)> {
    match &finding.report {
        Report::Bare(report) => Some((finding.id.clone(), report.resolved.clone()?)),
        Report::Component(_) => None,
    }
}

/// A finding as it was before anyone decided about it: a component of the own
/// department accepted, what needs a second person offered.
fn as_handed_in(mut finding: Finding) -> Finding {
    let is_component = matches!(finding.report, Report::Component(_));
    finding.status = match finding.status {
        Status::Accepted | Status::Superseded | Status::Withdrawn if is_component => {
            Status::Accepted
        }
        _ => Status::Offered,
    };
    finding.reason = None;
    if let Report::Bare(report) = &mut finding.report {
        report.resolved = None;
    }
    finding
}
