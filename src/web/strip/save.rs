//! A session becomes findings, all of them or none.

use super::Bench;
use crate::domain::finding::{Finding, Report, Status};
use crate::store::{StatusChange, StoredCard};
use crate::web::error::AppError;
use crate::web::typed::{Asked, Typed};
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

/// Saves the entries, then removes the draft. Where the department is one person
/// who says so, the bare stretches are confirmed too, by the one who looked:
/// single-handed, and the card's record says so.
pub(super) async fn save(bench: Bench, mut typed: Typed) -> Result<Response, AppError> {
    let draft = bench.draft();
    if draft.entries.is_empty() {
        typed.refuse(
            Asked::new("span", "This session"),
            "holds no entry yet: add one, or discard the session",
        );
        return Ok(bench.session_page(typed));
    }
    let (store, actor) = (&bench.state.store, &bench.state.actor);
    let findings = draft.new_findings();
    let now = OffsetDateTime::now_utc();
    let saved = store
        .add_findings(actor, &bench.stored.id, None, &findings, now)
        .await?
        .ok_or(AppError::NotFound("card"))?;
    let alone = bench.alone;
    bench.drop().await?;
    let confirm = confirmations(&saved, findings.len());
    if alone && typed.chosen("confirm_bare", "yes") && !confirm.is_empty() {
        store
            .change_status(actor, &bench.stored.id, None, &confirm, now)
            .await?;
    }
    Ok(Redirect::to(&format!("/cards/{}", bench.stored.id)).into_response())
}

/// The bare ones among the findings that came last.
fn confirmations(saved: &StoredCard, added: usize) -> Vec<StatusChange> {
    let all = &saved.card.findings;
    let newest = all.iter().skip(all.len().saturating_sub(added));
    let bare = |f: &&Finding| matches!(f.report, Report::Bare(_)) && f.status == Status::Offered;
    newest
        .filter(bare)
        .map(|f| StatusChange {
            finding: f.id.clone(),
            status: Status::Accepted,
            reason: None,
        })
        .collect()
}
