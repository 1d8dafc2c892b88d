//! A new card: first the body style, by its drawing, then what is known.

use super::read::read_details;
use super::{Choices, PaneRow, PowerRow, drawing, pane_rows, power_rows};
use crate::domain::body::{BodyStyle, Measured, StyleId, style};
use crate::web::error::AppError;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Query;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::OffsetDateTime;

/// The twelve styles to choose from.
#[derive(Template, WebTemplate)]
#[template(path = "details/styles.html")]
struct StylesPage {
    styles: Vec<StyleRow>,
}

struct StyleRow {
    style: &'static BodyStyle,
    drawing: String,
}

#[derive(Template, WebTemplate)]
#[template(path = "details/new.html")]
struct NewCardPage {
    style: &'static BodyStyle,
    drawing: String,
    typed: Typed,
    power: Vec<PowerRow>,
    panes: Vec<PaneRow>,
}

impl NewCardPage {
    fn new(style: &'static BodyStyle, typed: Typed) -> Self {
        Self {
            style,
            drawing: drawing::small_side(style),
            power: power_rows(&typed),
            panes: pane_rows(&typed, &style.panes),
            typed,
        }
    }
}

/// What the page is opened with.
#[derive(Debug, Deserialize)]
pub struct NewCardQuery {
    style: Option<String>,
    /// Names from a search that found nothing.
    make: Option<String>,
    model: Option<String>,
    year: Option<String>,
}

/// `GET /cards/new`
pub async fn new_card(Query(query): Query<NewCardQuery>) -> Result<Response, AppError> {
    let Some(word) = query.style.filter(|s| !s.is_empty()) else {
        return Ok(StylesPage::all().into_response());
    };
    let style = StyleId::from_word(&word).ok_or(AppError::NotFound("body style"))?;
    let mut typed = Typed::default();
    typed.put("make", query.make.unwrap_or_default());
    typed.put("model", query.model.unwrap_or_default());
    typed.put("first_year", query.year.clone().unwrap_or_default());
    typed.put("last_year", query.year.unwrap_or_default());
    Ok(NewCardPage::new(self::style(style), typed).into_response())
}

impl StylesPage {
    fn all() -> Self {
        let row = |id: &StyleId| StyleRow {
            style: style(*id),
            drawing: drawing::small_side(style(*id)),
        };
        Self {
            styles: StyleId::ALL.iter().map(row).collect(),
        }
    }
}

/// `POST /cards/new`
pub async fn create_card(state: AppState, mut typed: Typed) -> Result<Response, AppError> {
    let Some(id) = StyleId::from_word(typed.value("body_style")) else {
        return Err(AppError::BadRequest(
            "Choose a body style first; nothing was saved.".to_owned(),
        ));
    };
    let Some(details) = read_details(&mut typed, style(id), Measured::default()) else {
        let status = typed.status();
        return Ok((status, NewCardPage::new(style(id), typed)).into_response());
    };
    let now = OffsetDateTime::now_utc();
    let card = state.store.create_card(&state.actor, &details, now).await?;
    Ok(Redirect::to(&format!("/cards/{}", card.id)).into_response())
}
