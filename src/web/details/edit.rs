//! Changing a card's details. Where the card moved on meanwhile, both versions
//! are shown and what was typed stays in the form.

use super::read::{self, filled, read_details};
use super::{Choices, PaneRow, PowerRow, pane_rows, power_rows};
use crate::domain::body::style;
use crate::domain::card::PowerSource;
use crate::store::{CardDetails, Revision, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::own_card::{CardHead, own_card};
use crate::web::state::AppState;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

#[derive(Template, WebTemplate)]
#[template(path = "details/edit.html")]
struct EditDetailsPage {
    head: CardHead,
    typed: Typed,
    power: Vec<PowerRow>,
    panes: Vec<PaneRow>,
    /// Where both versions differ, after somebody else's change.
    differences: Vec<Difference>,
    conflict: bool,
}

/// One field that somebody else's version has otherwise.
struct Difference {
    label: String,
    yours: String,
    saved: String,
}

impl EditDetailsPage {
    fn new(stored: &StoredCard, typed: Typed) -> Self {
        let head = CardHead::of(stored);
        Self {
            power: power_rows(&typed),
            panes: pane_rows(&typed, &head.style.panes),
            head,
            typed,
            differences: Vec::new(),
            conflict: false,
        }
    }

    fn with_both(mut self, stored: &StoredCard) -> Self {
        let saved = filled(&CardDetails::from(&stored.card));
        self.conflict = true;
        self.differences = fields(&self.head)
            .into_iter()
            .filter(|(name, _)| self.typed.value(name).trim() != saved.value(name))
            .map(|(name, label)| Difference {
                label,
                yours: self.typed.value(&name).to_owned(),
                saved: saved.value(&name).to_owned(),
            })
            .collect();
        self
    }
}

/// Every field of the form with its label.
fn fields(head: &CardHead) -> Vec<(String, String)> {
    let asked = [
        read::MAKE,
        read::MODEL,
        read::FIRST_YEAR,
        read::LAST_YEAR,
        read::DRIVE,
        read::WHEEL,
        read::ROOF,
        read::REGION,
        read::HOLD,
        read::IDENTIFY,
    ];
    let mut all: Vec<(String, String)> = asked
        .iter()
        .map(|a| (a.name.to_owned(), a.label.to_owned()))
        .collect();
    for what in PowerSource::ALL {
        let name = super::power_name(*what);
        all.push((read::power_where(*what), format!("{name}, where")));
        all.push((read::power_how(*what), format!("{name}, how")));
    }
    let panes = head.style.panes.iter();
    all.extend(panes.map(|p| (read::glass_of(&p.id), p.name.clone())));
    all
}

/// `GET /cards/{id}/edit`
pub async fn edit_details(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let mut typed = filled(&CardDetails::from(&stored.card));
    typed.put("revision", stored.revision.to_string());
    Ok(EditDetailsPage::new(&stored, typed).into_response())
}

/// `POST /cards/{id}/edit`
pub async fn update_details(
    state: AppState,
    Path(id): Path<String>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let body = style(stored.card.vehicle.body_style);
    let read = read_details(&mut typed, body, stored.card.measured.clone());
    let Some(details) = read else {
        let status = typed.status();
        return Ok((status, EditDetailsPage::new(&stored, typed)).into_response());
    };
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    let now = OffsetDateTime::now_utc();
    let saved = state
        .store
        .update_details(&state.actor, &stored.id, expected, &details, now)
        .await;
    match saved {
        Ok(Some(_)) => Ok(Redirect::to(&format!("/cards/{id}")).into_response()),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. }) => show_both(&state, &id, typed).await,
        Err(other) => Err(other.into()),
    }
}

/// What was typed beside what is saved now; sent again, it is meant.
async fn show_both(state: &AppState, id: &str, mut typed: Typed) -> Result<Response, AppError> {
    let stored = own_card(state, id).await?;
    typed.put("revision", stored.revision.to_string());
    let page = EditDetailsPage::new(&stored, typed).with_both(&stored);
    Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
}
