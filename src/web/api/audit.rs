//! The audit of the asker's department.

use super::answer;
use super::problems::{ApiError, ReadProblems};
use super::query::QueryReader;
use crate::contract::FieldError;
use crate::contract::path::Path as FieldPath;
use crate::store::AuditEntry;
use crate::web::AppState;
use crate::web::audit::{Names, asked_filter, said};
use crate::web::typed::Typed;
use crate::web::variant::Pairs;
use axum::extract::Query;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;
use time::OffsetDateTime;
use utoipa::{IntoParams, ToSchema};

/// Lines on one page unless asked otherwise.
const PAGE: u32 = 50;
/// Lines on one page at most.
const MOST: u32 = 500;

/// Which lines.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(
    dead_code,
    reason = "describes what `QueryReader` and `asked_filter` read"
)]
pub struct AuditParams {
    /// Lines on the page, 1 to 500; 50 if left out
    #[param(minimum = 1, maximum = 500)]
    limit: Option<u32>,
    /// The `next` of the page before
    after: Option<String>,
    /// Only about the card of this id
    card: Option<String>,
    /// Only by the member of this id
    member: Option<String>,
    /// Only this action, for example `findings-added`
    action: Option<String>,
    /// From this day on (UTC), for example 2026-03-04
    from: Option<String>,
    /// Up to this day, included
    to: Option<String>,
}

/// Who did what when to which card.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditLine {
    id: String,
    #[serde(with = "time::serde::rfc3339")]
    #[schema(value_type = String, format = DateTime)]
    at: OffsetDateTime,
    member: String,
    member_name: String,
    card: Option<String>,
    action: String,
    /// In plain words.
    said: String,
    /// What the action was about; its fields go with the action.
    #[schema(value_type = Object)]
    detail: serde_json::Value,
}

/// One page of the audit, newest first.
#[derive(Debug, Serialize, ToSchema)]
pub struct AuditPage {
    lines: Vec<AuditLine>,
    /// To be given as `after` for the next page; null on the last.
    next: Option<String>,
}

/// Who did what when to which card: for officers and keepers
#[utoipa::path(
    get, path = "/api/v1/audit", tag = "department",
    params(AuditParams),
    responses((status = 200, body = AuditPage), ReadProblems),
)]
pub async fn list_audit(state: AppState, Query(pairs): Pairs) -> Result<Response, ApiError> {
    let mut query = QueryReader::new(&pairs);
    let limit = query.whole("limit", 1..=MOST, PAGE);
    let after = query.id("after", "the `next` of the page before");
    query.finish()?;
    let mut typed = Typed::sent(pairs.clone());
    let filter = asked_filter(&mut typed);
    if !typed.is_valid() {
        return Err(ApiError::invalid(faults(&typed)));
    }
    let own = &state.actor.department;
    let names: Names = state.store.audited(own).await?.into_iter().collect();
    // One more than asked for tells whether there is a next page.
    let mut lines = state.store.audit_of(own, &filter, after, limit + 1).await?;
    let more = lines.len() > limit as usize;
    lines.truncate(limit as usize);
    let next = lines.last().filter(|_| more).map(|line| line.id.clone());
    let line = |entry: AuditEntry| AuditLine {
        said: said(&entry, &names),
        id: entry.id,
        at: entry.at,
        member: entry.member.to_string(),
        member_name: entry.member_name,
        card: entry.card.map(|card| card.to_string()),
        action: entry.action,
        detail: entry.detail,
    };
    let page = AuditPage {
        lines: lines.into_iter().map(line).collect(),
        next,
    };
    Ok(answer::json(StatusCode::OK, &page))
}

fn faults(typed: &Typed) -> Vec<FieldError> {
    let fault = |fault: &crate::web::typed::Fault| {
        let given = serde_json::Value::from(typed.value(&fault.field));
        let path = FieldPath::document().field(&fault.field);
        let (wrong, accepted) = fault.said.split_once(": ").unwrap_or((&fault.said, ""));
        FieldError::new(path, wrong, accepted, Some(&given))
    };
    typed.faults().iter().map(fault).collect()
}
