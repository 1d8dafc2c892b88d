//! Where a finding stands, and changing it: accept or decline what was offered,
//! withdraw with a reason, resolve a bare finding that a part contradicts. Each
//! shows first what it does to the no-cut, and for whom it waits where that is
//! somebody else; a decline or a withdrawal can then be asked for.

use super::act::{Act, ActRow, change_to, possible};
use super::{Seeing, ask_if_shrinking, body_of, finding_of, in_words};
use crate::domain::decision::Verdict;
use crate::domain::finding::{Finding, Report, Resolved};
use crate::store::{AskedChange, Revision, StatusEntry, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::own_card::{CardHead, Footing, own_card, read_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

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
