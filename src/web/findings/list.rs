//! Every finding ever recorded on a card, newest first: what waits for a second
//! person on top, what no longer acts below.

use super::{body_of, in_words};
use crate::domain::finding::{Finding, Status};
use crate::domain::role::Deed;
use crate::store::Lineage;
use crate::web::error::AppError;
use crate::web::own_card::{CardHead, Footing, read_card};
use crate::web::state::AppState;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::response::{IntoResponse, Response};

#[derive(Template, WebTemplate)]
#[template(path = "findings/list.html")]
struct ListPage {
    head: CardHead,
    groups: [(&'static str, Vec<Row>); 3],
    none: bool,
    footing: Footing,
    /// Where it was copied from.
    lineage: Option<Lineage>,
    can_adopt: bool,
    department: String,
}

struct Row {
    id: String,
    said: String,
    from: String,
    status: Status,
}

/// `GET /cards/{id}/findings`
pub async fn list_findings(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let (stored, footing) = read_card(&state, &id).await?;
    let body = body_of(&stored)?;
    let rows = |wanted: fn(Status) -> bool| -> Vec<Row> {
        let newest = stored.card.findings.iter().rev();
        newest
            .filter(|f| wanted(f.status))
            .map(|f| Row {
                id: f.id.clone(),
                said: in_words(f, &body),
                from: learnt(f),
                status: f.status,
            })
            .collect()
    };
    let page = ListPage {
        head: CardHead::of(&stored),
        none: stored.card.findings.is_empty(),
        footing,
        lineage: state
            .store
            .lineage(&state.actor.department, &stored.id)
            .await?,
        can_adopt: footing != Footing::Own && state.actor.roles.may(Deed::Record),
        department: stored.department_name.clone(),
        groups: [
            (
                "Waiting for a second person or an officer",
                rows(|s| s == Status::Offered),
            ),
            ("Accepted", rows(|s| s == Status::Accepted)),
            (
                "No longer acting",
                rows(|s| !matches!(s, Status::Offered | Status::Accepted)),
            ),
        ],
    };
    Ok(page.into_response())
}

/// How, on which car, when and by whom: `measured, yard 14, 2026-03-04 by Ada Fenn`.
pub fn learnt(finding: &Finding) -> String {
    let car = finding.car.as_deref().unwrap_or("no car looked at");
    let by = finding.by.as_deref().unwrap_or("unknown");
    format!("{}, {car}, {} by {by}", finding.source, finding.observed_on)
}
