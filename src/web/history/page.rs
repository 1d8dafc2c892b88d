//! `/cards/{id}/history` and `/cards/{id}/history/{revision}`.

use super::change::{SpanChange, changes};
use crate::domain::role::Deed;
use crate::domain::vehicle::Variant;
use crate::store::{CardId, Revision, RevisionEntry, StatusEntry};
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::reading::{Reading, Subject};
use crate::web::say;
use crate::web::state::AppState;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;

/// One revision in the list.
#[derive(Debug, Clone)]
pub struct RevisionRow {
    pub revision: Revision,
    pub at: String,
    pub who: String,
    pub summary: String,
}

/// The revisions of a card, newest first.
#[derive(Template, WebTemplate)]
#[template(path = "history/history.html")]
pub struct HistoryPage {
    pub title: String,
    pub href: String,
    pub rows: Vec<RevisionRow>,
    /// Where the card's lines of the audit are, for who may read them.
    pub audit: Option<String>,
}

/// One revision: what it changed.
#[derive(Template, WebTemplate)]
#[template(path = "history/revision.html")]
pub struct RevisionPage {
    pub title: String,
    pub href: String,
    pub row: RevisionRow,
    pub newest: Revision,
    /// What was said of findings in this revision.
    pub findings: Vec<(String, String)>,
    pub changes: Vec<SpanChange>,
    /// Why before and after cannot be compared.
    pub cannot: Option<String>,
    pub first: bool,
}

impl RevisionRow {
    pub fn of(entry: &RevisionEntry) -> Self {
        Self {
            revision: entry.revision,
            at: say::moment(entry.at),
            who: entry.member_name.clone(),
            summary: entry.summary.clone(),
        }
    }
}

/// `GET /cards/{id}/history`
pub async fn show_history(
    state: AppState,
    Path(id): Path<String>,
) -> Result<HistoryPage, AppError> {
    let id = CardId::new(id);
    let department = &state.actor.department;
    let stored = state.store.card(department, &id).await?;
    let stored = stored.ok_or(AppError::NotFound("card"))?;
    let revisions = state.store.revisions(department, &id).await?;
    let overseen = stored.department == *department && state.actor.roles.may(Deed::Oversee);
    Ok(HistoryPage {
        audit: overseen.then(|| format!("/audit?card={id}")),
        title: say::title(&stored.card.vehicle),
        href: Subject::Card(id).href(),
        rows: revisions.iter().map(RevisionRow::of).collect(),
    })
}

/// `GET /cards/{id}/history/{revision}`
pub async fn show_revision(
    state: AppState,
    Path((id, revision)): Path<(String, Revision)>,
) -> Result<RevisionPage, AppError> {
    let id = CardId::new(id);
    let department = &state.actor.department;
    let revisions = state.store.revisions(department, &id).await?;
    let newest = revisions
        .first()
        .ok_or(AppError::NotFound("card"))?
        .revision;
    let entry = revisions.iter().find(|r| r.revision == revision);
    let entry = entry.ok_or(AppError::NotFound("revision of this card"))?;
    let log = state
        .store
        .status_log(department, &id)
        .await?
        .unwrap_or_default();
    let now = state.store.card_at(department, &id, revision).await?;
    let now = now.ok_or(AppError::NotFound("revision of this card"))?;
    let title = say::title(&now.card.vehicle);
    let before = match revision {
        1 => None,
        _ => state.store.card_at(department, &id, revision - 1).await?,
    };
    let compared = match before {
        None => Ok(Vec::new()),
        Some(before) => {
            let first = figures::first();
            let compare = move || {
                let (before, now) = (
                    Reading::of_card(before, Variant::default())?,
                    Reading::of_card(now, Variant::default())?,
                );
                Ok(changes(&before.zones, &now.zones))
            };
            tokio::task::spawn_blocking(move || figures::within(first, compare))
                .await
                .map_err(|e| AppError::Internal(Box::new(e)))?
        }
    };
    let (changes, cannot) = match compared {
        Ok(changes) => (changes, None),
        Err(AppError::CannotCompute(why)) => (Vec::new(), Some(why)),
        Err(other) => return Err(other),
    };
    Ok(RevisionPage {
        title,
        href: Subject::Card(id).href(),
        row: RevisionRow::of(entry),
        newest,
        findings: said_of_findings(&log, revision),
        changes,
        cannot,
        first: revision == 1,
    })
}

/// What one revision said of findings. `log` holds every line of the card, in
/// order, so that the first line of a finding is known from a later change.
fn said_of_findings(log: &[StatusEntry], revision: Revision) -> Vec<(String, String)> {
    let is_first = |at: usize| !log[..at].iter().any(|l| l.finding == log[at].finding);
    let here = log
        .iter()
        .enumerate()
        .filter(|(_, l)| l.revision == revision);
    here.map(|(at, entry)| status_line(entry, is_first(at)))
        .collect()
}

fn status_line(entry: &StatusEntry, first: bool) -> (String, String) {
    let recorded = if first { "recorded, " } else { "" };
    let mut text = format!("{recorded}{} by {}", entry.status, entry.member_name);
    if let Some(reason) = &entry.reason {
        text.push_str(&format!(": {reason}"));
    }
    if entry.single_handed {
        text.push_str(" (single-handed: no second person)");
    }
    (entry.finding.clone(), text)
}
