//! One finding entered, or corrected: the look, the statement, what it would
//! do, then saved.

use super::beside::WHERE;
use super::entry_page::{EntryPage, Preview};
use super::session::{Session, fill_session, read_session};
use super::{Seeing, ask_if_shrinking, body_of, effect, finding_of, read};
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::decision::corrects_at_once;
use crate::domain::finding::{Finding, Report, Status};
use crate::domain::units::Unit;
use crate::store::{Revision, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::findings::number::Numbers;
use crate::web::own_card::{Footing, card_to_add_to, latest_day};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::OffsetDateTime;

const NOTE: Asked<'static> = Asked::new("note", "Note");
const REASON: Asked<'static> = Asked::new("reason", "Why it is corrected");

/// Where the finding was touched.
#[derive(Debug, Deserialize)]
pub struct NewFindingQuery {
    span: Option<String>,
    from: Option<String>,
    to: Option<String>,
    what: Option<String>,
    kind: Option<String>,
    #[serde(rename = "where")]
    where_: Option<String>,
    /// A finding to be checked on one's own car: what it states is filled in.
    check: Option<String>,
}

/// `GET /cards/{id}/findings/new?span=…&from=…&to=…`
pub async fn new_finding(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Query<NewFindingQuery>,
) -> Result<Response, AppError> {
    let (stored, footing) = card_to_add_to(&state, &id).await?;
    let body = body_of(&stored)?;
    let mut typed = Typed::default();
    fill_new(&mut typed, &state, &stored);
    if let Some(checked) = &query.check {
        let checked = finding_of(&stored, checked)?;
        read::fill_report(&mut typed, &checked.report, &body, figures::first().unit());
    }
    let given = [
        (read::SPAN, query.span),
        (read::FROM, query.from),
        (read::TO, query.to),
        (read::WHAT, query.what),
        (read::KIND, query.kind),
        (WHERE, query.where_),
    ];
    for (asked, value) in given {
        if let Some(value) = value {
            typed.put(asked.name, value);
        }
    }
    Ok(EntryPage::new((&stored, footing), &body, typed, None).into_response())
}

/// `POST /cards/{id}/findings/new`
pub async fn create_finding(
    state: AppState,
    Path(id): Path<String>,
    typed: Typed,
) -> Result<Response, AppError> {
    let card = card_to_add_to(&state, &id).await?;
    enter(&state, card, typed, None).await
}

/// `GET /cards/{id}/findings/{finding}/correct`
pub async fn correct_finding(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
) -> Result<Response, AppError> {
    let (stored, footing) = card_to_add_to(&state, &id).await?;
    let body = body_of(&stored)?;
    let old = finding_of(&stored, &finding)?;
    let mut typed = Typed::default();
    let unit = match footing {
        // A neighbour looked at a car of its own: it says who, when and which.
        Footing::Partner => {
            fill_new(&mut typed, &state, &stored);
            figures::first().unit()
        }
        Footing::Own | Footing::Reader => {
            fill_session(&mut typed, &session_of(old));
            typed.put(NOTE.name, old.note.clone().unwrap_or_default());
            Unit::Mm
        }
    };
    read::fill_report(&mut typed, &old.report, &body, unit);
    typed.put("revision", stored.revision.to_string());
    Ok(EntryPage::new((&stored, footing), &body, typed, Some(old)).into_response())
}

/// `POST /cards/{id}/findings/{finding}/correct`
pub async fn update_finding(
    state: AppState,
    Path((id, finding)): Path<(String, String)>,
    typed: Typed,
) -> Result<Response, AppError> {
    let card = card_to_add_to(&state, &id).await?;
    let old = finding_of(&card.0, &finding)?.clone();
    enter(&state, card, typed, Some(old)).await
}

async fn enter(
    state: &AppState,
    (stored, footing): (StoredCard, Footing),
    mut typed: Typed,
    old: Option<Finding>,
) -> Result<Response, AppError> {
    let body = body_of(&stored)?;
    let card = (&stored, footing);
    let Some(new) = read_finding(&mut typed, card, &body, old.as_ref()) else {
        return Ok(EntryPage::again(card, &body, typed, old.as_ref()));
    };
    let after = card_with(&stored.card, &new, old.as_ref());
    let rows = match effect(&stored.card, &after) {
        Ok(rows) => rows,
        Err(error) => {
            typed.refuse(read::FROM, error.to_string());
            return Ok(EntryPage::again(card, &body, typed, old.as_ref()));
        }
    };
    let deciding = state.store.deciding(&state.actor, &stored.id).await?;
    let by = deciding.decider();
    let shrinks = rows.iter().any(|r| r.shrinks);
    let waits = old.is_some() && !corrects_at_once(shrinks, by);
    let seeing = Seeing { alone: by.alone };
    let asked = typed.chosen("act", "preview");
    if !asked && !waits {
        ask_if_shrinking(&mut typed, &rows, seeing);
    }
    if asked || !typed.is_valid() {
        let mut page = EntryPage::new(card, &body, typed, old.as_ref());
        let preview = page.previewed(&stored.card, &after, rows)?;
        page.preview = Some(Preview {
            tick: (shrinks && !waits).then(|| seeing.tick()),
            waits,
            ..preview
        });
        return Ok((page.typed.status(), page).into_response());
    }
    save(state, (stored, footing), typed, new, old).await
}

async fn save(
    state: &AppState,
    (stored, footing): (StoredCard, Footing),
    typed: Typed,
    new: Finding,
    old: Option<Finding>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let (store, actor, card) = (&state.store, &state.actor, &stored.id);
    let saved = match &old {
        _ if footing == Footing::Partner => store.offer_findings(actor, card, &[new], now).await,
        None => store.add_findings(actor, card, None, &[new], now).await,
        Some(old) => {
            let expected: Revision = typed.value("revision").parse().unwrap_or(0);
            store
                .correct_finding(actor, card, Some(expected), &old.id, new, now)
                .await
        }
    };
    match saved {
        Ok(Some(_)) => Ok(Redirect::to(&format!("/cards/{card}")).into_response()),
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. } | StoreError::StatusFixed { .. }) => {
            show_moved_on(state, card.as_str(), typed, old).await
        }
        Err(other) => Err(other.into()),
    }
}

