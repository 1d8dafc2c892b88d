//! `/cards/{id}/print`: one card on one sheet of A4 or Letter.

use crate::sketch::svg;
use crate::store::CardId;
use crate::web::card::{First, PartRow, parts};
use crate::web::drawing;
use crate::web::error::AppError;
use crate::web::page_cache::Kept;
use crate::web::reading::{Reading, Subject};
use crate::web::say;
use crate::web::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;

/// Which paper.
#[derive(Debug, Default, Deserialize)]
pub struct PaperQuery {
    paper: Option<String>,
}

/// One sheet.
#[derive(Template)]
#[template(path = "sheet/sheet.html")]
pub struct SheetPage {
    pub title: String,
    pub href: String,
    pub facts: String,
    pub stand: String,
    pub generic: bool,
    pub fitted: bool,
    pub identify: Option<String>,
    pub first: First,
    pub paper: &'static str,
    pub defs: String,
    pub left: String,
    pub right: String,
    pub parts: Vec<PartRow>,
    /// Size of the print: smaller where there is much.
    pub print: &'static str,
}

impl SheetPage {
    pub fn of(reading: &Reading, paper: &'static str) -> Self {
        let parts = parts(reading);
        let [left, right] = drawing::frames_on_a_sheet(reading);
        Self {
            title: reading.title(),
            href: reading.subject.href(),
            facts: say::variant_facts(&reading.card.vehicle).join(" · "),
            stand: reading
                .stand
                .as_ref()
                .map_or("Body style only".to_owned(), |s| {
                    format!(
                        "Revision {} · {} · {}",
                        s.revision,
                        say::day(s.date),
                        s.department_name
                    )
                }),
            generic: reading.is_generic(),
            fitted: reading.body.fitted,
            identify: reading.card.identify.clone(),
            first: First::of(reading),
            paper,
            defs: svg::inline_defs(),
            left,
            right,
            print: match parts.len() {
                0..=12 => "print-large",
                13..=26 => "print-middle",
                _ => "print-small",
            },
            parts,
        }
    }
}

async fn answer(
    state: AppState,
    subject: Subject,
    query: PaperQuery,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let paper = match query.paper.as_deref().unwrap_or("a4") {
        "a4" => "a4",
        "letter" => "letter",
        _ => {
            return Err(AppError::BadRequest(
                "paper: accepted are a4, letter.".to_owned(),
            ));
        }
    };
    subject
        .answer(&state, &asked, format!("print {paper}"), move |reading| {
            Kept::page(&SheetPage::of(reading, paper))
        })
        .await
}

/// `GET /cards/{id}/print`
pub async fn show_card_sheet(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Query<PaperQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, asked).await
}

/// `GET /body-styles/{id}/print`
pub async fn show_style_sheet(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Query<PaperQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, asked).await
}
