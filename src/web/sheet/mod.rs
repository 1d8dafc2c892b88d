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
use crate::web::variant::{Pairs, Shown, asked_variant, value_of};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::Response;

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
    /// The same on the other paper.
    pub other_paper: String,
    pub defs: String,
    pub left: String,
    pub right: String,
    pub parts: Vec<PartRow>,
    pub shown: Shown,
    /// Size of the print: smaller where there is much.
    pub print: &'static str,
}

impl SheetPage {
    pub fn of(reading: &Reading, paper: &'static str) -> Self {
        let parts = parts(reading);
        let [left, right] = drawing::frames_on_a_sheet(reading);
        Self {
            title: reading.title(),
            href: reading.link(""),
            facts: say::variant_facts(reading.vehicle()).join(" · "),
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
            other_paper: reading.link(match paper {
                "a4" => "/print?paper=letter",
                _ => "/print?paper=a4",
            }),
            shown: Shown::of(reading, &format!("/print?paper={paper}")),
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
    query: Vec<(String, String)>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let paper = match value_of(&query, "paper").unwrap_or("a4") {
        "a4" => "a4",
        "letter" => "letter",
        _ => {
            return Err(AppError::BadRequest(
                "paper: accepted are a4, letter.".to_owned(),
            ));
        }
    };
    let page = (format!("print {paper}"), asked_variant(&query)?);
    let make = move |reading: &Reading| Kept::page(&SheetPage::of(reading, paper));
    subject.answer(&state, &asked, page, make).await
}

/// `GET /cards/{id}/print`
pub async fn show_card_sheet(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, asked).await
}

/// `GET /body-styles/{id}/print`
pub async fn show_style_sheet(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, asked).await
}
