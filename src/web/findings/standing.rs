//! Where a finding stands, and changing it: accept or decline what was offered,
//! withdraw with a reason, resolve a bare finding that a part contradicts. Each
//! shows first what it does to the no-cut, and for whom it waits where that is
//! somebody else; a decline or a withdrawal can then be asked for.

use super::{Seeing, ask_if_shrinking, body_of, effect, finding_of, in_words};
use crate::domain::decision::{Decision, Verdict, WaitsFor, with_statuses};
use crate::domain::finding::{Finding, Report, Resolved, Status};
use crate::domain::role::Deed;
use crate::domain::vehicle::words;
use crate::domain::zone::WarningCode;
use crate::store::{
    AskedChange, Deciding, Revision, StatusChange, StatusEntry, StoreError, StoredCard,
};
use crate::web::error::AppError;
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::{CardHead, Footing, own_card, read_card, zones_of};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
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

const REASON: Asked<'static> = Asked::new("reason", "Reason");

#[derive(Template, WebTemplate)]
#[template(path = "findings/standing.html")]
struct StandingPage {
    head: CardHead,
    finding: Finding,
    said: String,
    source: String,
    kept: bool,
    /// Notes about it: where each is, its id, what it says.
    notes: Vec<(String, String, String)>,
    acts: Vec<ActRow>,
    log: Vec<StatusEntry>,
    /// What somebody asked an officer for.
    asked: Option<AskedChange>,
    /// The component it is about.
    component: Option<String>,
    resolved: Option<Resolved>,
    typed: Typed,
    conflict: bool,
    footing: Footing,
}

/// One thing that can be done, and what it does.
struct ActRow {
    act: Act,
    title: &'static str,
    about: &'static str,
    button: &'static str,
    needs_reason: bool,
    rows: Vec<ChangeRow>,
    /// The tick by which a member says they saw what it takes away.
    tick: Option<&'static str>,
    /// Nobody else could do it.
    single_handed: bool,
    /// Who can do it, where the member cannot.
    waits_for: Option<&'static str>,
    /// Whether the form was sent for this act and shown again.
    sent: bool,
}

/// `GET /cards/{id}/findings/{finding}`
pub async fn show_finding(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
) -> Result<Response, AppError> {
    let (stored, footing) = read_card(&state, &id).await?;
    let mut page = StandingPage::new(&state, &stored, &finding, Typed::default()).await?;
    page.footing = footing;
    Ok(page.into_response())
}

/// The page of a finding again, with what was typed and what is wrong with it.
pub async fn show_again(
    state: &AppState,
    stored: &StoredCard,
    finding: &str,
    footing: Footing,
    typed: Typed,
) -> Result<Response, AppError> {
    let status = typed.status();
    let mut page = StandingPage::new(state, stored, finding, typed).await?;
    page.footing = footing;
    Ok((status, page).into_response())
}

/// `POST /cards/{id}/findings/{finding}`
pub async fn change_standing(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let about = finding_of(&stored, &finding)?;
    let asked = asked_about(&state, &stored, &finding).await?;
    let act = Act::from_word(typed.value("act"));
    let act = act.filter(|a| possible(&stored, about, asked.as_ref()).contains(a));
    let Some(act) = act else {
        return show_moved_on(&state, &id, &finding, typed).await;
    };
    let deciding = state.store.deciding(&state.actor, &stored.id).await?;
    let rows = act.effect(&stored, about)?;
    let verdict = act.verdict(&deciding, about, &rows);
    let reason = typed.text(REASON, 4_000);
    if act.needs_reason() && reason.is_none() {
        typed.refuse(REASON, "say why, for whoever reads the record");
    }
    // Who only asks for it takes nothing away.
    if !matches!(verdict, Verdict::Waits(_)) {
        ask_if_shrinking(&mut typed, &rows, Seeing::of(verdict));
    }
    if !typed.is_valid() {
        let status = typed.status();
        let page = StandingPage::new(&state, &stored, &finding, typed).await?;
        return Ok((status, page).into_response());
    }
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    let done = match (verdict, act.status()) {
        (Verdict::Waits(_), Some(status)) if act.can_be_asked_for() => {
            let change = change_to(&finding, status, reason);
            let now = OffsetDateTime::now_utc();
            let (store, actor) = (&state.store, &state.actor);
            store.ask_change(actor, &stored.id, &change, now).await
        }
        _ => act.store(&state, &stored, &finding, expected, reason).await,
    };
    match done {
        Ok(Some(())) => {
            Ok(Redirect::to(&format!("/cards/{id}/findings/{finding}")).into_response())
        }
        Ok(None) => Err(AppError::NotFound("card")),
        Err(
            StoreError::Conflict { .. }
            | StoreError::StatusFixed { .. }
            | StoreError::Duplicate { .. },
        ) => show_moved_on(&state, &id, &finding, typed).await,
        Err(other) => Err(other.into()),
    }
}

