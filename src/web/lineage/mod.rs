//! A card copied from another department: copying it, what changed at the source
//! since, and taking over what one wants of it.

use crate::contract::archive::{Difference, Part};
use crate::domain::decision::is_bare;
use crate::domain::finding::{Finding, Status};
use crate::domain::role::Deed;
use crate::store::{BesideSource, CardId, Lineage, Revision, StoreError, Take};
use crate::web::archive::brings::{self, NotesBrought, PartRow};
use crate::web::error::AppError;
use crate::web::findings::{Seeing, ask_if_shrinking, body_of, effect, in_words};
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::{CardHead, own_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// Prefix of the ticks: one a finding of the source.
const PICK: &str = "take-";

#[derive(Template, WebTemplate)]
#[template(path = "lineage/source.html")]
struct SourcePage {
    head: CardHead,
    lineage: Lineage,
    /// The source as it is now; none where it is no longer there to be read.
    source: Option<CardHead>,
    rows: Vec<Row>,
    /// What taking over all that is ticked does to the no-cut, as far as it can be
    /// decided.
    changes: Vec<ChangeRow>,
    /// How an officer says they saw what it takes away, where it does.
    seeing: Option<Seeing>,
    parts: Vec<PartRow>,
    remarks: Option<NotesBrought>,
    /// Which of these are taken over.
    take: Take,
    typed: Typed,
    /// Findings that wait for somebody else after what was taken over.
    waiting: Vec<String>,
    conflict: bool,
}

/// One finding that is not the same at the source.
struct Row {
    id: String,
    said: String,
    /// What is different.
    differs: String,
    ticked: bool,
}

/// `POST /cards/{id}/adopt`: a copy in one's own book; the one there is where it
/// was copied before.
pub async fn adopt(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let (store, actor, now) = (&state.store, &state.actor, OffsetDateTime::now_utc());
    let copy = match store.adopt(actor, &CardId::new(id), now).await {
        Ok(Some(copy)) => copy.id.to_string(),
        Ok(None) => return Err(AppError::NotFound("card of another department")),
        Err(StoreError::Duplicate { id }) => id,
        Err(other) => return Err(other.into()),
    };
    Ok(Redirect::to(&format!("/cards/{copy}/source")).into_response())
}

/// `GET /cards/{id}/source`
pub async fn show_source(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let page = SourcePage::new(&state, &id, Typed::default()).await?;
    Ok(page.into_response())
}

/// `POST /cards/{id}/source`
pub async fn take_over(
    state: AppState,
    Path(id): Path<String>,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let page = SourcePage::new(&state, &id, typed.clone()).await?;
    let expected: Revision = typed.value("revision").parse().unwrap_or(0);
    let of_source = page.source.as_ref().map(|s| s.revision.to_string());
    let source_moved_on = of_source.is_some_and(|now| now != typed.value("source_revision"));
    if source_moved_on || page.head.revision != expected {
        let conflict = true;
        let page = SourcePage { conflict, ..page };
        return Ok((StatusCode::PRECONDITION_FAILED, page).into_response());
    }
    let picked = ticked(&page.rows);
    if picked.is_empty() && !page.takes_more() {
        typed.refuse(
            Asked::new("rows", "Findings"),
            "tick what is to be taken over",
        );
    } else if let Some(seeing) = page.seeing {
        ask_if_shrinking(&mut typed, &page.changes, seeing);
    }
    if !typed.is_valid() {
        let page = SourcePage { typed, ..page };
        return Ok((page.typed.status(), page).into_response());
    }
    let now = OffsetDateTime::now_utc();
    let taken = state
        .store
        .take_over(
            &state.actor,
            &stored.id,
            (expected, &picked, &page.take),
            now,
        )
        .await;
    if let Err(error @ (StoreError::Misplaced(_) | StoreError::TooMany { .. })) = &taken {
        typed.refuse(Asked::new("rows", "Findings"), error.to_string());
        let page = SourcePage::new(&state, &id, typed).await?;
        return Ok((page.typed.status(), page).into_response());
    }
    let (status, conflict, waiting) = match taken {
        Ok(Some((_, waiting))) => (StatusCode::OK, false, waiting),
        Ok(None) => return Err(AppError::NotFound("source of this card")),
        Err(StoreError::Conflict { .. }) => (StatusCode::PRECONDITION_FAILED, true, Vec::new()),
        Err(other) => return Err(other.into()),
    };
    if status == StatusCode::OK && waiting.is_empty() {
        return Ok(Redirect::to(&format!("/cards/{id}/source")).into_response());
    }
    let mut page = SourcePage::new(&state, &id, typed).await?;
    (page.conflict, page.waiting) = (conflict, waiting);
    Ok((status, page).into_response())
}

impl SourcePage {
    async fn new(state: &AppState, id: &str, typed: Typed) -> Result<Self, AppError> {
        let stored = own_card(state, id).await?;
        let (store, department) = (&state.store, &state.actor.department);
        let lineage = store.lineage(department, &stored.id).await?;
        let lineage = lineage.ok_or(AppError::NotFound("source of this card"))?;
        let beside = store.beside_source(department, &stored.id).await?;
        let mut page = Self {
            head: CardHead::of(&stored),
            lineage,
            source: beside.as_ref().map(|b| CardHead::of(&b.source)),
            parts: Vec::new(),
            remarks: None,
            take: Take::default(),
            rows: beside.as_ref().map_or_else(|| Ok(Vec::new()), rows)?,
            changes: Vec::new(),
            seeing: None,
            typed,
            waiting: Vec::new(),
            conflict: false,
        };
        page.keep_ticks();
        if let Some(beside) = &beside {
            page.lay_beside(beside);
            let deciding = store.deciding(&state.actor, &stored.id).await?;
            page.changes = shown_effect(beside, &ticked(&page.rows), &page.take.details);
            let shrinks = page.changes.iter().any(|r| r.shrinks);
            let decides = state.actor.roles.may(Deed::Decide);
            let alone = deciding.decider().alone;
            let details = !page.take.details.is_empty();
            page.seeing = (shrinks && (decides || details)).then_some(Seeing { alone });
        }
        Ok(page)
    }

    /// Notes and details that are not the same at the source.
    fn lay_beside(&mut self, beside: &BesideSource) {
        let difference = &beside.difference;
        let (here, source) = (&beside.here.card, &beside.source.card);
        let at = (0, &self.typed);
        self.take = brings::chosen(&self.typed, 0, &difference.details);
        self.parts = PartRow::all(here, source, &difference.details, at);
        self.remarks = NotesBrought::of(&difference.remarks, source, at);
    }

    /// Whether notes or details are to be taken over.
    fn takes_more(&self) -> bool {
        let new = self.remarks.as_ref().is_some_and(NotesBrought::is_new);
        !self.take.details.is_empty() || (self.take.remarks && new)
    }

    /// Everything is ticked until somebody has chosen.
    fn keep_ticks(&mut self) {
        let sent = !self.typed.value("revision").is_empty();
        for row in &mut self.rows {
            row.ticked = !sent || self.typed.chosen(&format!("{PICK}{}", row.id), "yes");
        }
    }
}

fn ticked(rows: &[Row]) -> BTreeSet<String> {
    let ticked = rows.iter().filter(|r| r.ticked);
    ticked.map(|r| r.id.clone()).collect()
}

/// What taking these over does to the no-cut. Where that leaves the card without
/// zones, the store says why when it is asked to.
fn shown_effect(
    beside: &BesideSource,
    picked: &BTreeSet<String>,
    parts: &[Part],
) -> Vec<ChangeRow> {
    effect(&beside.here.card, &beside.taken_over(picked, parts)).unwrap_or_default()
}

/// What is not the same, finding by finding of the source: new there, and standing
/// otherwise there, if that can still be taken over.
fn rows(beside: &BesideSource) -> Result<Vec<Row>, AppError> {
    let body = body_of(&beside.source)?;
    let Difference {
        new,
        conflicts,
        standing,
        ..
    } = &beside.difference;
    let row = |finding: &Finding, differs: String| Row {
        id: finding.id.clone(),
        said: in_words(finding, &body),
        differs,
        ticked: true,
    };
    let fresh = new.iter().chain(conflicts.iter().map(|c| &c.there));
    let fresh = fresh.filter(|f| f.acts()).map(|f| match &f.supersedes {
        Some(old) => row(f, format!("new there, {}: corrects {old}", f.status)),
        None => row(f, format!("new there, {}", f.status)),
    });
    let otherwise = standing
        .iter()
        .filter(|s| can_follow(s.here, s.there))
        .filter_map(|s| {
            let mut of_source = beside.source.card.findings.iter();
            let here = beside.here.card.findings.iter().find(|f| f.id == s.id)?;
            let there = of_source.find(|f| f.status == s.there && f.repeats(here))?;
            let waits = match (s.here, is_bare(here)) {
                (Status::Offered, true) => "waits here for a second person",
                (Status::Offered, false) => "waits here for an officer",
                _ => "still acts here",
            };
            Some(row(
                there,
                format!("{} there, {} here: {waits}", s.there, s.here),
            ))
        });
    Ok(fresh.chain(otherwise).collect())
}

const fn can_follow(here: Status, there: Status) -> bool {
    matches!(
        (here, there),
        (
            Status::Offered,
            Status::Accepted | Status::Declined | Status::Withdrawn | Status::Superseded
        ) | (
            Status::Accepted,
            Status::Withdrawn | Status::Superseded | Status::Declined
        )
    )
}
