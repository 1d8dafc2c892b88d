//! `/cards/{id}/sketch/{view}` and `/cards/{id}/sketch.svg`, and the same of a
//! body style: one drawing, turned and flipped to how the car lies.

use super::{Wanted, policy, view, view_name};
use crate::domain::annotation::Annotation;
use crate::domain::vehicle::Variant;
use crate::sketch::scene::{Axis, Scene};
use crate::sketch::{Turn, View, svg};
use crate::store::CardId;
use crate::web::error::AppError;
use crate::web::notes::words as note_words;
use crate::web::page_cache::Kept;
use crate::web::reading::{Reading, Subject};
use crate::web::state::AppState;
use crate::web::variant::{Pairs, Shown, asked_variant, cannot_read};
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::HeaderMap;
use axum::http::header;
use axum::response::Response;

/// One way to look at the same car.
pub struct Switch {
    pub href: String,
    pub name: String,
    pub here: bool,
}

/// A span to record a finding on.
pub struct SpanRow {
    pub href: String,
    pub name: String,
}

/// A drawing on a page of its own.
#[derive(Template)]
#[template(path = "sketch/sketch.html")]
pub struct SketchPage {
    pub title: String,
    pub href: String,
    pub name: &'static str,
    pub generic: bool,
    /// The revision drawn and whether it was reviewed; none of a body style.
    pub stand: Option<String>,
    pub views: Vec<Switch>,
    pub turns: Vec<Switch>,
    /// Notes of the card that this drawing can show, and the switch to the
    /// drawing with or without them.
    pub notes: Vec<Note>,
    pub notes_switch: Option<Switch>,
    /// Where a note is written on this picture; none on a frame, which is none.
    pub new_note: Option<String>,
    pub defs: String,
    pub drawing: String,
    /// The spans it shows, where findings on this card can be recorded.
    pub spans: Vec<SpanRow>,
    pub shown: Shown,
}