impl Seeing {
    const fn of(verdict: Verdict) -> Self {
        Self {
            alone: matches!(verdict, Verdict::SingleHanded),
        }
    }
}

/// What is asked for about this finding.
async fn asked_about(
    state: &AppState,
    stored: &StoredCard,
    finding: &str,
) -> Result<Option<AskedChange>, AppError> {
    let department = &state.actor.department;
    let asked = state.store.asked_changes(department, &stored.id).await?;
    Ok(asked.into_iter().find(|asked| asked.finding == finding))
}

fn change_to(finding: &str, status: Status, reason: Option<String>) -> StatusChange {
    StatusChange {
        finding: finding.to_owned(),
        status,
        reason,
    }
}

async fn show_moved_on(
    state: &AppState,
    id: &str,
    finding: &str,
    typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(state, id).await?;
    let mut page = StandingPage::new(state, &stored, finding, typed).await?;
    page.conflict = true;
    Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
}

/// What can be done about a finding as it stands.
fn possible(stored: &StoredCard, finding: &Finding, asked: Option<&AskedChange>) -> Vec<Act> {
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
    const fn needs_reason(self) -> bool {
        matches!(self, Self::Decline | Self::Withdraw | Self::Refuse)
    }

    /// Whether somebody who may not do it can ask for it. What is offered is asked
    /// for by standing there.
    const fn can_be_asked_for(self) -> bool {
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

    fn verdict(self, deciding: &Deciding, finding: &Finding, rows: &[ChangeRow]) -> Verdict {
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

    const fn status(self) -> Option<Status> {
        match self {
            Self::Accept => Some(Status::Accepted),
            Self::Decline => Some(Status::Declined),
            Self::Withdraw => Some(Status::Withdrawn),
            Self::Resolve | Self::Unresolve | Self::Refuse => None,
        }
    }

    fn effect(self, stored: &StoredCard, finding: &Finding) -> Result<Vec<ChangeRow>, AppError> {
        // A resolution moves bare, which never touches a no-cut.
        let Some(status) = self.status() else {
            return Ok(Vec::new());
        };
        effect(
            &stored.card,
            &with_statuses(&stored.card, &[(&finding.id, status)]),
        )
    }

    fn row(
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

    async fn store(
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

impl StandingPage {
    async fn new(
        state: &AppState,
        stored: &StoredCard,
        id: &str,
        typed: Typed,
    ) -> Result<Self, AppError> {
        let finding = finding_of(stored, id)?;
        let department = &state.actor.department;
        let log = state.store.status_log(department, &stored.id).await?;
        let log = log.unwrap_or_default().into_iter();
        let asked = asked_about(state, stored, id).await?;
        let deciding = state.store.deciding(&state.actor, &stored.id).await?;
        let own = stored.department == *department;
        let acts = possible(stored, finding, asked.as_ref()).into_iter();
        let acts = acts.filter(|_| own);
        let bound = finding.bound_mm();
        Ok(Self {
            said: in_words(finding, &body_of(stored)?),
            source: format!(
                "{}: {}, ±{bound:.0} mm",
                finding.source,
                finding.source.meaning()
            ),
            kept: finding.acts(),
            notes: crate::web::notes::about_finding(stored, &finding.id),
            acts: acts
                .map(|act| act.row(stored, finding, &deciding, &typed))
                .collect::<Result<_, _>>()?,
            asked,
            log: log.filter(|entry| entry.finding == id).collect(),
            component: match &finding.report {
                Report::Component(part) => Some(part.component.clone()),
                Report::Bare(_) => None,
            },
            resolved: match &finding.report {
                Report::Bare(bare) => bare.resolved.clone(),
                Report::Component(_) => None,
            },
            head: CardHead::of(stored),
            finding: finding.clone(),
            typed,
            conflict: false,
            footing: Footing::Own,
        })
    }
}
