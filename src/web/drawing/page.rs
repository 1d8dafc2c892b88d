//! `/cards/{id}/sketch/{view}` and `/cards/{id}/sketch.svg`, and the same of a
//! body style: one drawing, turned and flipped to how the car lies.

use super::{view, view_name};
use crate::sketch::{Look, Turn, View, svg};
use crate::store::CardId;
use crate::web::error::AppError;
use crate::web::page_cache::Kept;
use crate::web::reading::{Reading, Subject};
use crate::web::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::http::header::{self, HeaderValue};
use axum::response::Response;
use serde::Deserialize;

/// How a drawing is asked for; what is left out is the car on its wheels.
#[derive(Debug, Default, Deserialize)]
pub struct DrawingQuery {
    view: Option<String>,
    turn: Option<String>,
    flip: Option<String>,
    look: Option<String>,
}

/// A drawing as understood.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    view: View,
    turn: Turn,
    flip: bool,
    look: Look,
}

/// One way to look at the same car.
pub struct Switch {
    pub href: String,
    pub name: String,
    pub here: bool,
}

/// A drawing on a page of its own.
#[derive(Template)]
#[template(path = "sketch/sketch.html")]
pub struct SketchPage {
    pub title: String,
    pub href: String,
    pub name: &'static str,
    pub generic: bool,
    pub views: Vec<Switch>,
    pub turns: Vec<Switch>,
    pub defs: String,
    pub drawing: String,
}

fn wanted(view: Option<&str>, query: &DrawingQuery) -> Result<Wanted, AppError> {
    let bad = |field: &str, words: &[&str]| {
        AppError::BadRequest(format!("{field}: accepted are {}.", words.join(", ")))
    };
    let views: Vec<&str> = View::ALL.iter().map(|v| v.word()).collect();
    let turns: Vec<&str> = Turn::ALL.iter().map(|t| t.word()).collect();
    Ok(Wanted {
        view: View::from_word(view.unwrap_or("frame-left")).ok_or_else(|| bad("view", &views))?,
        turn: Turn::from_word(query.turn.as_deref().unwrap_or("0"))
            .ok_or_else(|| bad("turn", &turns))?,
        flip: match query.flip.as_deref().unwrap_or("no") {
            "no" => false,
            "yes" => true,
            _ => return Err(bad("flip", &["no", "yes"])),
        },
        look: match query.look.as_deref().unwrap_or("light") {
            "light" => Look::Light,
            "dark" => Look::Dark,
            "print" => Look::Print,
            _ => return Err(bad("look", &["light", "dark", "print"])),
        },
    })
}

impl Wanted {
    fn named(self, page: &str) -> String {
        let Self {
            view,
            turn,
            flip,
            look,
        } = self;
        format!("{page} {view} {turn} {flip} {look:?}")
    }
}

impl SketchPage {
    fn of(reading: &Reading, w: Wanted) -> Self {
        let href = reading.subject.href();
        let is_frame = matches!(w.view, View::FrameLeft | View::FrameRight);
        let address = |view: View, turn: Turn, flip: bool| {
            let flip = if flip { "yes" } else { "no" };
            format!("{href}/sketch/{view}?turn={turn}&flip={flip}")
        };
        let views = View::ALL.iter().map(|v| Switch {
            href: address(*v, w.turn, w.flip),
            name: view_name(*v).to_owned(),
            here: *v == w.view,
        });
        let turned = Turn::ALL.iter().map(|t| Switch {
            href: address(w.view, *t, w.flip),
            name: match t {
                Turn::None => "On its wheels".to_owned(),
                other => format!("Turned {other}°"),
            },
            here: *t == w.turn,
        });
        let flipped = Switch {
            href: address(w.view, w.turn, !w.flip),
            name: "Flipped".to_owned(),
            here: w.flip,
        };
        let links = format!("{href}/spans/{{span}}");
        Self {
            title: reading.title(),
            name: view_name(w.view),
            generic: reading.is_generic(),
            views: views.collect(),
            turns: if is_frame {
                Vec::new()
            } else {
                turned.chain([flipped]).collect()
            },
            defs: svg::inline_defs(),
            drawing: svg::write_inline(&view(reading, w.view, w.turn, w.flip, Some(&links))),
            href,
        }
    }
}

async fn page(
    state: AppState,
    subject: Subject,
    view: String,
    query: DrawingQuery,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let w = wanted(Some(&view), &query)?;
    subject
        .answer(&state, &asked, w.named("sketch"), move |reading| {
            Kept::page(&SketchPage::of(reading, w))
        })
        .await
}

async fn alone(
    state: AppState,
    subject: Subject,
    query: DrawingQuery,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let w = wanted(query.view.as_deref(), &query)?;
    let mut response = subject
        .answer(&state, &asked, w.named("drawing"), move |reading| {
            let scene = view(reading, w.view, w.turn, w.flip, None);
            Ok(Kept::svg(&svg::write(&scene, w.look)))
        })
        .await?;
    // A drawing that stands alone carries its style sheet inside, and no script.
    response.headers_mut().insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static("default-src 'none'; style-src 'unsafe-inline'; sandbox"),
    );
    Ok(response)
}

/// `GET /cards/{id}/sketch/{view}`
pub async fn show_card_sketch(
    State(state): State<AppState>,
    Path((id, view)): Path<(String, String)>,
    Query(query): Query<DrawingQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    page(state, Subject::Card(CardId::new(id)), view, query, asked).await
}

/// `GET /body-styles/{id}/sketch/{view}`
pub async fn show_style_sketch(
    State(state): State<AppState>,
    Path((id, view)): Path<(String, String)>,
    Query(query): Query<DrawingQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    page(state, Subject::style(&id)?, view, query, asked).await
}

/// `GET /cards/{id}/sketch.svg`
pub async fn show_card_drawing(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Query<DrawingQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    alone(state, Subject::Card(CardId::new(id)), query, asked).await
}

/// `GET /body-styles/{id}/sketch.svg`
pub async fn show_style_drawing(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Query<DrawingQuery>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    alone(state, Subject::style(&id)?, query, asked).await
}
