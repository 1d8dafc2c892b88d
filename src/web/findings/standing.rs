//! Where a finding stands, and changing it: accept or decline what was offered,
//! withdraw with a reason, resolve a bare finding that a part contradicts. Each
//! shows first what it does to the no-cut. Until members sign in there is no
//! second person: what needs one is done single-handed, and the record says so.

use super::{ask_if_shrinking, body_of, effect, finding_of, in_words, with_status};
use crate::domain::finding::{Finding, Report, Resolved, Status};
use crate::domain::vehicle::words;
use crate::domain::zone::WarningCode;
use crate::store::{Revision, StatusChange, StatusEntry, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::{CardHead, own_card, zones_of};
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
    acts: Vec<ActRow>,
    log: Vec<StatusEntry>,
    /// The component it is about.
    component: Option<String>,
    resolved: Option<Resolved>,
    typed: Typed,
    conflict: bool,
}

/// One thing that can be done, and what it does.
struct ActRow {
    act: Act,
    title: &'static str,
    about: &'static str,
    button: &'static str,
    needs_reason: bool,
    rows: Vec<ChangeRow>,
    shrinks: bool,
    /// Whether the form was sent for this act and shown again.
    sent: bool,
}

/// `GET /cards/{id}/findings/{finding}`
pub async fn show_finding(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let page = StandingPage::new(&state, &stored, &finding, Typed::default()).await?;
    Ok(page.into_response())
}

/// `POST /cards/{id}/findings/{finding}`
pub async fn change_standing(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let about = finding_of(&stored, &finding)?;
    let act = Act::from_word(typed.value("act")).filter(|a| possible(&stored, about).contains(a));
    let Some(act) = act else {
        return show_moved_on(&state, &id, &finding, typed).await;
    };
    let reason = typed.text(REASON, 4_000);
    if act.needs_reason() && reason.is_none() {
        typed.refuse(REASON, "say why, for whoever reads the record");
    }
    let rows = act.effect(&stored, about)?;
    ask_if_shrinking(&mut typed, &rows);
    if !typed.is_valid() {
        let status = typed.status();
        let page = StandingPage::new(&state, &stored, &finding, typed).await?;
        return Ok((status, page).into_response());
    }
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    match act.store(&state, &stored, &finding, expected, reason).await {
        Ok(Some(_)) => Ok(Redirect::to(&format!("/cards/{id}/findings/{finding}")).into_response()),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. } | StoreError::StatusFixed { .. }) => {
            show_moved_on(&state, &id, &finding, typed).await
        }
        Err(other) => Err(other.into()),
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
fn possible(stored: &StoredCard, finding: &Finding) -> Vec<Act> {
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
        matches!(self, Self::Decline | Self::Withdraw)
    }

    /// Title, what it means, and its key.
    const fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Accept => (
                "Accept",
                "It then counts. A bare finding is confirmed by a second person; here it is confirmed single-handed, and the record says so.",
                "Accept single-handed",
            ),
            Self::Decline => (
                "Decline",
                "It no longer acts. The record and the reason stay.",
                "Decline",
            ),
            Self::Withdraw => (
                "Withdraw",
                "It no longer acts. The record and the reason stay. If it is only wrong, correct it instead.",
                "Withdraw single-handed",
            ),
            Self::Resolve => (
                "Resolve the contradiction",
                "A recorded part overlaps this bare finding, so it counts for nothing. Resolved, it counts again; the part’s no-cut stays.",
                "Resolve single-handed",
            ),
            Self::Unresolve => (
                "Take the resolution back",
                "It then counts for nothing while a part overlaps it.",
                "Take it back",
            ),
        }
    }

    const fn status(self) -> Option<Status> {
        match self {
            Self::Accept => Some(Status::Accepted),
            Self::Decline => Some(Status::Declined),
            Self::Withdraw => Some(Status::Withdrawn),
            Self::Resolve | Self::Unresolve => None,
        }
    }

    fn effect(self, stored: &StoredCard, finding: &Finding) -> Result<Vec<ChangeRow>, AppError> {
        // A resolution moves bare, which never touches a no-cut.
        let Some(status) = self.status() else {
            return Ok(Vec::new());
        };
        effect(
            &stored.card,
            &with_status(&stored.card, &finding.id, status),
        )
    }

    fn row(
        self,
        stored: &StoredCard,
        finding: &Finding,
        typed: &Typed,
    ) -> Result<ActRow, AppError> {
        let (title, about, button) = self.words();
        let rows = self.effect(stored, finding)?;
        Ok(ActRow {
            act: self,
            title,
            about,
            button,
            needs_reason: self.needs_reason(),
            shrinks: rows.iter().any(|r| r.shrinks),
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
    ) -> Result<Option<StoredCard>, StoreError> {
        let now = OffsetDateTime::now_utc();
        let (store, actor, card) = (&state.store, &state.actor, &stored.id);
        let Some(status) = self.status() else {
            let resolved = (self == Self::Resolve).then(|| Resolved {
                by: actor.member_name.clone(),
                on: now.date(),
            });
            return store
                .set_resolved(actor, card, Some(expected), finding, resolved.as_ref(), now)
                .await;
        };
        let change = StatusChange {
            finding: finding.to_owned(),
            status,
            reason,
        };
        store
            .change_status(actor, card, Some(expected), &[change], now)
            .await
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
        let acts = possible(stored, finding).into_iter();
        let bound = finding.bound_mm();
        Ok(Self {
            said: in_words(finding, &body_of(stored)?),
            source: format!(
                "{}: {}, ±{bound:.0} mm",
                finding.source,
                finding.source.meaning()
            ),
            kept: finding.acts(),
            acts: acts
                .map(|act| act.row(stored, finding, &typed))
                .collect::<Result<_, _>>()?,
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
        })
    }
}
