//! An officer looks a card over and says so: what came since the last review, who
//! may make it, and after how long it is due again.

use crate::domain::decision::Verdict;
use crate::domain::finding::Status;
use crate::domain::review::DAYS;
use crate::domain::role::Deed;
use crate::store::{Revision, RevisionEntry, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::form::Field;
use crate::web::own_card::{CardHead, own_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const NOTE: Asked<'static> = Asked::new("note", "Note");
const AFTER: Asked<'static> = Asked::new("days", "Days");

#[derive(Template, WebTemplate)]
#[template(path = "review/review.html")]
struct ReviewPage {
    head: CardHead,
    overdue: bool,
    /// What came since the last review, newest first.
    since: Vec<RevisionEntry>,
    waiting: usize,
    days: u32,
    /// Who can make it, where the member cannot.
    waits_for: Option<String>,
    single_handed: bool,
    may_set_days: bool,
    typed: Typed,
    conflict: bool,
}

/// `GET /cards/{id}/review`
pub async fn show_review(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let page = ReviewPage::new(&state, &stored, Typed::default()).await?;
    Ok(page.into_response())
}

/// `POST /cards/{id}/review`: a review made, or the days set.
pub async fn change_review(
    state: AppState,
    Path(id): Path<String>,
    typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    match typed.chosen("do", "days") {
        true => set_days(&state, &stored, typed).await,
        false => review(&state, &stored, typed).await,
    }
}

async fn set_days(
    state: &AppState,
    stored: &StoredCard,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let days = typed.value(AFTER.name).trim().parse().ok();
    let Some(days) = days.filter(|days| DAYS.contains(days)) else {
        let (least, most) = (DAYS.start(), DAYS.end());
        typed.refuse(AFTER, format!("enter whole days, {least} to {most}"));
        return again(state, stored, typed).await;
    };
    let now = OffsetDateTime::now_utc();
    state.store.set_review_days(&state.actor, days, now).await?;
    Ok(back(stored))
}

async fn review(
    state: &AppState,
    stored: &StoredCard,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let note = typed.text(NOTE, 4_000);
    if !typed.is_valid() {
        return again(state, stored, typed).await;
    }
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    let (store, actor, now) = (&state.store, &state.actor, OffsetDateTime::now_utc());
    let done = store
        .review_card(actor, &stored.id, expected, note.as_deref(), now)
        .await;
    match done {
        Ok(Some(_)) => Ok(back(stored)),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. }) => {
            let stored = own_card(state, stored.id.as_str()).await?;
            let mut page = ReviewPage::new(state, &stored, typed).await?;
            page.conflict = true;
            Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
        }
        Err(other) => Err(other.into()),
    }
}

async fn again(state: &AppState, stored: &StoredCard, typed: Typed) -> Result<Response, AppError> {
    let status = typed.status();
    let page = ReviewPage::new(state, stored, typed).await?;
    Ok((status, page).into_response())
}

fn back(stored: &StoredCard) -> Response {
    Redirect::to(&format!("/cards/{}/review", stored.id)).into_response()
}

impl ReviewPage {
    async fn new(state: &AppState, stored: &StoredCard, typed: Typed) -> Result<Self, AppError> {
        let (store, department) = (&state.store, &state.actor.department);
        let verdict = store.review_verdict(&state.actor, &stored.id).await?;
        let waits_for = match verdict {
            Verdict::Waits(waits_for) => Some(StoreError::ReviewWaits { waits_for }.to_string()),
            Verdict::Allowed | Verdict::SingleHanded => None,
        };
        let reviewed = stored.review.last.as_ref().map_or(0, |last| last.revision);
        let mut since = store.revisions(department, &stored.id).await?;
        since.retain(|r| r.revision > reviewed);
        let asked = store.asked_changes(department, &stored.id).await?.len();
        let all = stored.card.findings.iter();
        let offered = all.filter(|f| f.status == Status::Offered).count();
        Ok(Self {
            head: CardHead::of(stored),
            overdue: stored.card.review_overdue,
            since,
            waiting: asked + offered,
            days: stored.review.days,
            waits_for,
            single_handed: verdict == Verdict::SingleHanded,
            may_set_days: state.actor.roles.may(Deed::Decide),
            typed,
            conflict: false,
        })
    }

    fn days_field(&self) -> Field {
        match self.typed.value(AFTER.name) {
            "" => Field::new(AFTER.name, self.days.to_string()),
            _ => self.typed.field(AFTER.name),
        }
    }
}
