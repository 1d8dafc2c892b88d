//! `/cards/{id}` and `/body-styles/{id}`.

use super::{First, PartRow, RulerRow, UnseenRow, parts, ruler, unseen};
use crate::domain::body::SpanGroup;
use crate::domain::finding::{Report, Status};
use crate::domain::frame::Side;
use crate::domain::vehicle::Variant;
use crate::sketch::figures::Range;
use crate::sketch::svg;
use crate::store::CardId;
use crate::web::drawing;
use crate::web::error::AppError;
use crate::web::history::RevisionRow;
use crate::web::page_cache::Kept;
use crate::web::reading::{Reading, Stand, Subject};
use crate::web::say;
use crate::web::state::AppState;
use crate::web::variant::{Pairs, Shown, VariantForm, value_of, variant_of};
use crate::web::{figures, leaving};
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{Html, IntoResponse, Response};

/// A card as a crew reads it.
#[derive(Template)]
#[template(path = "card/card.html")]
pub struct CardPage {
    pub title: String,
    pub href: String,
    pub facts: String,
    /// Which variant is shown, and the form that asks for another.
    pub shown: Shown,
    pub variant: VariantForm,
    /// `None`: the generic card of a body style.
    pub can_record: bool,
    /// Notes beside it that show.
    pub notes: usize,
    pub stand: Option<StandLine>,
    pub identify: Option<String>,
    pub shape: String,
    pub first: First,
    /// The side shown, and the one to switch to, in words.
    pub side: &'static str,
    pub other_side: &'static str,
    pub defs: String,
    pub frame: String,
    pub rulers: Vec<RulerRow>,
    pub cross: Vec<RulerRow>,
    pub parts: Vec<PartRow>,
    pub unseen: Vec<UnseenRow>,
    pub warnings: Vec<String>,
    pub expectations: Vec<(String, String)>,
    pub bare: Vec<(String, String)>,
    pub set_aside: Vec<(String, String)>,
    pub policy: String,
    /// The newest revisions; the rest on the history page.
    pub history: Vec<RevisionRow>,
}

/// Where the card stands, in words.
#[derive(Debug, Clone)]
pub struct StandLine {
    pub revision: i64,
    pub date: String,
    pub department: String,
    pub cars: String,
    pub review: String,
}

impl CardPage {
    pub fn of(reading: &Reading, side: Side) -> Self {
        let (name, other) = match side {
            Side::Right => ("right", "left"),
            _ => ("left", "right"),
        };
        let drawn = |s: &crate::domain::zone::SpanZones| s.group != SpanGroup::Along;
        let own = ruler::of_side(reading, side);
        let centre = ruler::of_side(reading, Side::Centre);
        let (rulers, along): (Vec<_>, Vec<_>) = own.into_iter().partition(|s| drawn(s));
        let rows = |spans: Vec<_>, drawn| {
            spans
                .into_iter()
                .map(|s| RulerRow::of(reading, s, drawn))
                .collect::<Vec<_>>()
        };
        Self {
            title: reading.title(),
            href: reading.subject.href(),
            facts: say::variant_facts(reading.vehicle()).join(" · "),
            shown: Shown::of(reading, &format!("?side={name}")),
            variant: VariantForm::default(),
            can_record: reading.can_record,
            notes: reading
                .card
                .annotations
                .iter()
                .filter(|a| a.shows())
                .count(),
            stand: reading.stand.as_ref().map(|s| StandLine::of(reading, s)),
            identify: reading.card.identify.clone(),
            shape: reading.body.style.shape.clone(),
            first: First::of(reading),
            side: name,
            other_side: other,
            defs: svg::inline_defs(),
            frame: drawing::frame(reading, side),
            rulers: rows(rulers, true),
            cross: rows(along.into_iter().chain(centre).collect(), false),
            parts: parts(reading),
            unseen: unseen(reading),
            warnings: reading
                .zones
                .warnings
                .iter()
                .map(|w| w.text.clone())
                .collect(),
            expectations: reading
                .zones
                .expectations
                .iter()
                .map(|e| (e.text.to_string(), e.source.to_string()))
                .collect(),
            bare: bare(reading),
            set_aside: set_aside(reading),
            policy: policy(reading),
            history: reading
                .revisions
                .iter()
                .take(3)
                .map(RevisionRow::of)
                .collect(),
        }
    }
}

