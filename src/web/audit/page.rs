//! The audit as a page: the newest lines first, so many at once.

use super::filter::{AFTER, asked_filter, id};
use super::words::{Names, said};
use crate::store::{ACTIONS, AuditEntry, AuditFilter, CardId};
use crate::web::error::AppError;
use crate::web::form::Choice;
use crate::web::say;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use crate::web::variant::Pairs;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Query;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;

/// Lines of one page.
const PAGE: u32 = 50;
/// Fields that narrow the audit down, in the order of the form.
const FIELDS: [&str; 5] = ["card", "member", "action", "from", "to"];

#[derive(Template, WebTemplate)]
#[template(path = "audit/audit.html")]
struct AuditPage {
    lines: Vec<Line>,
    cards: Vec<Choice>,
    members: Vec<Choice>,
    actions: Vec<Choice>,
    typed: Typed,
    /// Some lines are left out.
    narrowed: bool,
    /// The newest lines are on a page before this one.
    deep: bool,
    /// This page, the newest lines.
    newest: String,
    /// The page after this one.
    older: Option<String>,
    file: String,
}

/// One line as it is read.
struct Line {
    at: String,
    who: String,
    said: String,
    /// Address and title.
    card: Option<(String, String)>,
    /// Address and number of the revision it made.
    revision: Option<(String, i64)>,
}

/// What a page calls the cards and members of a department.
pub(super) struct Book {
    pub names: Names,
    pub titles: BTreeMap<CardId, String>,
}

impl Book {
    /// # Errors
    /// The store failed.
    pub async fn of(state: &AppState) -> Result<Self, AppError> {
        let own = &state.actor.department;
        let names = state.store.audited(own).await?;
        let cards = state.store.all_summaries(own).await?;
        let cards = cards.into_iter().filter(|c| c.department == *own);
        Ok(Self {
            names: names.into_iter().collect(),
            titles: cards.map(|c| (c.id, say::title(&c.vehicle))).collect(),
        })
    }

    /// What the card of a line is called.
    pub fn title(&self, entry: &AuditEntry) -> &str {
        let title = entry.card.as_ref().and_then(|card| self.titles.get(card));
        title.map_or("", String::as_str)
    }

    fn line(&self, entry: &AuditEntry) -> Line {
        let href = entry.card.as_ref().map(|card| format!("/cards/{card}"));
        let revision = entry.detail["revision"].as_i64();
        Line {
            at: say::moment(entry.at),
            who: entry.member_name.clone(),
            said: said(entry, &self.names),
            revision: href
                .clone()
                .zip(revision)
                .map(|(href, n)| (format!("{href}/history/{n}"), n)),
            card: href.map(|href| (href, self.title(entry).to_owned())),
        }
    }

    fn cards(&self) -> Vec<Choice> {
        let mut cards: Vec<Choice> = self
            .titles
            .iter()
            .map(|(id, title)| Choice::new(id.as_str(), title))
            .collect();
        cards.sort_by(|a, b| a.label.cmp(&b.label));
        cards
    }

    fn members(&self) -> Vec<Choice> {
        let mut members: Vec<Choice> = self
            .names
            .iter()
            .map(|(id, name)| Choice::new(id.as_str(), name))
            .collect();
        members.sort_by(|a, b| a.label.cmp(&b.label));
        members
    }
}

/// `GET /audit`.
pub async fn list_audit(state: AppState, Query(pairs): Pairs) -> Result<Response, AppError> {
    let mut typed = Typed::sent(pairs);
    let filter = asked_filter(&mut typed);
    let after = id(&mut typed, AFTER, "the end of the page before");
    let book = Book::of(&state).await?;
    let mut entries = match typed.is_valid() {
        true => read(&state, &filter, after.as_deref()).await?,
        false => Vec::new(),
    };
    // One more than shown tells whether there is a next page.
    let more = entries.len() > PAGE as usize;
    entries.truncate(PAGE as usize);
    let last = entries.last().filter(|_| more);
    let status = typed.status();
    let page = AuditPage {
        lines: entries.iter().map(|e| book.line(e)).collect(),
        cards: book.cards(),
        members: book.members(),
        actions: ACTIONS
            .iter()
            .map(|(w, said)| Choice::new(*w, say::sentence(said)))
            .collect(),
        narrowed: FIELDS.iter().any(|f| !typed.value(f).trim().is_empty()),
        deep: after.is_some(),
        newest: address("/audit", &typed, None),
        older: last.map(|line| address("/audit", &typed, Some(&line.id))),
        file: address("/audit.csv", &typed, None),
        typed,
    };
    Ok((status, page).into_response())
}

async fn read(
    state: &AppState,
    filter: &AuditFilter,
    after: Option<&str>,
) -> Result<Vec<AuditEntry>, AppError> {
    let own = &state.actor.department;
    Ok(state.store.audit_of(own, filter, after, PAGE + 1).await?)
}

/// The same lines at another address, or from another line on.
fn address(path: &str, typed: &Typed, after: Option<&str>) -> String {
    let fields = FIELDS
        .iter()
        .map(|field| (*field, typed.value(field).trim()));
    let fields = fields.chain(after.map(|id| (AFTER.name, id)));
    let query = form_urlencoded::Serializer::new(String::new())
        .extend_pairs(fields.filter(|(_, value)| !value.is_empty()))
        .finish();
    match query.is_empty() {
        true => path.to_owned(),
        false => format!("{path}?{query}"),
    }
}
