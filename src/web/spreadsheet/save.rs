//! A table becomes findings, all of them or none, as they were shown: where the
//! card moved on meanwhile, what the rows do is shown anew.

use super::page::{PreviewPage, ReadPage};
use super::{Bench, TEXT};
use crate::contract::card_file::MOST_FINDINGS;
use crate::contract::table::{Part, ReadTable, TableRow};
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Report};
use crate::store::{Revision, StoreError};
use crate::web::error::AppError;
use crate::web::findings::number::Numbers;
use crate::web::findings::{Seeing, ask_if_shrinking};
use crate::web::own_card::{CardHead, zones_of};
use crate::web::typed::{Asked, Typed};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeMap;
use time::OffsetDateTime;

const CARD_MOVED: &str =
    "The card changed while this was open. Below is what the rows do to it now.";
const TABLE_MOVED: &str =
    "This table was changed or recorded in another window. Below is what waits now.";

/// The findings of the rows, numbered as the card numbers them while it stays at
/// its revision.
pub(super) fn findings(rows: &[TableRow], card: &Card) -> Vec<Finding> {
    let mut numbers = Numbers::after(&card.findings);
    let mut shared: BTreeMap<String, String> = BTreeMap::new();
    let numbered = |row: &TableRow| {
        let mut finding = row.finding.clone();
        finding.id = numbers.finding();
        if let Report::Component(report) = &mut finding.report {
            report.component = match &row.part {
                Part::SameAs(id) => id.clone(),
                Part::Shared(label) => shared
                    .entry(label.clone())
                    .or_insert_with(|| numbers.component())
                    .clone(),
                Part::New | Part::None => numbers.component(),
            };
        }
        finding
    };
    rows.iter().map(numbered).collect()
}

/// The card with the rows recorded.
pub(super) fn with(card: &Card, rows: &[TableRow]) -> Card {
    let mut after = card.clone();
    after.findings.extend(findings(rows, card));
    after
}

/// Records the table that waits, then removes it.
pub(super) async fn save(bench: Bench, mut typed: Typed) -> Result<Response, AppError> {
    let Some((kept, version)) = &bench.kept else {
        typed.refuse(
            TEXT,
            "nothing waits: the table was recorded or discarded in another window",
        );
        let mut response = bench.form(typed, None);
        *response.status_mut() = StatusCode::PRECONDITION_FAILED;
        return Ok(response);
    };
    let (version, kept) = (*version, kept.clone());
    let read = bench.read(kept.text.as_bytes());
    let read = match read {
        Ok(read) if read.faults.is_empty() => read,
        // The card moved on under it: a part it names is no longer there.
        _ => return Ok(bench.back()),
    };
    if typed.value("version").parse() != Ok(version) {
        return moved(&bench, &read, TABLE_MOVED);
    }
    if typed.value("revision").parse() != Ok(bench.stored.revision) {
        return moved(&bench, &read, CARD_MOVED);
    }
    let rows = no_cut_rows(&bench.stored.card, &read.rows)?;
    ask_if_shrinking(&mut typed, &rows, Seeing { alone: false });
    let total = bench.stored.card.findings.len() + read.rows.len();
    if total > MOST_FINDINGS {
        let said = format!("the card would hold {total} findings; at most {MOST_FINDINGS} fit");
        typed.refuse(Asked::new("rows", "The rows"), said);
    }
    if !typed.is_valid() {
        return bench.preview(&read, typed, None);
    }
    record(bench, read, version).await
}

async fn record(bench: Bench, read: ReadTable, version: Revision) -> Result<Response, AppError> {
    let (store, actor) = (&bench.state.store, &bench.state.actor);
    let (card, revision) = (&bench.stored.id, bench.stored.revision);
    let all = findings(&read.rows, &bench.stored.card);
    let now = OffsetDateTime::now_utc();
    match store
        .add_findings(actor, card, Some(revision), &all, now)
        .await
    {
        Ok(Some(_)) => {
            store.drop_draft(actor, card, super::WORK, version).await?;
            Ok(Redirect::to(&format!("/cards/{card}/findings")).into_response())
        }
        Ok(None) => Err(AppError::NotFound("card")),
        Err(StoreError::Conflict { .. }) => {
            let bench = Bench::of(bench.state, card.as_str()).await?;
            let Some((kept, _)) = &bench.kept else {
                return Ok(bench.back());
            };
            match bench.read(kept.text.as_bytes()) {
                Ok(read) if read.faults.is_empty() => moved(&bench, &read, CARD_MOVED),
                _ => Ok(bench.back()),
            }
        }
        Err(other) => Err(other.into()),
    }
}

/// Shows what the rows do now; nothing was recorded.
fn moved(bench: &Bench, read: &ReadTable, why: &'static str) -> Result<Response, AppError> {
    let mut response = bench.preview(read, Typed::default(), Some(why))?;
    *response.status_mut() = StatusCode::PRECONDITION_FAILED;
    Ok(response)
}

fn no_cut_rows(
    card: &Card,
    rows: &[TableRow],
) -> Result<Vec<crate::web::no_cut_table::ChangeRow>, AppError> {
    crate::web::findings::effect(card, &with(card, rows))
}

impl Bench {
    /// The page that shows what a table does before it is recorded.
    pub(super) fn preview(
        &self,
        read: &ReadTable,
        typed: Typed,
        moved: Option<&'static str>,
    ) -> Result<Response, AppError> {
        let card = &self.stored.card;
        let changes = no_cut_rows(card, &read.rows)?;
        let known = zones_of(card)?.warnings;
        let after = zones_of(&with(card, &read.rows))?.warnings;
        let fresh = after
            .into_iter()
            .filter(|w| !known.iter().any(|k| k.text == w.text));
        let page = PreviewPage {
            head: CardHead::of(&self.stored),
            name: self
                .kept
                .as_ref()
                .map_or("", |(kept, _)| kept.name.as_str())
                .to_owned(),
            version: self.version(),
            read: ReadPage::new(self, read),
            shrinks: changes.iter().any(|c| c.shrinks),
            changes,
            warnings: fresh.map(|w| w.text).collect(),
            moved,
            typed,
        };
        Ok((page.typed.status(), page).into_response())
    }
}
