//! The page of mutual-aid partners.

use crate::store::{DepartmentId, PartnerStanding, Partnership};
use crate::web::error::AppError;
use crate::web::form::Choice;
use crate::web::say;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const DEPARTMENT: Asked<'static> = Asked::new("department", "Department");

#[derive(Template, WebTemplate)]
#[template(path = "sharing/partners.html")]
struct PartnersPage {
    partners: Vec<PartnerRow>,
    /// Whom one may ask: departments here that are none yet.
    others: Vec<Choice>,
    /// Names and days of departments that were deleted here.
    gone: Vec<(String, String)>,
    typed: Typed,
}

struct PartnerRow {
    id: String,
    name: String,
    said: String,
    /// The day on which it is to be deleted.
    leaves: Option<String>,
    /// They asked; it is ours to accept.
    asks_us: bool,
    /// What ending it is called.
    end: &'static str,
}

impl PartnerRow {
    fn new(partnership: Partnership) -> Self {
        let since = say::day(partnership.since.date());
        let (said, end) = match partnership.standing {
            PartnerStanding::Partners => (format!("partners since {since}"), "End it"),
            PartnerStanding::AskedByUs => (
                format!("asked by us on {since}, not answered yet"),
                "Take it back",
            ),
            PartnerStanding::AskedByThem => {
                (format!("asked us on {since}: yours to answer"), "Decline")
            }
        };
        Self {
            leaves: partnership.leaves_at.map(|at| say::day(at.date())),
            asks_us: partnership.standing == PartnerStanding::AskedByThem,
            id: partnership.other.id.to_string(),
            name: partnership.other.name,
            said,
            end,
        }
    }
}

/// `GET /partners`.
pub async fn list_partners(state: AppState) -> Result<Response, AppError> {
    page(&state, Typed::default()).await
}

async fn page(state: &AppState, typed: Typed) -> Result<Response, AppError> {
    let own = &state.actor.department;
    let partnerships = state.store.partnerships(own).await?;
    let free = |id: &DepartmentId| partnerships.iter().all(|p| p.other.id != *id);
    let others = state.store.other_departments(own).await?;
    let others = others.into_iter().filter(|d| free(&d.id));
    let others = others.map(|d| Choice::new(d.id.as_str(), d.name)).collect();
    let gone = state.store.gone().await?;
    let status = typed.status();
    let page = PartnersPage {
        partners: partnerships.into_iter().map(PartnerRow::new).collect(),
        others,
        gone: gone
            .into_iter()
            .map(|g| (g.name, say::day(g.removed_at.date())))
            .collect(),
        typed,
    };
    Ok((status, page).into_response())
}

/// `POST /partners`: asks, accepts, or ends.
pub async fn change_partners(state: AppState, mut typed: Typed) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    let other = DepartmentId::new(typed.value(DEPARTMENT.name));
    let gone = AppError::NotFound("partnership that this could change");
    match typed.value("do") {
        "ask" => {
            if store.ask_partner(actor, &other, now).await?.is_none() {
                typed.refuse(DEPARTMENT, "choose one of the departments here");
                return page(&state, typed).await;
            }
        }
        "accept" => store
            .accept_partner(actor, &other, now)
            .await?
            .ok_or(gone)?,
        "end" => store.end_partner(actor, &other, now).await?.ok_or(gone)?,
        _ => {
            return Err(AppError::BadRequest(
                "There is no such key; nothing was changed.".to_owned(),
            ));
        }
    }
    Ok(Redirect::to("/partners").into_response())
}
