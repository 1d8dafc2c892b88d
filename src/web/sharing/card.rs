//! How far one card reaches.

use crate::domain::visibility::Visibility;
use crate::store::PartnerStanding;
use crate::web::error::AppError;
use crate::web::own_card::{CardHead, own_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const VISIBILITY: Asked<'static> = Asked::new("visibility", "Who may read it");

#[derive(Template, WebTemplate)]
#[template(path = "sharing/card.html")]
struct CardSharingPage {
    head: CardHead,
    now: Visibility,
    /// Names of the partners there are.
    partners: Vec<String>,
    typed: Typed,
}

/// `GET /cards/{id}/sharing`.
pub async fn show_visibility(
    state: AppState,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    page(&state, &id, Typed::default()).await
}

async fn page(state: &AppState, id: &str, typed: Typed) -> Result<Response, AppError> {
    let stored = own_card(state, id).await?;
    let own = &state.actor.department;
    let now = state.store.visibility(own, &stored.id).await?;
    let partnerships = state.store.partnerships(own).await?;
    let partners = partnerships
        .into_iter()
        .filter(|p| p.standing == PartnerStanding::Partners);
    let status = typed.status();
    let page = CardSharingPage {
        head: CardHead::of(&stored),
        now: now.ok_or(AppError::NotFound("card"))?,
        partners: partners.map(|p| p.other.name).collect(),
        typed,
    };
    Ok((status, page).into_response())
}

/// `POST /cards/{id}/sharing`.
pub async fn change_visibility(
    state: AppState,
    Path(id): Path<String>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let Some(wanted) = Visibility::from_word(typed.value(VISIBILITY.name)) else {
        typed.refuse(VISIBILITY, "choose one of the three");
        return page(&state, &id, typed).await;
    };
    let now = OffsetDateTime::now_utc();
    let set = state
        .store
        .set_visibility(&state.actor, &stored.id, wanted, now);
    set.await?.ok_or(AppError::NotFound("card"))?;
    Ok(Redirect::to(&format!("/cards/{}/sharing", stored.id)).into_response())
}
