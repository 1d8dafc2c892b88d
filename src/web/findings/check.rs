//! A finding checked on one's own car. Measured there, it is a finding of its own;
//! a bare "same" is a note about it, is shown, and counts for nothing.

use super::finding_of;
use crate::domain::annotation::Target;
use crate::store::{NewAbout, NewRemark, StoreError};
use crate::web::error::AppError;
use crate::web::own_card::card_to_add_to;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use axum::extract::Path;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

/// The label of the car it was checked on.
pub const SAME_ON: Asked<'static> = Asked::new("same_on", "Car");

/// `POST /cards/{id}/findings/{finding}/same`
pub async fn note_same(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let (stored, footing) = card_to_add_to(&state, &id).await?;
    finding_of(&stored, &finding)?;
    let car = typed.required_text(
        SAME_ON,
        64,
        "name the car, as the yard or the crew calls it",
    );
    let Some(car) = car else {
        return super::standing::show_again(&state, &stored, &finding, footing, typed).await;
    };
    let same = NewRemark {
        about: NewAbout::Note(Target::Finding(finding.clone())),
        text: format!("Same on our car “{car}”, not measured: it counts for nothing."),
        photos: Vec::new(),
    };
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    match store
        .add_remarks(actor, &stored.id, None, &[same], now)
        .await
    {
        Ok(Some(_)) => Ok(Redirect::to(&format!("/cards/{id}/findings/{finding}")).into_response()),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(error @ StoreError::TooMany { .. }) => {
            typed.refuse(SAME_ON, error.to_string());
            super::standing::show_again(&state, &stored, &finding, footing, typed).await
        }
        Err(other) => Err(other.into()),
    }
}