impl SketchPage {
    fn of(reading: &Reading, w: Wanted) -> Self {
        let is_frame = matches!(w.view, View::FrameLeft | View::FrameRight);
        let address = |view: View, turn: Turn, flip: bool| {
            sketch_href(
                reading,
                Wanted {
                    view,
                    turn,
                    flip,
                    ..w
                },
            )
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
        let links = reading.link("/spans/{span}");
        let scene = view(reading, w, Some(&links));
        Self {
            title: reading.title(),
            name: view_name(w.view),
            generic: reading.is_generic(),
            stand: reading
                .stand
                .as_ref()
                .map(|s| format!("Revision {} · {}", s.revision, s.review)),
            views: views.collect(),
            turns: if is_frame {
                Vec::new()
            } else {
                turned.chain([flipped]).collect()
            },
            defs: svg::inline_defs(),
            drawing: svg::write_inline(&scene),
            spans: spans(reading, &scene),
            notes: notes(reading, w),
            notes_switch: notes_switch(reading, w),
            new_note: new_note(reading, w.view),
            href: reading.link(""),
            shown: Shown::of(reading, &format!("/sketch/{}", w.view)),
        }
    }
}

/// A note of the card, as it stands beside the drawing.
pub struct Note {
    pub href: String,
    pub id: String,
    pub text: String,
    pub about: String,
}

fn sketch_href(reading: &Reading, w: Wanted) -> String {
    let flip = if w.flip { "yes" } else { "no" };
    let notes = if w.notes { "" } else { "&notes=hide" };
    reading.link(&format!(
        "/sketch/{}?turn={}&flip={flip}{notes}",
        w.view, w.turn
    ))
}

/// Those that are drawn on any view: what one shows is tagged there.
fn notes(reading: &Reading, w: Wanted) -> Vec<Note> {
    let shown = reading.card.annotations.iter().filter(|a| a.shows());
    let shown = shown.filter(|_| w.notes);
    let row = |a: &Annotation| Note {
        href: format!("{}/notes/{}", reading.subject.href(), a.note.id),
        id: a.note.id.clone(),
        text: a.note.text.clone(),
        about: format!(
            "{} · {}",
            note_words::about(&a.target, &reading.card),
            note_words::signed(&a.note)
        ),
    };
    shown.map(row).collect()
}

fn notes_switch(reading: &Reading, w: Wanted) -> Option<Switch> {
    let any = reading.card.annotations.iter().any(Annotation::shows);
    any.then(|| Switch {
        href: sketch_href(
            reading,
            Wanted {
                notes: !w.notes,
                ..w
            },
        ),
        name: match w.notes {
            true => "Hide the notes".to_owned(),
            false => "Show the notes".to_owned(),
        },
        here: false,
    })
}

fn new_note(reading: &Reading, view: View) -> Option<String> {
    let picture = match view {
        View::FrameLeft | View::FrameRight => return None,
        view => view.word(),
    };
    let href = reading.subject.href();
    let below = format!("{href}/notes/new?about=place&view={picture}");
    (!reading.is_generic()).then_some(below)
}

/// None on a body style, of which nothing is recorded.
fn spans(reading: &Reading, scene: &Scene) -> Vec<SpanRow> {
    if reading.is_generic() {
        return Vec::new();
    }
    let href = reading.subject.href();
    let row = |axis: &Axis| SpanRow {
        href: format!("{href}/findings/new?span={}", axis.span),
        name: axis.name.clone(),
    };
    scene.axes().map(row).collect()
}

async fn page(
    state: AppState,
    subject: Subject,
    (view, mut query): (String, Vec<(String, String)>),
    asked: HeaderMap,
) -> Result<Response, AppError> {
    query.retain(|(name, _)| name != "view");
    query.push(("view".to_owned(), view));
    let w = Wanted::of(&query).map_err(|errors| cannot_read(&errors))?;
    let named = (w.named("sketch"), asked_variant(&query)?);
    let make = move |reading: &Reading| Kept::page(&SketchPage::of(reading, w));
    subject.answer(&state, &asked, named, make).await
}

/// One drawing as a file of its own, for a page and for the API.
pub async fn alone(
    state: &AppState,
    subject: Subject,
    (w, variant): (Wanted, Variant),
    asked: &HeaderMap,
) -> Result<Response, AppError> {
    let make = move |reading: &Reading| {
        let scene = view(reading, w, None);
        Ok(Kept::svg(&svg::write(&scene, w.look)))
    };
    let named = (w.named("drawing"), variant);
    let mut response = subject.answer(state, asked, named, make).await?;
    // A drawing that stands alone carries its style sheet inside, and no script.
    response
        .headers_mut()
        .insert(header::CONTENT_SECURITY_POLICY, policy(w.look));
    Ok(response)
}

async fn drawing(
    state: AppState,
    subject: Subject,
    query: &[(String, String)],
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let w = Wanted::of(query).map_err(|errors| cannot_read(&errors))?;
    alone(&state, subject, (w, asked_variant(query)?), &asked).await
}

/// `GET /cards/{id}/sketch/{view}`
pub async fn show_card_sketch(
    state: AppState,
    Path((id, view)): Path<(String, String)>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let subject = Subject::Card(CardId::new(id));
    page(state, subject, (view, query), asked).await
}

/// `GET /body-styles/{id}/sketch/{view}`
pub async fn show_style_sketch(
    state: AppState,
    Path((id, view)): Path<(String, String)>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    page(state, Subject::style(&id)?, (view, query), asked).await
}

/// `GET /cards/{id}/sketch.svg`
pub async fn show_card_drawing(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    drawing(state, Subject::Card(CardId::new(id)), &query, asked).await
}

/// `GET /body-styles/{id}/sketch.svg`
pub async fn show_style_drawing(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    drawing(state, Subject::style(&id)?, &query, asked).await
}
