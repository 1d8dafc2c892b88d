//! The page where a keeper has their department deleted, or calls it off.

use crate::store::{COOLING_OFF, Leaving};
use crate::web::error::AppError;
use crate::web::say;
use crate::web::sign_in::{From, forget_passwords, is_own_password};
use crate::web::state::{AppState, Service};
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const NAME: Asked<'static> = Asked::new("department", "Name of the department");
const OLD: Asked<'static> = Asked::new("old", "Your password");

#[derive(Template, WebTemplate)]
#[template(path = "leaving/leaving.html")]
struct LeavingPage {
    department: String,
    /// What would go: "3 cards", "5 people" …
    holds: Vec<String>,
    asked: Option<AskedFor>,
    /// The days between asking and deleting.
    days: i64,
    /// The day it would be, asked for today.
    would_be: String,
    /// The demo's first department, which everybody who comes acts for.
    stays: bool,
    typed: Typed,
}

struct AskedFor {
    by: String,
    on: String,
    due: String,
}

impl AskedFor {
    fn new(leaving: Leaving) -> Self {
        Self {
            by: leaving.asked_by,
            on: say::day(leaving.asked_at.date()),
            due: say::moment(leaving.due_at),
        }
    }
}

/// `GET /department/deletion`.
pub async fn show_leaving(
    State(service): State<Service>,
    state: AppState,
) -> Result<Response, AppError> {
    page(&service, &state, Typed::default()).await
}

async fn page(service: &Service, state: &AppState, mut typed: Typed) -> Result<Response, AppError> {
    let (store, actor) = (&state.store, &state.actor);
    let now = OffsetDateTime::now_utc();
    forget_passwords(&mut typed);
    let cards = store.all_summaries(&actor.department).await?;
    let own = cards.iter().filter(|c| c.department == actor.department);
    let people = store.people(actor).await?.len();
    let status = typed.status();
    let page = LeavingPage {
        department: name_of(state).await?,
        holds: vec![
            say::count(own.count(), "card", "cards"),
            say::count(people, "person", "people"),
            say::count(
                store.keys(actor).await?.len(),
                "key for a program",
                "keys for programs",
            ),
        ],
        asked: store.leaving(&actor.department).await?.map(AskedFor::new),
        days: COOLING_OFF.whole_days(),
        would_be: say::day((now + COOLING_OFF).date()),
        stays: stays(service, state),
        typed,
    };
    Ok((status, page).into_response())
}

/// Whether it is the demo's own department, without which nobody who comes could
/// be answered.
fn stays(service: &Service, state: &AppState) -> bool {
    let walk_in = service.walk_in.as_ref();
    walk_in.is_some_and(|w| w.department == state.actor.department)
}

async fn name_of(state: &AppState) -> Result<String, AppError> {
    let own = &state.actor.department;
    let departments = state.store.departments(own).await?;
    let own = departments.into_iter().find(|d| d.id == *own);
    Ok(own.ok_or(AppError::NotFound("department"))?.name)
}

/// `POST /department/deletion`: asks for it, or calls it off.
pub async fn change_leaving(
    State(service): State<Service>,
    state: AppState,
    From(address): From,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    if typed.chosen("do", "call-off") {
        let done = store.call_off_leaving(actor, now).await?;
        done.ok_or(AppError::NotFound("deletion that could be called off"))?;
        return Ok(Redirect::to("/department/deletion").into_response());
    }
    if stays(&service, &state) {
        return Err(AppError::Refused(
            "The demo’s first department stays: whoever comes acts for it. Nothing was changed.",
        ));
    }
    let name = name_of(&state).await?;
    if typed.value(NAME.name).trim() != name {
        typed.refuse(
            NAME,
            format!("not the name of this department: type “{name}”"),
        );
    } else {
        let password = typed.value(OLD.name).to_owned();
        let asker = (actor.as_ref(), address);
        if !is_own_password(&service.door, store, asker, &password).await? {
            typed.refuse(OLD, "this is not your password");
        }
    }
    if !typed.is_valid() {
        return page(&service, &state, typed).await;
    }
    store.ask_to_leave(actor, now).await?;
    Ok(Redirect::to("/department/deletion").into_response())
}
