//! The strip session: how data is really taken at a yard, gloves on, part after
//! part. Car, day and source are entered once. After each entry the store keeps
//! the draft, so nothing is lost; all is saved as findings at the end.

pub mod draft;
mod page;
mod save;

use crate::domain::body::{FittedBody, fit, style};
use crate::store::{CardId, Revision, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::findings::beside::{WHERE, Where};
use crate::web::findings::read::{self, read_report};
use crate::web::findings::session::{CAR, SOURCE, fill_session, read_session};
use crate::web::own_card::{CardHead, latest_day, own_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use draft::{Draft, Entry, MOST_ENTRIES};
use page::{BeginPage, SessionPage};
use serde::Deserialize;
use time::OffsetDateTime;

/// The kind of work its drafts are kept under.
pub(super) const WORK: &str = "strip";

/// Stands for a part of its own until the store numbers it.
const OWN_PART: &str = "(its own)";

/// What a request works on: the card, its body, the draft as kept.
struct Bench {
    state: AppState,
    stored: StoredCard,
    body: FittedBody,
    kept: Option<(Draft, Revision)>,
    /// Whether nobody else could confirm what was found bare.
    alone: bool,
}

/// What the page is opened with.
#[derive(Debug, Deserialize)]
pub struct StripQuery {
    /// `session`: change what stands over the whole session.
    edit: Option<String>,
    /// The span to go on with.
    span: Option<String>,
}

/// `GET /cards/{id}/strip`
pub async fn show_strip(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Query<StripQuery>,
) -> Result<Response, AppError> {
    let bench = Bench::of(state, &id).await?;
    let mut typed = Typed::default();
    match &bench.kept {
        None => {
            bench.fill_new_session(&mut typed);
            Ok(bench.begin_page(typed))
        }
        Some((draft, _)) if query.edit.as_deref() == Some("session") => {
            fill_session(&mut typed, &draft.session);
            Ok(bench.begin_page(typed))
        }
        Some(_) => {
            typed.put(read::SPAN.name, query.span.unwrap_or_default());
            typed.put(read::END.name, read::End::Foot.word());
            typed.put(read::WHAT.name, read::What::Part.word());
            typed.put(WHERE.name, Where::On.word());
            Ok(bench.session_page(typed))
        }
    }
}

/// `POST /cards/{id}/strip`
pub async fn work_strip(
    state: AppState,
    Path(id): Path<String>,
    typed: Typed,
) -> Result<Response, AppError> {
    let bench = Bench::of(state, &id).await?;
    let act = typed.value("act").to_owned();
    if act == "begin" {
        return bench.begin(typed).await;
    }
    if bench.kept.is_none() {
        return Ok(bench.gone(&typed));
    }
    if !bench.is_current(&typed) {
        return Ok(bench.moved_on(typed));
    }
    match act.split_once(':') {
        None if act == "add" => bench.add(typed).await,
        None if act == "undo" => bench.undo(typed).await,
        None if act == "save" => save::save(bench, typed).await,
        None if act == "discard" => bench.discard().await,
        Some(("mirror", index)) => {
            bench
                .mirror(index.parse().unwrap_or(usize::MAX), typed)
                .await
        }
        _ => Err(AppError::BadRequest(
            "There is no such key; nothing was changed.".to_owned(),
        )),
    }
}

impl Bench {
    async fn of(state: AppState, id: &str) -> Result<Self, AppError> {
        let stored = own_card(&state, id).await?;
        let template = style(stored.card.vehicle.body_style);
        let body = fit(template, &stored.card.measured)
            .map_err(|e| AppError::CannotCompute(e.to_string()))?;
        let kept = state.store.draft(&state.actor, &stored.id, WORK).await?;
        let kept = kept.map(|kept| {
            serde_json::from_value(kept.body)
                .map(|draft| (draft, kept.version))
                .map_err(|e| AppError::Internal(Box::new(e)))
        });
        let deciding = state.store.deciding(&state.actor, &stored.id).await?;
        Ok(Self {
            alone: deciding.decider().alone,
            kept: kept.transpose()?,
            state,
            stored,
            body,
        })
    }

    fn version(&self) -> Revision {
        self.kept.as_ref().map_or(0, |(_, version)| *version)
    }

    /// Whether the page was made from the draft as it is now.
    fn is_current(&self, typed: &Typed) -> bool {
        typed.value("version").parse() == Ok(self.version())
    }

    /// The draft under way.
    fn draft(&self) -> Draft {
        let (draft, _) = self
            .kept
            .as_ref()
            .expect("asked for only with a session under way");
        draft.clone()
    }

    fn back(&self, rest: &str) -> Response {
        Redirect::to(&format!("/cards/{}/strip{rest}", self.stored.id)).into_response()
    }

    fn fill_new_session(&self, typed: &mut Typed) {
        let vehicle = &self.stored.card.vehicle;
        typed.put("by", self.state.actor.member_name.clone());
        typed.put("observed_on", OffsetDateTime::now_utc().date().to_string());
        typed.put(SOURCE.name, "measured");
        typed.put("unit", figures::first().unit().word());
        if let Some(years) = vehicle.years.filter(|y| y.first == y.last) {
            typed.put("year", years.first.to_string());
        }
        typed.put("drive", vehicle.drive.map_or("", |d| d.word()));
        typed.put("wheel", vehicle.wheel.map_or("", |w| w.word()));
        typed.put("roof", vehicle.roof.map_or("", |r| r.word()));
        typed.put("region", vehicle.region.clone().unwrap_or_default());
    }

    fn begin_page(&self, typed: Typed) -> Response {
        let page = BeginPage {
            head: CardHead::of(&self.stored),
            version: self.version(),
            typed,
        };
        (page.typed.status(), page).into_response()
    }

    fn session_page(&self, typed: Typed) -> Response {
        let status = typed.status();
        let head = CardHead::of(&self.stored);
        let under_way = (self.draft(), self.version());
        let mut page = SessionPage::new(head, &self.stored.card, &self.body, under_way, typed);
        page.alone = self.alone;
        (status, page).into_response()
    }

    /// Another page of the same member was here first: shows the draft as it is
    /// now, with what was typed still in the form.
    fn moved_on(&self, mut typed: Typed) -> Response {
        typed.refuse(
            Asked::new("span", "This session"),
            "went on in another window: look at the list, then add this again if it is missing",
        );
        let mut response = self.session_page(typed);
        *response.status_mut() = StatusCode::PRECONDITION_FAILED;
        response
    }

    /// The session was saved or discarded elsewhere: nothing that was just sent is
    /// recorded, so the page says it, with what was typed.
    fn gone(&self, sent: &Typed) -> Response {
        let mut typed = Typed::default();
        self.fill_new_session(&mut typed);
        let entered: Vec<String> = read::TYPED
            .iter()
            .filter(|asked| !sent.value(asked.name).trim().is_empty())
            .map(|asked| format!("{}: {}", asked.label, sent.value(asked.name).trim()))
            .collect();
        let mut said = "was saved or discarded in another window, and what you just sent is not \
            recorded"
            .to_owned();
        if !entered.is_empty() && sent.chosen("act", "add") {
            said = format!("{said}. You had typed: {}", entered.join("; "));
        }
        typed.refuse(Asked::new(CAR.name, "This session"), said);
        let mut response = self.begin_page(typed);
        *response.status_mut() = StatusCode::PRECONDITION_FAILED;
        response
    }

    async fn begin(self, mut typed: Typed) -> Result<Response, AppError> {
        let today = latest_day(OffsetDateTime::now_utc());
        let Some(session) = read_session(&mut typed, today) else {
            return Ok(self.begin_page(typed));
        };
        let entries = match &self.kept {
            Some((draft, _)) => draft.entries.clone(),
            None => Vec::new(),
        };
        let draft = Draft { session, entries };
        if draft.has_bare() && !draft.session.may_state_bare() {
            typed.refuse(SOURCE, draft::BARE_NEEDS_A_LOOK);
            return Ok(self.begin_page(typed));
        }
        self.keep(&draft, "", typed).await
    }

    async fn add(self, mut typed: Typed) -> Result<Response, AppError> {
        let mut draft = self.draft();
        let known: Vec<&str> = self
            .stored
            .card
            .findings
            .iter()
            .filter_map(component)
            .collect();
        let read = read_report(&mut typed, &self.body, draft.session.unit, OWN_PART, &known);
        let beside = self.body.span(typed.value(read::SPAN.name));
        let entry = read
            .zip(beside)
            .map(|(report, beside)| Entry::of(report, OWN_PART, beside));
        if entry.as_ref().is_some_and(Entry::is_bare) && !draft.session.may_state_bare() {
            typed.refuse(read::WHAT, draft::BARE_NEEDS_A_LOOK);
        }
        if draft.entries.len() >= MOST_ENTRIES {
            let said = format!("holds {MOST_ENTRIES} entries: save it, then begin another");
            typed.refuse(Asked::new("span", "This session"), said);
        }
        let Some(entry) = entry.filter(|_| typed.is_valid()) else {
            return Ok(self.session_page(typed));
        };
        let next = format!("?span={}#entered", entry.span);
        draft.entries.push(entry);
        self.keep(&draft, &next, typed).await
    }

    async fn mirror(self, index: usize, mut typed: Typed) -> Result<Response, AppError> {
        let mut draft = self.draft();
        if let Err(error) = draft.mirror(index, &self.body) {
            typed.refuse(Asked::new("span", "The other side"), error.to_string());
            return Ok(self.session_page(typed));
        }
        self.keep(&draft, "#entered", typed).await
    }

    async fn undo(self, typed: Typed) -> Result<Response, AppError> {
        let mut draft = self.draft();
        draft.undo();
        self.keep(&draft, "#entered", typed).await
    }

    async fn discard(self) -> Result<Response, AppError> {
        self.drop().await?;
        Ok(Redirect::to(&format!("/cards/{}", self.stored.id)).into_response())
    }

    async fn drop(&self) -> Result<(), AppError> {
        let (store, actor) = (&self.state.store, &self.state.actor);
        Ok(store
            .drop_draft(actor, &self.stored.id, WORK, self.version())
            .await?)
    }

    /// Keeps the draft and goes on; where another window was first in the
    /// meantime, shows what there is now with what was typed.
    async fn keep(&self, draft: &Draft, next: &str, typed: Typed) -> Result<Response, AppError> {
        let body = serde_json::to_value(draft).map_err(|e| AppError::Internal(Box::new(e)))?;
        let card: &CardId = &self.stored.id;
        let now = OffsetDateTime::now_utc();
        let (store, actor) = (&self.state.store, &self.state.actor);
        let kept = store
            .keep_draft(actor, card, WORK, self.version(), &body, now)
            .await;
        match kept {
            Ok(Some(_)) => Ok(self.back(next)),
            Err(StoreError::Conflict { .. }) => {
                let now = Self::of(self.state.clone(), self.stored.id.as_str()).await?;
                Ok(match now.kept {
                    Some(_) => now.moved_on(typed),
                    None => now.gone(&typed),
                })
            }
            Ok(None) => Err(AppError::NotFound("card")),
            Err(other) => Err(other.into()),
        }
    }
}

/// The part a finding is about.
fn component(finding: &crate::domain::finding::Finding) -> Option<&str> {
    match &finding.report {
        crate::domain::finding::Report::Component(part) => Some(&part.component),
        crate::domain::finding::Report::Bare(_) => None,
    }
}
