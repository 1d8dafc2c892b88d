//! `/cards/{id}/print`: one card on one sheet of A4 or Letter. A sheet has two
//! sides: what a crew does first and both frames on the one, and where there is
//! no room below them, the parts on the other. No word is smaller than 8 pt.

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
use axum::extract::{Path, Query};
use axum::http::HeaderMap;
use axum::response::Response;

/// Parts for which there is room above the frames.
const MOST_PARTS_IN_FRONT: usize = 5;

/// Parts for which the other side has room in the larger print.
const MOST_PARTS_IN_LARGE: usize = 36;

/// Characters for which there is room above the frames as large as they have
/// to be to be read.
const MOST_CHARS_IN_FRONT: usize = 2_400;

/// One sheet.
#[derive(Template)]
#[template(path = "sheet/sheet.html")]
pub struct SheetPage {
    pub title: String,
    pub href: String,
    /// Until when the link works that it was opened by; `None`: by a member.
    pub linked_until: Option<String>,
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
    /// The parts stand on the other side.
    pub turned: bool,
    /// So many parts that the other side holds them in smaller print alone.
    pub many: bool,
    /// So much is to be read first that the frames have no fixed room.
    pub crowded: bool,
}

impl SheetPage {
    pub fn of(reading: &Reading, paper: &'static str) -> Self {
        let parts = parts(reading);
        let first = First::of(reading);
        let [left, right] = drawing::frames_on_a_sheet(reading);
        Self {
            title: reading.title(),
            href: reading.link(""),
            linked_until: None,
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
            paper,
            other_paper: reading.link(match paper {
                "a4" => "/print?paper=letter",
                _ => "/print?paper=a4",
            }),
            shown: Shown::of(reading, &format!("/print?paper={paper}")),
            defs: svg::inline_defs(),
            left,
            right,
            turned: parts.len() > MOST_PARTS_IN_FRONT,
            many: parts.len() > MOST_PARTS_IN_LARGE,
            crowded: first_chars(reading, &first) > MOST_CHARS_IN_FRONT,
            parts,
            first,
        }
    }
}

/// How much is to be read first.
fn first_chars(reading: &Reading, first: &First) -> usize {
    let lines = [
        &first.power,
        &first.high_voltage,
        &first.glass,
        &first.doors,
    ];
    let lines = lines
        .into_iter()
        .flatten()
        .chain([&first.hold, &first.drive]);
    let lines: usize = lines.map(|line| line.name.len() + line.text.len()).sum();
    lines + reading.card.identify.as_ref().map_or(0, String::len)
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
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, asked).await
}

/// `GET /body-styles/{id}/print`
pub async fn show_style_sheet(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, asked).await
}
