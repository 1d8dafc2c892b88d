//! What was measured on the car. The drawing follows before anything is saved,
//! and so does what it does to the no-cut stretches: stations lie on the
//! fitted body.

pub mod read;

use crate::domain::body::{Measured, fit};
use crate::domain::card::Card;
use crate::domain::units::{Unit, length};
use crate::sketch::{self, View};
use crate::store::{CardDetails, Revision, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::findings::{Seeing, ask_if_shrinking};
use crate::web::form::{Choice, Field};
use crate::web::no_cut_table::{self, ChangeRow};
use crate::web::own_card::{CardHead, own_card, zones_of};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::OffsetDateTime;

const UNIT: Asked<'static> = Asked::new("unit", "Figures in");
/// Whoever measures looks at what it moves; nobody else is asked for.
const SEEING: Seeing = Seeing { alone: false };
const FINDINGS: Asked<'static> = Asked::new("length_mm", "Findings on this card");

#[derive(Template, WebTemplate)]
#[template(path = "measurements/measurements.html")]
struct MeasurementsPage {
    head: CardHead,
    typed: Typed,
    overall: Vec<OverallRow>,
    landmarks: Vec<LandmarkRow>,
    preview: Option<Preview>,
    /// The tick by which a member says they saw what the figures take away.
    tick: Option<&'static str>,
    /// Somebody saved another version: what it says of each measurement.
    conflict: Option<Vec<(String, String, String)>>,
}

struct OverallRow {
    label: &'static str,
    hint: String,
    field: Field,
}

struct LandmarkRow {
    name: String,
    axes: [Field; 3],
    typed: bool,
}

/// The car as it would be.
struct Preview {
    defs: String,
    drawings: Vec<String>,
    changes: Vec<ChangeRow>,
}

/// Which unit the page is opened in.
#[derive(Debug, Deserialize)]
pub struct UnitQuery {
    unit: Option<String>,
}

/// `GET /cards/{id}/measurements`
pub async fn edit_measurements(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Query<UnitQuery>,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let unit = query.unit.as_deref().and_then(Unit::from_word);
    let unit = unit.unwrap_or(figures::first().unit());
    let mut typed = read::filled(&stored.card.measured, unit);
    typed.put(UNIT.name, unit.word());
    typed.put("revision", stored.revision.to_string());
    let preview = preview(&stored, &stored.card).ok();
    Ok(page(&stored, typed, unit, preview).into_response())
}

/// `POST /cards/{id}/measurements`: shows what was typed on the car, or saves.
pub async fn update_measurements(
    state: AppState,
    Path(id): Path<String>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let unit = typed.word(UNIT, Unit::from_word).unwrap_or(Unit::Mm);
    let Some((measured, preview)) = fitted(&stored, &mut typed, unit) else {
        let status = typed.status();
        return Ok((status, page(&stored, typed, unit, None)).into_response());
    };
    let asked = typed.chosen("act", "preview");
    if !asked {
        ask_if_shrinking(&mut typed, &preview.changes, SEEING);
    }
    if asked || !typed.is_valid() {
        let status = typed.status();
        return Ok((status, page(&stored, typed, unit, Some(preview))).into_response());
    }
    let details = CardDetails {
        measured,
        ..CardDetails::from(&stored.card)
    };
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    let now = OffsetDateTime::now_utc();
    let saved = state
        .store
        .update_details(&state.actor, &stored.id, expected, &details, now)
        .await;
    match saved {
        Ok(Some(_)) => Ok(Redirect::to(&format!("/cards/{id}")).into_response()),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. }) => show_both(&state, &id, typed, unit).await,
        Err(other) => Err(other.into()),
    }
}

