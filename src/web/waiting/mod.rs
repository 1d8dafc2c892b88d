//! What waits on the department's cards for a second person or an officer, in one
//! list; deciding is done on each finding's own page, with what it takes away.

use crate::domain::decision::{Decision, Verdict, WaitsFor, shrinks, with_statuses};
use crate::domain::finding::{Finding, Status};
use crate::store::{AskedChange, Deciding, Waiting};
use crate::web::error::AppError;
use crate::web::findings::in_words;
use crate::web::own_card::CardHead;
use crate::web::state::AppState;
use askama::Template;
use askama_web::WebTemplate;
use axum::response::{IntoResponse, Response};
use time::Date;

/// Most cards on the page; those waiting longest come first.
const MOST_CARDS: usize = 50;

#[derive(Template, WebTemplate)]
#[template(path = "waiting/waiting.html")]
struct WaitingPage {
    cards: Vec<CardRow>,
    more: usize,
}

struct CardRow {
    head: CardHead,
    since: Date,
    rows: Vec<Row>,
}

/// One finding that waits.
struct Row {
    finding: String,
    said: String,
    /// What is to be decided.
    asks: String,
    /// For whom it waits; `None`: whoever reads it may decide.
    waits_for: Option<&'static str>,
}

/// `GET /waiting`
pub async fn show_waiting(state: AppState) -> Result<Response, AppError> {
    let all = state.store.waiting(&state.actor.department).await?;
    let more = all.len().saturating_sub(MOST_CARDS);
    let mut cards = Vec::new();
    for waiting in all.into_iter().take(MOST_CARDS) {
        let card = &waiting.card.id;
        let deciding = state.store.deciding(&state.actor, card).await?;
        cards.push(CardRow::of(&waiting, &deciding)?);
    }
    Ok(WaitingPage { cards, more }.into_response())
}

impl CardRow {
    fn of(waiting: &Waiting, deciding: &Deciding) -> Result<Self, AppError> {
        let stored = &waiting.card;
        let body = crate::web::findings::body_of(stored)?;
        let row = |finding: &Finding, decision: Decision, status: Status, asks: String| Row {
            finding: finding.id.clone(),
            said: in_words(finding, &body),
            asks,
            waits_for: {
                let after = with_statuses(&stored.card, &[(&finding.id, status)]);
                let shrinks = shrinks(&stored.card, &after);
                meaning(deciding.verdict(decision, finding, shrinks))
            },
        };
        let all = &stored.card.findings;
        let offered = all.iter().filter(|f| f.status == Status::Offered);
        let offered = offered.map(|f| row(f, Decision::Accept, Status::Accepted, offer(f)));
        let asked = waiting.asked.iter().filter_map(|ask| {
            let finding = all.iter().find(|f| f.id == ask.finding)?;
            let decision = Decision::to(ask.status)?;
            Some(row(finding, decision, ask.status, asked_for(ask)))
        });
        Ok(Self {
            head: CardHead::of(stored),
            since: waiting.since.date(),
            rows: asked.chain(offered).collect(),
        })
    }
}

fn meaning(verdict: Verdict) -> Option<&'static str> {
    match verdict {
        Verdict::Allowed | Verdict::SingleHanded => None,
        Verdict::Waits(waits_for) => Some(WaitsFor::meaning(waits_for)),
    }
}

fn offer(finding: &Finding) -> String {
    let by = finding.by.as_deref().unwrap_or("unknown");
    let on = finding.observed_on;
    match &finding.supersedes {
        Some(old) => format!("a correction of {old}, by {by}, {on}"),
        None => format!("offered, by {by}, {on}"),
    }
}

fn asked_for(ask: &AskedChange) -> String {
    format!(
        "{} asks for it to be {}: {}",
        ask.member_name, ask.status, ask.reason
    )
}
