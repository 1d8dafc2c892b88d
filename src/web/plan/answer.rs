//! How a request for a plan is answered: a button leads to a new address, what
//! cannot be read is asked again, and what can be is planned with what the
//! department has set.

use super::act::{Acted, act};
use super::address::Address;
use super::form::AskPage;
use super::opening::{OpenView, key, opened};
use super::page::PlanPage;
use super::read::{opening_of, read, with_moments};
use crate::domain::opening::contradiction::{Contradiction, To};
use crate::domain::opening::plan::{PlanError, plan};
use crate::domain::opening::{Ask, Plan};
use crate::domain::vehicle::Variant;
use crate::store::{CardId, PlanSettings};
use crate::web::error::AppError;
use crate::web::page_cache::{Encoded, Encoding};
use crate::web::reading::{Reading, Subject};
use crate::web::say;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use crate::web::variant::{Pairs, variant_of};
use crate::web::{figures, leaving};
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

/// What one request comes to.
enum Made {
    Go(String),
    Page(StatusCode, String),
}

fn page(status: StatusCode, template: &impl Template) -> Result<Made, AppError> {
    let html = template.render();
    let html = html.map_err(|e| AppError::Internal(Box::new(e)))?;
    Ok(Made::Page(status, html))
}

/// One request for a plan.
struct Asking<'a> {
    reading: &'a Reading,
    address: &'a Address,
    /// What a button asks for besides.
    asked: &'a [(String, String)],
    /// The card is the department's own, and takes findings.
    own: bool,
    department: &'a PlanSettings,
    now: OffsetDateTime,
}

impl Asking<'_> {
    fn pressed(&self, name: &str) -> bool {
        self.asked.iter().any(|(n, _)| n == name)
    }

    fn make(&self) -> Result<Made, AppError> {
        let Self {
            reading, address, ..
        } = *self;
        let look = match act(reading, address, self.asked, self.now) {
            Acted::Go(href) => return Ok(Made::Go(href)),
            Acted::Wrong(typed) => Some(typed),
            Acted::Nothing => None,
        };
        let begun = address.value("seat").is_some() || address.value("care").is_some();
        if self.pressed("change") || !(begun || self.pressed("go")) {
            let typed = Typed::sent(address.pairs().iter().cloned());
            return page(StatusCode::OK, &AskPage::of(reading, address, typed));
        }
        let style = reading.body.style;
        let (typed, ask) = read(address, style, &reading.zones.spans, self.now);
        match ask {
            None => {
                let again = AskPage::of(reading, address, typed);
                page(StatusCode::UNPROCESSABLE_ENTITY, &again)
            }
            Some(_) if self.pressed("go") => Ok(Made::Go(with_moments(address, self.now).href())),
            Some(ask) => self.answer(ask, typed, look.as_ref()),
        }
    }

    fn answer(&self, ask: Ask, mut typed: Typed, look: Option<&Typed>) -> Result<Made, AppError> {
        let (plan, mut wrong) = match self.plan(ask) {
            Err(PlanError::Ask(contradictions)) => {
                refuse(&mut typed, &contradictions);
                let again = AskPage::of(self.reading, self.address, typed);
                return page(StatusCode::UNPROCESSABLE_ENTITY, &again);
            }
            planned => planned.map_err(|e| AppError::CannotCompute(format!("No plan: {e}.")))?,
        };
        wrong.extend(unknown_opening(self.address, &plan));
        let faults = look.iter().flat_map(|typed| typed.faults());
        wrong.extend(faults.map(|f| format!("The look: {}: {}", f.label, f.said)));
        let mut shown = PlanPage::of((self.reading, &plan), self.address, (self.own, self.now));
        let opening = opened(&plan, self.address);
        let view = |o| OpenView::of(self.reading, &plan, o, self.address, look);
        shown.open = opening.map(view);
        let status = if wrong.is_empty() {
            StatusCode::OK
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        };
        shown.wrong = wrong;
        page(status, &shown)
    }

    /// The plan, and what is wrong with an own order that fits no opening of it.
    fn plan(&self, mut ask: Ask) -> Result<(Plan, Vec<String>), PlanError> {
        let card = &self.reading.card;
        let settings = self.department.settle(&mut ask);
        let mut wrong = Vec::new();
        let mut planned = plan(card, &ask, &settings);
        if let Err(PlanError::Order(errors)) = &planned {
            let said = |e: &dyn std::error::Error| say::sentence(&e.to_string());
            wrong.extend(
                errors
                    .iter()
                    .map(|e| format!("Own order: {}. Shown is the order made here.", said(e))),
            );
            ask.order = None;
            planned = plan(card, &ask, &settings);
        }
        Ok((planned?, wrong))
    }
}

