//! `/cards/{id}/plan` and `/body-styles/{id}/plan`: what is asked, then the
//! plan, at one address. Nothing is kept here: the address holds it all.

use super::act::{Acted, act};
use super::address::Address;
use super::asked::{LookRow, echo, looks};
use super::form::AskPage;
use super::opening::{OpenView, OpeningRow, opened, rows};
use super::read::{opening_of, read};
use super::restraint::{BagRoom, RestraintBox, bag_rooms};
use super::words;
use crate::domain::kind::Kind;
use crate::domain::opening::plan::{PlanError, Settings, plan};
use crate::domain::opening::{Ask, Plan};
use crate::domain::vehicle::Variant;
use crate::sketch::svg;
use crate::store::CardId;
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::form::Choice;
use crate::web::page_cache::{Encoded, Encoding};
use crate::web::reading::{Reading, Subject};
use crate::web::say;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use crate::web::variant::{Pairs, Shown, variant_of};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

/// A plan as a crew reads it.
#[derive(Template)]
#[template(path = "plan/plan.html")]
pub struct PlanPage {
    pub title: String,
    pub href: String,
    pub page: String,
    pub stand: String,
    pub generic: bool,
    pub fitted: bool,
    pub shown: Shown,
    /// What was asked, defaults and all, in words.
    pub asked: Vec<(&'static str, String)>,
    pub heading: String,
    /// The form with everything that was answered.
    pub change: String,
    /// The address, carried by forms that are about no opening.
    pub ask: String,
    pub restraints: RestraintBox,
    /// The preferred one, the immediate one, and the one that is open.
    pub leading: Vec<OpeningRow>,
    pub others: Vec<OpeningRow>,
    pub open: Option<OpenView>,
    pub looks: Vec<LookRow>,
    pub kinds: Vec<Choice>,
    pub bags: Vec<BagRoom>,
    pub not_offered: Vec<(String, String)>,
    pub wrong: Vec<String>,
    pub defs: String,
    pub at: String,
}

impl PlanPage {
    fn of(asking: &Asking, plan: &Plan) -> Self {
        let Asking {
            reading, address, ..
        } = *asking;
        let opening = opened(plan, address);
        let here = opening.map(super::opening::key).unwrap_or_default();
        let all = rows(plan, address, &here);
        let (leading, others): (Vec<_>, Vec<_>) = all
            .into_iter()
            .partition(|r| r.preferred || r.immediate || r.here);
        let named = |o: &crate::domain::opening::NotOffered| match words::side(o.side) {
            "" => o.name.clone(),
            side => format!("{}, {side}", o.name),
        };
        Self {
            title: reading.title(),
            href: reading.subject.href(),
            page: address.page().to_owned(),
            stand: words::stand(reading),
            generic: reading.is_generic(),
            fitted: reading.body.fitted,
            shown: Shown::of(reading, "/plan"),
            asked: echo(reading, &plan.ask),
            heading: heading(reading, &plan.ask),
            change: address.href() + "&change=1",
            ask: address.query(),
            restraints: RestraintBox::of(plan),
            leading,
            others,
            open: None,
            looks: looks(reading, &plan.ask, asking.own),
            kinds: Kind::ALL
                .iter()
                .map(|k| Choice::new(k.word(), k.name()))
                .collect(),
            bags: bag_rooms(reading, plan),
            not_offered: plan
                .not_offered
                .iter()
                .map(|o| (named(o), o.because.clone()))
                .collect(),
            wrong: Vec::new(),
            defs: svg::inline_defs(),
            at: say::moment(asking.now),
        }
    }
}

/// `Front seat, left: gentle`
fn heading(reading: &Reading, ask: &Ask) -> String {
    let seats = reading.body.style.seats.iter();
    let seats: Vec<String> = seats
        .filter(|s| ask.seats.contains(&s.id))
        .map(|s| s.name.to_lowercase())
        .collect();
    format!(
        "{}: {}",
        say::sentence(&say::list(&seats)),
        words::care(ask.care).to_lowercase()
    )
}

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
            Some(_) if self.pressed("go") => Ok(Made::Go(address.href())),
            Some(ask) => self.answer(ask, look.as_ref()),
        }
    }

    fn answer(&self, ask: Ask, look: Option<&Typed>) -> Result<Made, AppError> {
        let (plan, mut wrong) = self.plan(ask)?;
        wrong.extend(unknown_opening(self.address, &plan));
        let faults = look.iter().flat_map(|typed| typed.faults());
        wrong.extend(faults.map(|f| format!("The look: {}: {}", f.label, f.said)));
        let mut shown = PlanPage::of(self, &plan);
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
    fn plan(&self, mut ask: Ask) -> Result<(Plan, Vec<String>), AppError> {
        let card = &self.reading.card;
        let mut wrong = Vec::new();
        let mut planned = plan(card, &ask, &Settings::default());
        if let Err(PlanError::Order(errors)) = &planned {
            let said = |e: &dyn std::error::Error| say::sentence(&e.to_string());
            wrong.extend(
                errors
                    .iter()
                    .map(|e| format!("Own order: {}. Shown is the order made here.", said(e))),
            );
            ask.order = None;
            planned = plan(card, &ask, &Settings::default());
        }
        let plan = planned.map_err(|e| AppError::CannotCompute(format!("No plan: {e}.")))?;
        Ok((plan, wrong))
    }
}

/// An address that names an opening which is not offered (any more).
fn unknown_opening(address: &Address, plan: &Plan) -> Option<String> {
    let open = address.value("open")?;
    let offered = plan.openings.iter().any(|o| super::opening::key(o) == open);
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
    let first = figures::first();
    let making = move || {
        let asking = Asking {
            reading: &reading,
            address: &address,
            asked: &asked,
            own,
            now: OffsetDateTime::now_utc(),
        };
        figures::within(first, || asking.make())
    };
    let made = tokio::task::spawn_blocking(making).await;
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
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, headers).await
}

/// `GET /body-styles/{id}/plan`
pub async fn show_style_plan(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, headers).await
}
