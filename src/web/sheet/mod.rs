//! `/cards/{id}/print`: one card on one sheet of A4 or Letter. A sheet has two
//! sides: what a crew does first and both frames on the one, and where there is
//! no room below them, the parts on the other. No word is smaller than 8 pt.
//! Arrows and photos go to a further sheet, unless they are left out.

mod asked;
mod beside;

pub use asked::{NotesAsked, SheetAsked};
pub use beside::FurtherSide;

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
use crate::web::variant::{Pairs, Shown, asked_variant};
use askama::Template;
use asked::{Paper, Way};
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
    pub paper: Paper,
    pub defs: String,
    pub left: String,
    pub right: String,
    pub parts: Vec<PartRow>,
    pub shown: Shown,
    /// Notes beside the card, each in a line; empty where they are left out.
    pub notes: Vec<String>,
    /// Notes in words for which there is no room on the sheet.
    pub more_notes: usize,
    /// What of the notes goes to a further sheet.
    pub further: Vec<FurtherSide>,
    /// The same on the other paper, and with more of the notes or less.
    pub ways: Vec<Way>,
    /// The parts stand on the other side.
    pub turned: bool,
    /// So many parts that the other side holds them in smaller print alone.
    pub many: bool,
    /// So much is to be read first that the frames have no fixed room.
    pub crowded: bool,
}

impl SheetPage {
    /// `photos`: the address below which its photos are.
    pub fn of(reading: &Reading, asked: SheetAsked, photos: &str) -> Self {
        let parts = parts(reading);
        let first = First::of(reading);
        let with_notes = asked.notes != NotesAsked::Hide;
        let [left, right] = drawing::frames_on_a_sheet(reading, with_notes);
        let (notes, more) = match with_notes {
            true => notes(reading),
            false => (Vec::new(), Vec::new()),
        };
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
            paper: asked.paper,
            shown: Shown::of(reading, &format!("/print{}", asked.query())),
            ways: asked.ways(reading),
            more_notes: more.len(),
            further: beside::sides(reading, asked.notes, more, photos),
            defs: svg::inline_defs(),
            left,
            right,
            turned: parts.len() > MOST_PARTS_IN_FRONT || !notes.is_empty(),
            notes,
            many: parts.len() > MOST_PARTS_IN_LARGE,
            crowded: first_chars(reading, &first) > MOST_CHARS_IN_FRONT,
            parts,
            first,
        }
    }
}

/// The notes that show, each in a line: those that have room, and the rest.
fn notes(reading: &Reading) -> (Vec<String>, Vec<String>) {
    let shown = reading.card.annotations.iter().filter(|a| a.shows());
    let mut lines: Vec<String> = shown
        .map(|a| note_words::in_a_line(a, &reading.card))
        .collect();
    let mut left = MOST_NOTE_CHARS;
    let fits = lines.iter().take_while(|line| {
        let rest = left.checked_sub(line.chars().count() + CHARS_OF_A_BREAK);
        left = rest.unwrap_or(left);
        rest.is_some()
    });
    let rest = lines.split_off(fits.count());
    (lines, rest)
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
    let wanted = SheetAsked::of(&query)?;
    let page = (format!("print {}", wanted.query()), asked_variant(&query)?);
    let make = move |reading: &Reading| {
        let photos = format!("{}/photos", reading.subject.href());
        Kept::page(&SheetPage::of(reading, wanted, &photos))
    };
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
