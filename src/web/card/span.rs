//! `/cards/{id}/spans/{span}`: one ruler, large, with every figure from both
//! ends in mm and inches.

use super::ruler::{self, gap_word, said_of};
use crate::domain::units::Rounding;
use crate::domain::zone::{Class, Gap, SpanZones};
use crate::sketch::figures::{self, Range};
use crate::sketch::svg;
use crate::store::CardId;
use crate::web::drawing;
use crate::web::error::AppError;
use crate::web::figures::{First, both, first};
use crate::web::page_cache::Kept;
use crate::web::reading::{Reading, Subject};
use crate::web::say;
use crate::web::state::AppState;
use crate::web::variant::{Pairs, Shown, asked_variant};
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::HeaderMap;
use axum::response::Response;

/// One stretch or gap, from both ends.
#[derive(Debug, Clone)]
pub struct Figures {
    pub word: &'static str,
    /// Class of the mark beside the word.
    pub mark: &'static str,
    /// The figure that leads, and the other with its unit.
    pub foot: [String; 2],
    pub head: [String; 2],
}

/// A way to a neighbouring ruler.
#[derive(Debug, Clone)]
pub struct Neighbour {
    pub href: String,
    pub name: String,
    pub here: bool,
}

/// One span of a card.
#[derive(Template)]
#[template(path = "card/span.html")]
pub struct SpanPage {
    pub title: String,
    pub href: String,
    pub generic: bool,
    pub stand: String,
    pub name: String,
    pub foot: String,
    pub head: String,
    pub length: String,
    pub defs: String,
    pub drawing: String,
    pub gaps: Vec<Figures>,
    pub stretches: Vec<Figures>,
    pub said: Vec<String>,
    pub neighbours: Vec<Neighbour>,
    pub fitted: bool,
    pub shown: Shown,
    /// Where a finding on it is recorded; nowhere on a body style.
    pub record: Option<String>,
}

impl SpanPage {
    pub fn of(reading: &Reading, id: &str) -> Result<Self, AppError> {
        let span = reading.zones.spans.iter().find(|s| s.id == id);
        let span = span.ok_or(AppError::NotFound("span of this body style"))?;
        Ok(Self {
            title: reading.title(),
            href: reading.link(""),
            generic: reading.is_generic(),
            stand: reading
                .stand
                .as_ref()
                .map_or("Body style only".to_owned(), |s| {
                    format!(
                        "Revision {} · {} · {}",
                        s.revision,
                        say::day(s.date),
                        s.review
                    )
                }),
            name: span.name.to_string(),
            foot: span.foot.to_string(),
            head: span.head.to_string(),
            length: both(span.length_mm, Rounding::Nearest),
            defs: svg::inline_defs(),
            drawing: drawing::ruler(reading, span),
            gaps: gaps(span),
            stretches: stretches(span),
            said: said_of(reading, span),
            neighbours: neighbours(reading, span),
            fitted: reading.body.fitted,
            shown: Shown::of(reading, &format!("/spans/{id}")),
            record: (!reading.is_generic())
                .then(|| format!("{}/findings/new?span={id}", reading.subject.href())),
        })
    }
}

impl Figures {
    fn new(word: &'static str, mark: &'static str, range: Range, length_mm: f64) -> Self {
        let head = range.from_head(length_mm);
        let figures = |range: Range| match first() {
            First::Mm => [range.mm(), format!("{} in", range.inches())],
            First::Inches => [range.inches(), format!("{} mm", range.mm())],
        };
        Self {
            word,
            mark,
            foot: figures(range),
            head: figures(head),
        }
    }
}

fn gaps(span: &SpanZones) -> Vec<Figures> {
    let one = |g: &Gap| {
        Figures::new(
            gap_word(g.class),
            "gap",
            Range::inward(g.from_mm, g.to_mm),
            span.length_mm,
        )
    };
    span.gaps.iter().map(one).collect()
}

/// Stretches as the drawing names them, neighbours of one class joined.
fn stretches(span: &SpanZones) -> Vec<Figures> {
    let mut runs: Vec<(Class, f64, f64)> = Vec::new();
    for s in &span.stretches {
        match runs.last_mut() {
            Some(last) if last.0 == s.class => last.2 = s.to_mm,
            _ => runs.push((s.class, s.from_mm, s.to_mm)),
        }
    }
    (0..runs.len())
        .map(|i| {
            let (class, from_mm, to_mm) = runs[i];
            let below = i.checked_sub(1).map(|j| runs[j].0);
            let above = runs.get(i + 1).map(|r| r.0);
            let range = Range {
                from_mm,
                to_mm,
                from_rounds: figures::boundary(below.unwrap_or(class), class),
                to_rounds: figures::boundary(class, above.unwrap_or(class)),
            };
            Figures::new(figures::word(class), class.word(), range, span.length_mm)
        })
        .collect()
}

fn neighbours(reading: &Reading, here: &SpanZones) -> Vec<Neighbour> {
    let same_side = ruler::of_side(reading, here.side);
    let mut in_order: Vec<&SpanZones> = same_side;
    in_order.sort_by_key(|s| reading.zones.spans.iter().position(|t| t.id == s.id));
    in_order
        .into_iter()
        .map(|s| Neighbour {
            href: reading.link(&format!("/spans/{}", s.id)),
            name: s.name.to_string(),
            here: s.id == here.id,
        })
        .collect()
}

async fn answer(
    state: AppState,
    subject: Subject,
    (span, query): (String, Vec<(String, String)>),
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let page = (format!("span {span}"), asked_variant(&query)?);
    let make = move |reading: &Reading| Kept::page(&SpanPage::of(reading, &span)?);
    subject.answer(&state, &asked, page, make).await
}

/// `GET /cards/{id}/spans/{span}`
pub async fn show_card_span(
    state: AppState,
    Path((id, span)): Path<(String, String)>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), (span, query), asked).await
}

/// `GET /body-styles/{id}/spans/{span}`
pub async fn show_style_span(
    state: AppState,
    Path((id, span)): Path<(String, String)>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, (span, query), asked).await
}
