//! `/cards/{id}/plan.svg` and the same of a body style: the open opening on the
//! car from one side or from above, as a file of its own, turned to how the car
//! lies. `view` and `shade` beside what the plan's own address holds.

use super::address::Address;
use super::drawing;
use super::opening::{key, opened};
use super::read::read;
use super::restraint::{people, rooms};
use crate::domain::frame::Side;
use crate::domain::opening::plan::plan;
use crate::domain::opening::{PlannedOpening, Resting};
use crate::domain::vehicle::Variant;
use crate::sketch::{Look, Turn, View, svg};
use crate::store::{CardId, PlanSettings};
use crate::web::drawing::{policy, view_name};
use crate::web::error::AppError;
use crate::web::reading::{Reading, Subject};
use crate::web::state::AppState;
use crate::web::variant::{Pairs, value_of, variant_of};
use axum::extract::{Path, Query};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;

/// A picture on the plan's page.
pub struct Picture {
    pub name: &'static str,
    pub light: String,
    pub dark: String,
}

/// The car from the side worked on, or from both where the opening has no side;
/// and from above.
pub fn pictures(opening: &PlannedOpening, address: &Address) -> Vec<Picture> {
    let sides: &[View] = match opening.side {
        Some(Side::Right) => &[View::Right],
        Some(_) => &[View::Left],
        None => &[View::Left, View::Right],
    };
    let own = address.with("open", &key(opening));
    let href = |view: View, shade: Look| {
        format!(
            "{}.svg?{}&view={view}&shade={shade}",
            address.page(),
            own.query()
        )
    };
    let picture = |view: &View| Picture {
        name: view_name(*view),
        light: href(*view, Look::Light),
        dark: href(*view, Look::Dark),
    };
    sides.iter().chain(&[View::Top]).map(picture).collect()
}

fn draw(
    reading: &Reading,
    address: &Address,
    department: &PlanSettings,
    (view, shade): (View, Look),
) -> Result<String, AppError> {
    let (style, spans) = (reading.body.style, &reading.zones.spans);
    let (typed, ask) = read(address, style, spans, OffsetDateTime::now_utc());
    let faults = typed
        .faults()
        .iter()
        .map(|f| format!("{}: {}", f.field, f.said));
    let mut ask = ask.ok_or_else(|| {
        AppError::BadRequest(format!("{}.", faults.collect::<Vec<_>>().join("; ")))
    })?;
    let settings = department.settle(&mut ask);
    let plan = plan(&reading.card, &ask, &settings)
        .map_err(|e| AppError::CannotCompute(format!("No plan: {e}.")))?;
    let opening = opened(&plan, address).ok_or(AppError::NotFound("opening"))?;
    let turn = match ask.resting {
        Resting::Roof if view != View::Top => Turn::Half,
        _ => Turn::None,
    };
    let works = drawing::works(opening, &ask.looks);
    let rooms = rooms(reading, &plan);
    let scene = drawing::view(
        reading,
        (&works, &rooms, &people(reading, &plan.ask)),
        (view, turn, shade),
    );
    Ok(svg::write(&scene, shade))
}

async fn answer(
    state: AppState,
    subject: Subject,
    query: Vec<(String, String)>,
) -> Result<Response, AppError> {
    let (address, asked) = Address::of(format!("{}/plan", subject.href()), &query);
    let view = value_of(&asked, "view").map_or(Some(View::Left), View::from_word);
    let shade = value_of(&asked, "shade").map_or(Some(Look::Light), Look::from_word);
    let (Some(view), Some(shade)) = (view, shade) else {
        return Err(AppError::BadRequest(
            "view: accepted are left, right, top, front, frame-left, frame-right; shade: light, dark, print.".to_owned(),
        ));
    };
    let variant = variant_of(address.pairs()).unwrap_or_else(|_| Variant::default());
    let revision = subject.revision(&state).await?;
    let reading = subject.read(&state, revision, variant).await?;
    let (_, department) = state.store.plan_settings(&state.actor.department).await?;
    let making = move || draw(&reading, &address, &department, (view, shade));
    let drawn = tokio::task::spawn_blocking(making).await;
    let drawn = drawn.map_err(|e| AppError::Internal(Box::new(e)))??;
    let headers = [
        (
            header::CONTENT_TYPE,
            HeaderValue::from_static("image/svg+xml"),
        ),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, no-cache"),
        ),
        // It carries its style sheet inside, and no script.
        (header::CONTENT_SECURITY_POLICY, policy(shade)),
    ];
    Ok((headers, drawn).into_response())
}

/// `GET /cards/{id}/plan.svg`
pub async fn show_card_picture(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query).await
}

/// `GET /body-styles/{id}/plan.svg`
pub async fn show_style_picture(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query).await
}
