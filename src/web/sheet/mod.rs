//! `/cards/{id}/print`: one card on one sheet of A4 or Letter. A sheet has two
//! sides: what a crew does first and both frames on the one, and where there is
//! no room below them, the parts on the other. No word is smaller than 8 pt.

use crate::domain::annotation::Annotation;
use crate::sketch::svg;
use crate::store::CardId;
use crate::web::card::{First, PartRow, parts};
use crate::web::drawing;
use crate::web::error::AppError;
use crate::web::notes::words as note_words;
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

/// Characters of notes for which the other side has room below the most parts,
/// and what each further line costs.
const MOST_NOTE_CHARS: usize = 1_600;
const CHARS_OF_A_BREAK: usize = 30;

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
    /// Notes beside the card, each in a line; empty where they are left out.
    pub notes: Vec<String>,
    /// Notes for which there is no room on the sheet.
    pub more_notes: usize,
    /// The same sheet with the notes, or without; none where there are none.
    pub notes_switch: Option<(String, &'static str)>,
    /// The parts stand on the other side.
    pub turned: bool,
    /// So many parts that the other side holds them in smaller print alone.
    pub many: bool,
    /// So much is to be read first that the frames have no fixed room.
    pub crowded: bool,
}

impl SheetPage {
    pub fn of(reading: &Reading, paper: &'static str, with_notes: bool) -> Self {
        let parts = parts(reading);
        let first = First::of(reading);
        let [left, right] = drawing::frames_on_a_sheet(reading, with_notes);
        let (notes, more_notes) = match with_notes {
            true => notes(reading),
            false => (Vec::new(), 0),
        };
        let hidden = if with_notes { "" } else { "&notes=hide" };
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
                        "Revision {} · {} · {} · {}",
                        s.revision,
                        say::day(s.date),
                        s.department_name,
                        s.review
                    )
                }),
            generic: reading.is_generic(),
            fitted: reading.body.fitted,
            identify: reading.card.identify.clone(),
            paper,
            other_paper: reading.link(
                match paper {
                    "a4" => format!("/print?paper=letter{hidden}"),
                    _ => format!("/print?paper=a4{hidden}"),
                }
                .as_str(),
            ),
            shown: Shown::of(reading, &format!("/print?paper={paper}{hidden}")),
            notes_switch: notes_switch(reading, paper, with_notes),
            defs: svg::inline_defs(),
            left,
            right,
            turned: parts.len() > MOST_PARTS_IN_FRONT || !notes.is_empty(),
            notes,
            more_notes,
            many: parts.len() > MOST_PARTS_IN_LARGE,
            crowded: first_chars(reading, &first) > MOST_CHARS_IN_FRONT,
            parts,
            first,
        }
    }
}

/// The notes that show, as many as have room, and how many have none.
fn notes(reading: &Reading) -> (Vec<String>, usize) {
    let shown: Vec<&Annotation> = reading
        .card
        .annotations
        .iter()
        .filter(|a| a.shows())
        .collect();
    let mut left = MOST_NOTE_CHARS;
    let mut lines = Vec::new();
    for annotation in &shown {
        let line = note_words::in_a_line(annotation, &reading.card);
        match left.checked_sub(line.chars().count() + CHARS_OF_A_BREAK) {
            Some(rest) => left = rest,
            None => break,
        }
        lines.push(line);
    }
    let more = shown.len() - lines.len();
    (lines, more)
}

fn notes_switch(
    reading: &Reading,
    paper: &str,
    with_notes: bool,
) -> Option<(String, &'static str)> {
    let (query, name) = match with_notes {
        true => ("&notes=hide", "Leave the notes out"),
        false => ("", "Print the notes"),
    };
    let any = reading.card.annotations.iter().any(Annotation::shows);
    any.then(|| (reading.link(&format!("/print?paper={paper}{query}")), name))
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
    let with_notes = match value_of(&query, "notes").unwrap_or("show") {
        "show" => true,
        "hide" => false,
        _ => {
            return Err(AppError::BadRequest(
                "notes: accepted are show, hide.".to_owned(),
            ));
        }
    };
    let page = (
        format!("print {paper} {with_notes}"),
        asked_variant(&query)?,
    );
    let make = move |reading: &Reading| Kept::page(&SheetPage::of(reading, paper, with_notes));
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