/// Says answers that cannot be so at the fields that asked for them.
fn refuse(typed: &mut Typed, contradictions: &[Contradiction]) {
    for wrong in contradictions {
        let said = format!("{wrong}: {}", wrong.accepted());
        let at = wrong.field();
        let power = match at.as_slice() {
            [To::Field(of), To::Field(what), ..] if of == "isolation" => {
                Some(format!("iso-{what}-at"))
            }
            _ => None,
        };
        let (field, label) = match (&power, at.first()) {
            (Some(own), _) => (own.as_str(), "Isolated"),
            (None, Some(To::Field(name))) => match name.as_str() {
                "care" => ("care", "Care"),
                "reach" => ("off", "Out of reach"),
                "looks" => ("look", "Looks"),
                _ => ("seat", "Seat"),
            },
            _ => ("seat", "Seat"),
        };
        typed.refuse(Asked::new(field, label), said);
    }
}

/// An address that names an opening which is not offered (any more).
fn unknown_opening(address: &Address, plan: &Plan) -> Option<String> {
    let open = address.value("open")?;
    let offered = plan.openings.iter().any(|o| key(o) == open);
    if offered {
        return None;
    }
    let (id, side) = opening_of(open);
    let mut turned_down = plan.not_offered.iter();
    let why = turned_down.find(|o| o.id == id && (o.side.is_none() || o.side == side));
    Some(match why {
        Some(why) => format!("{} is not offered: {}", why.name, why.because),
        None => format!(
            "No opening “{open}” is offered for this car and patient. Shown is the preferred one."
        ),
    })
}

async fn answer(
    state: AppState,
    subject: Subject,
    query: Vec<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let (address, asked) = Address::of(format!("{}/plan", subject.href()), &query);
    let variant = variant_of(address.pairs()).unwrap_or_else(|_| Variant::default());
    let revision = subject.revision(&state).await?;
    let reading = subject.read(&state, revision, variant).await?;
    let own = reading.is_of(&state.actor.department);
    let (_, department) = state.store.plan_settings(&state.actor.department).await?;
    let first = figures::first();
    let making = move || {
        let asking = Asking {
            reading: &reading,
            address: &address,
            asked: &asked,
            own,
            department: &department,
            now: OffsetDateTime::now_utc(),
        };
        figures::within(first, || asking.make())
    };
    let made = tokio::task::spawn_blocking(leaving::carried(making)).await;
    match made.map_err(|e| AppError::Internal(Box::new(e)))?? {
        Made::Go(href) => Ok(Redirect::to(&href).into_response()),
        Made::Page(status, html) => Ok(sent(status, &html, &headers)),
    }
}

/// Compressed for a phone with bad signal; asked for again every time, for time runs on it.
fn sent(status: StatusCode, html: &str, asked: &HeaderMap) -> Response {
    let mut response = Encoded::new(html.as_bytes()).response(Encoding::accepted(asked));
    *response.status_mut() = status;
    for (name, value) in [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CACHE_CONTROL, "private, no-cache"),
    ] {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    response
}

/// `GET /cards/{id}/plan`
pub async fn show_card_plan(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, headers).await
}

/// `GET /body-styles/{id}/plan`
pub async fn show_style_plan(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, headers).await
}