/// What was typed, on the car, or its faults beside their fields.
fn fitted(stored: &StoredCard, typed: &mut Typed, unit: Unit) -> Option<(Measured, Preview)> {
    let style = CardHead::of(stored).style;
    let measured = read::read_measured(typed, style, unit)?;
    if let Err(misfits) = fit(style, &measured) {
        read::refuse_misfits(typed, style, &misfits);
        return None;
    }
    let changed = Card {
        measured: measured.clone(),
        ..stored.card.clone()
    };
    match preview(stored, &changed) {
        Ok(preview) => Some((measured, preview)),
        Err(error) => {
            typed.refuse(FINDINGS, error.to_string());
            None
        }
    }
}

fn preview(stored: &StoredCard, changed: &Card) -> Result<Preview, AppError> {
    let head = CardHead::of(stored);
    let body = fit(head.style, &changed.measured)
        .map_err(|misfits| AppError::CannotCompute(misfits.to_string()))?;
    let after = zones_of(changed)?;
    let changes = zones_of(&stored.card).map(|before| no_cut_table::rows(&before, &after));
    let options = head.on_a_drawing(body.fitted);
    let drawn = [View::Left, View::Top].map(|view| {
        let scene = sketch::draw(&after, &body, view, &options);
        sketch::svg::write_inline(&scene)
    });
    Ok(Preview {
        defs: sketch::svg::inline_defs(),
        drawings: drawn.into(),
        changes: changes.unwrap_or_default(),
    })
}

async fn show_both(
    state: &AppState,
    id: &str,
    mut typed: Typed,
    unit: Unit,
) -> Result<Response, AppError> {
    let stored = own_card(state, id).await?;
    typed.put("revision", stored.revision.to_string());
    let saved = read::filled(&stored.card.measured, unit);
    let mut page = page(&stored, typed, unit, None);
    let overall = page.overall.iter().map(|r| (r.label.to_owned(), &r.field));
    let landmarks = page.landmarks.iter().flat_map(|row| {
        let axes = row.axes.iter().zip(read::AXES);
        axes.map(|(field, axis)| (format!("{}, {axis}", row.name), field))
    });
    let differ = overall
        .chain(landmarks)
        .filter(|(_, field)| field.value.trim() != saved.value(&field.name))
        .map(|(label, field)| {
            (
                label,
                field.value.clone(),
                saved.value(&field.name).to_owned(),
            )
        })
        .collect();
    page.conflict = Some(differ);
    Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
}

fn page(
    stored: &StoredCard,
    typed: Typed,
    unit: Unit,
    preview: Option<Preview>,
) -> MeasurementsPage {
    let head = CardHead::of(stored);
    let of = head.style.dimensions;
    let overall = [
        (read::LENGTH, of.length_mm),
        (read::WHEELBASE, of.wheelbase_mm),
        (read::WIDTH, of.width_mm),
        (read::HEIGHT, of.height_mm),
    ];
    let overall_row = |(asked, mm): (Asked<'static>, f64)| OverallRow {
        label: asked.label,
        hint: format!(
            "Not measured: {} of the body style is used.",
            length(mm, unit)
        ),
        field: typed.field(asked.name),
    };
    let landmark_row = |id: &str, name: &str| {
        let axes = [0, 1, 2].map(|axis| typed.field(&read::landmark_field(id, axis)));
        LandmarkRow {
            name: name.to_owned(),
            typed: axes
                .iter()
                .any(|f| !f.value.is_empty() || f.error.is_some()),
            axes,
        }
    };
    let shrinks = preview
        .as_ref()
        .is_some_and(|p| p.changes.iter().any(|change| change.shrinks));
    MeasurementsPage {
        overall: overall.into_iter().map(overall_row).collect(),
        landmarks: read::asked_landmarks(head.style, &stored.card.measured)
            .map(|l| landmark_row(&l.id, &l.name))
            .collect(),
        head,
        typed,
        tick: shrinks.then(|| SEEING.tick()),
        preview,
        conflict: None,
    }
}

/// Units to choose from.
pub fn unit_choices() -> Vec<Choice> {
    let choice = |u: &Unit| Choice::new(u.word(), u.word());
    Unit::ALL.iter().map(choice).collect()
}