/// Somebody changed the card meanwhile: what was typed stays, the page shows
/// where the card is now.
async fn show_moved_on(
    state: &AppState,
    id: &str,
    mut typed: Typed,
    old: Option<Finding>,
) -> Result<Response, AppError> {
    let (stored, footing) = card_to_add_to(state, id).await?;
    typed.put("revision", stored.revision.to_string());
    let body = body_of(&stored)?;
    let old = match &old {
        Some(old) => Some(finding_of(&stored, &old.id)?),
        None => None,
    };
    let mut page = EntryPage::new((&stored, footing), &body, typed, old);
    page.conflict = true;
    Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
}

/// The finding as typed, with blank ids for the store to fill in.
fn read_finding(
    typed: &mut Typed,
    (stored, footing): (&StoredCard, Footing),
    body: &FittedBody,
    old: Option<&Finding>,
) -> Option<Finding> {
    let session = read_session(typed, latest_day(OffsetDateTime::now_utc()));
    let unit = Unit::from_word(typed.value("unit")).unwrap_or(Unit::Mm);
    let known: Vec<&str> = stored.card.findings.iter().filter_map(part_of).collect();
    let report = read::read_report(typed, body, unit, "", &known);
    let bare = matches!(report, Some(Report::Bare(_)));
    if bare && session.as_ref().is_some_and(|s| !s.may_state_bare()) {
        typed.refuse(read::WHAT, crate::web::strip::draft::BARE_NEEDS_A_LOOK);
    }
    if let (Some(old), Some(report)) = (old, &report) {
        read::refuse_unlike(typed, report, &old.report);
    }
    let note = typed.text(NOTE, 4_000);
    let reason = typed.text(REASON, 4_000);
    if old.is_some() && reason.is_none() {
        typed.refuse(REASON, "say why, for whoever reads the record");
    }
    let (session, mut report) = (session?, report?);
    if let (Report::Component(new), Some(Report::Component(old))) =
        (&mut report, old.map(|f| &f.report))
    {
        read::keep_unasked(new, old);
    }
    typed.is_valid().then(|| Finding {
        id: String::new(),
        report,
        source: session.source,
        within_mm: session.within_mm,
        observed_on: session.observed_on,
        by: Some(session.by.clone()),
        car: session.car.clone(),
        observed: session.observed(),
        status: match bare || footing == Footing::Partner {
            true => Status::Offered,
            false => Status::Accepted,
        },
        note,
        supersedes: old.map(|f| f.id.clone()),
        reason,
    })
}

fn part_of(finding: &Finding) -> Option<&str> {
    match &finding.report {
        Report::Component(part) => Some(&part.component),
        Report::Bare(_) => None,
    }
}

/// The card as it would be. An offered correction does not yet take the place
/// of what it corrects.
fn card_with(card: &Card, new: &Finding, old: Option<&Finding>) -> Card {
    let mut numbers = Numbers::after(&card.findings);
    let mut new = new.clone();
    new.id = numbers.finding();
    if let Report::Component(part) = &mut new.report
        && part.component.is_empty()
    {
        part.component = numbers.component();
    }
    let mut after = card.clone();
    if let Some(old) = old.filter(|_| new.status == Status::Accepted) {
        let corrected = after.findings.iter_mut().filter(|f| f.id == old.id);
        corrected.for_each(|f| f.status = Status::Superseded);
    }
    after.findings.push(new);
    after
}

fn fill_new(typed: &mut Typed, state: &AppState, stored: &StoredCard) {
    let vehicle = &stored.card.vehicle;
    let given = [
        ("by", state.actor.member_name.clone()),
        ("observed_on", OffsetDateTime::now_utc().date().to_string()),
        ("source", "measured".to_owned()),
        ("unit", figures::first().unit().to_string()),
        ("end", "foot".to_owned()),
        ("what", "part".to_owned()),
        ("where", "on".to_owned()),
        ("drive", vehicle.drive.map_or("", |d| d.word()).to_owned()),
        ("region", vehicle.region.clone().unwrap_or_default()),
    ];
    for (name, value) in given {
        typed.put(name, value);
    }
}

/// The look an older finding came from.
fn session_of(finding: &Finding) -> Session {
    Session {
        car: finding.car.clone(),
        by: finding.by.clone().unwrap_or_default(),
        observed_on: finding.observed_on,
        source: finding.source,
        within_mm: finding.within_mm,
        unit: Unit::Mm,
        year: finding.observed.year,
        drive: finding.observed.drive,
        wheel: finding.observed.wheel,
        roof: finding.observed.roof,
        region: finding.observed.region.clone(),
    }
}
