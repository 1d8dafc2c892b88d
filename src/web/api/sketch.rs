//! Sketches of a card as SVG and PNG.

use super::answer;
use super::cards::read_card;
use super::problems::{ApiError, ReadProblems};
use super::zones::{Pairs, VariantParams, variant_of};
use crate::contract::{FieldError, Path as FieldPath, zone_errors};
use crate::domain::body::{fit, style};
use crate::domain::zone::{ZoneError, zones_on};
use crate::sketch::png::{self, PngError, WIDTHS};
use crate::sketch::scene::Scene;
use crate::sketch::{Look, Options, Turn, View, draw, svg};
use crate::store::StoredCard;
use crate::web::own_card::CardHead;
use crate::web::{AppError, AppState};
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::Value;
use tokio::sync::Semaphore;
use utoipa::IntoParams;

/// Pictures drawn at once in the whole process: each holds four bytes a pixel.
static RASTERISING: Semaphore = Semaphore::const_new(2);

/// Width of a picture unless asked otherwise, in pixels.
const WIDTH_PX: u32 = 1080;

/// A drawing that stands alone carries its style sheet inside, and no script.
const ALONE: &str = "default-src 'none'; style-src 'unsafe-inline'; sandbox";

/// What is drawn, and how.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct SketchParams {
    /// frame-left (if left out), frame-right, left, right, top, front
    view: Option<String>,
    /// light (if left out), dark, print
    look: Option<String>,
    /// Degrees clockwise, to how the car lies: 0, 90, 180, 270
    turn: Option<String>,
    /// Mirrored after the turn: no, yes
    flip: Option<String>,
}

/// The same with the width of the picture.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "read by the description alone")]
pub struct WidthParams {
    /// Pixels across, 64 to 3200; 1080 if left out
    width: Option<u32>,
}

/// A sketch as understood.
struct Wanted {
    view: View,
    look: Look,
    turn: Turn,
    flip: bool,
    width_px: u32,
}

impl Wanted {
    /// Reads a query; every parameter that cannot be accepted is named.
    fn of(query: &[(String, String)]) -> Result<Self, ApiError> {
        let mut errors = Vec::new();
        let mut choice = |name: &str, words: &[&str]| {
            let (_, given) = query
                .iter()
                .find(|(n, text)| n == name && !text.is_empty())?;
            let found = words.iter().position(|word| word == given);
            if found.is_none() {
                errors.push(refused(name, words.join(", "), given));
            }
            found
        };
        let views: Vec<&str> = View::ALL.iter().map(|view| view.word()).collect();
        let turns: Vec<&str> = Turn::ALL.iter().map(|turn| turn.word()).collect();
        let view = choice("view", &views);
        let looks: Vec<&str> = Look::ALL.iter().map(|look| look.word()).collect();
        let look = choice("look", &looks);
        let turn = choice("turn", &turns);
        let flip = choice("flip", &["no", "yes"]);
        let width = query
            .iter()
            .find(|(name, text)| name == "width" && !text.is_empty());
        let width_px = width.map_or(Some(WIDTH_PX), |(_, text)| {
            text.parse().ok().filter(|width| WIDTHS.contains(width))
        });
        if let (None, Some((_, given))) = (width_px, width) {
            let accepted = format!("pixels from {} to {}", WIDTHS.start(), WIDTHS.end());
            errors.push(refused("width", accepted, given));
        }
        match width_px {
            Some(width_px) if errors.is_empty() => Ok(Self {
                view: view.map_or(View::FrameLeft, |at| View::ALL[at]),
                look: look.map_or(Look::Light, |at| Look::ALL[at]),
                turn: turn.map_or(Turn::None, |at| Turn::ALL[at]),
                flip: flip == Some(1),
                width_px,
            }),
            _ => Err(ApiError::invalid(errors)),
        }
    }
}

fn refused(name: &str, accepted: String, given: &str) -> FieldError {
    let path = FieldPath::document().field(name);
    FieldError::new(
        path,
        "this is not offered here",
        accepted,
        Some(&Value::from(given)),
    )
}

/// A card's side frame or a view of it, as SVG
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/sketch.svg", tag = "zones",
    params(("id" = String, Path, description = "The card's id"), SketchParams, VariantParams),
    responses(
        (status = 200, content_type = "image/svg+xml", body = String),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_svg(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, ApiError> {
    let wanted = Wanted::of(&query)?;
    let stored = read_card(&state, &id).await?;
    if answer::is_known(&asked, stored.revision) {
        return Ok(answer::unchanged(stored.revision));
    }
    let text = svg::write(&scene_of(&stored, &query, &wanted)?, wanted.look);
    let headers = [
        (header::CONTENT_TYPE, "image/svg+xml"),
        (header::CONTENT_SECURITY_POLICY, ALONE),
    ];
    let response = (headers, text).into_response();
    Ok(answer::with_revision(stored.revision, response))
}

/// The same as a picture
#[utoipa::path(
    get, path = "/api/v1/cards/{id}/sketch.png", tag = "zones",
    params(
        ("id" = String, Path, description = "The card's id"),
        SketchParams, WidthParams, VariantParams,
    ),
    responses(
        (status = 200, content_type = "image/png", body = Vec<u8>),
        (status = 304, description = "The asker has this revision"),
        ReadProblems,
    ),
)]
pub async fn show_png(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, ApiError> {
    let wanted = Wanted::of(&query)?;
    let stored = read_card(&state, &id).await?;
    if answer::is_known(&asked, stored.revision) {
        return Ok(answer::unchanged(stored.revision));
    }
    let scene = scene_of(&stored, &query, &wanted)?;
    let Wanted { look, width_px, .. } = wanted;
    let turn = RASTERISING
        .acquire()
        .await
        .expect("the semaphore is never closed");
    let drawn = tokio::task::spawn_blocking(move || {
        // Held until the picture is drawn, even if the asker has gone by then.
        let _turn = turn;
        png::render(&scene, look, width_px)
    });
    let picture = drawn
        .await
        .map_err(|panic| AppError::Internal(panic.into()))?;
    let picture = picture.map_err(|error| match error {
        PngError::Width { given } | PngError::TooLarge { width: given, .. } => {
            let accepted = format!("fewer pixels: {error}");
            ApiError::invalid(vec![refused("width", accepted, &given.to_string())])
        }
        error => AppError::Internal(Box::new(error)).into(),
    })?;
    let kind = [(header::CONTENT_TYPE, "image/png")];
    let response = (StatusCode::OK, kind, picture).into_response();
    Ok(answer::with_revision(stored.revision, response))
}

/// The scene of a stored card, with its day and revision on it.
fn scene_of(
    stored: &StoredCard,
    query: &[(String, String)],
    wanted: &Wanted,
) -> Result<Scene, ApiError> {
    let variant = variant_of(query)?;
    let card = &stored.card;
    let cannot = |error: ZoneError| ApiError::invalid(zone_errors(&error));
    let body = fit(style(card.vehicle.body_style), &card.measured)
        .map_err(|error| cannot(ZoneError::Fit(error)))?;
    let zones = zones_on(&body, card, &variant).map_err(cannot)?;
    let head = CardHead::of(stored);
    let options = Options {
        look: wanted.look,
        turn: wanted.turn,
        flip: wanted.flip,
        ..head.on_a_drawing(body.fitted)
    };
    Ok(draw(&zones, &body, wanted.view, &options))
}