impl CardPage {
    /// With what was asked for in the form.
    fn asked_by(self, variant: VariantForm) -> Self {
        Self { variant, ..self }
    }
}

impl StandLine {
    fn of(reading: &Reading, stand: &Stand) -> Self {
        let cars = reading.cars().len();
        Self {
            revision: stand.revision,
            date: say::day(stand.date),
            department: stand.department_name.clone(),
            review: stand.review.clone(),
            cars: match cars {
                0 => "no car looked at".to_owned(),
                n => format!("{} looked at", say::count(n, "car", "cars")),
            },
        }
    }
}

/// Every acting bare finding: where, how far it looked, who.
fn bare(reading: &Reading) -> Vec<(String, String)> {
    let acting = reading.card.findings.iter().filter(|f| f.acts());
    acting
        .filter_map(|f| match &f.report {
            Report::Bare(b) => {
                let offered = if f.status == Status::Offered {
                    ", not yet confirmed: no effect"
                } else {
                    ""
                };
                let name = reading
                    .body
                    .span(&b.span)
                    .map_or(b.span.as_str(), |s| s.name.as_str());
                let text = format!(
                    "{name} {}, {}, {}{offered}",
                    figures::short_range(Range::inward(b.from_mm, b.to_mm)),
                    b.depth,
                    say::evidence(f)
                );
                Some((f.id.clone(), text))
            }
            Report::Component(_) => None,
        })
        .collect()
}

/// Findings that no longer act, with why.
fn set_aside(reading: &Reading) -> Vec<(String, String)> {
    let resting = reading.card.findings.iter().filter(|f| !f.acts());
    resting
        .map(|f| {
            let reason = f.reason.as_deref().unwrap_or("no reason given");
            (
                f.id.clone(),
                format!("{}, {}: {reason}", f.status, say::evidence(f)),
            )
        })
        .collect()
}

fn policy(reading: &Reading) -> String {
    let p = &reading.zones.policy;
    format!(
        "Coverage {}, blade half-width {:.0} mm, tip reach {:.0} mm, lean {:.0}°, car-to-car {:.0} mm, folded bags {}.",
        p.coverage, p.blade_half_width_mm, p.tip_reach_mm, p.lean_deg, p.car_to_car_mm, p.cushion
    )
}

fn side_of(query: &[(String, String)]) -> Result<Side, AppError> {
    match value_of(query, "side").unwrap_or("left") {
        "left" => Ok(Side::Left),
        "right" => Ok(Side::Right),
        _ => Err(AppError::BadRequest(
            "side: accepted are left, right.".to_owned(),
        )),
    }
}

async fn answer(
    state: AppState,
    subject: Subject,
    query: Vec<(String, String)>,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    let side = side_of(&query)?;
    match variant_of(&query) {
        Ok(variant) => {
            let page = (format!("card {side:?}"), variant);
            let make = move |reading: &Reading| {
                let form = VariantForm::of(&query, &[]);
                Kept::page(&CardPage::of(reading, side).asked_by(form))
            };
            subject.answer(&state, &asked, page, make).await
        }
        Err(errors) => {
            let form = VariantForm::of(&query, &errors);
            show_own(&state, subject, side, form).await
        }
    }
}

/// A variant that cannot be read: the card's own car is shown, with what was
/// typed and what would be accepted.
async fn show_own(
    state: &AppState,
    subject: Subject,
    side: Side,
    form: VariantForm,
) -> Result<Response, AppError> {
    let revision = subject.revision(state).await?;
    let reading = subject.read(state, revision, Variant::default()).await?;
    let first = figures::first();
    let make = move || CardPage::of(&reading, side).asked_by(form).render();
    let made = tokio::task::spawn_blocking(leaving::carried(move || figures::within(first, make)));
    let page = made.await.map_err(|e| AppError::Internal(Box::new(e)))?;
    let page = page.map_err(|e| AppError::Internal(Box::new(e)))?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(page)).into_response())
}

/// `GET /cards/{id}`
pub async fn show_card(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::Card(CardId::new(id)), query, asked).await
}

/// `GET /body-styles/{id}`
pub async fn show_style(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
    asked: HeaderMap,
) -> Result<Response, AppError> {
    answer(state, Subject::style(&id)?, query, asked).await
}
