//! Forms filled in as far as somebody would have to who wants what they send to
//! be kept: what was typed stays wherever it is accepted.

use super::county::{FORM, MULTIPART, encoded, multipart};
use super::pages::{Field, Form, Kind, forms};
use super::{County, Person};
use crate::photo::made;
use crate::web::door::{Answered, PASSWORD};
use axum::http::{Method, StatusCode};
use scraper::{Html, Selector};
use std::collections::BTreeMap;

/// A new password that is accepted.
const NEW: &str = "barrel quarry thistle oar";
/// What is typed where the payload is not accepted, one after the other.
const INSTEAD: [&str; 6] = [
    "<zq zq=1>",
    "100",
    "",
    "b-pillar.left",
    "2026-03-04",
    "plain.name",
];
/// A row of a spreadsheet whose words are the payload.
const TABLE: &str = "Kind,Span,From mm,To mm,How it was learnt,Day,Who looked,Which car\n\
    inflator,roof-rail.left,200,400,measured,2026-03-04,\"{}\",\"{}\"\n";

type Pairs = Vec<(String, String)>;

/// What is sent to a form by a key, with `payload` typed wherever text is.
fn filled(
    form: &Form,
    key: &(String, String),
    payload: &str,
    instead: &BTreeMap<String, usize>,
) -> Pairs {
    let mut all: Pairs = Vec::new();
    for field in form.fields.iter().filter(|f| f.kind != Kind::File) {
        let value = match instead.get(&field.name) {
            Some(tried) => INSTEAD[*tried].to_owned(),
            None => typed(form, field, payload),
        };
        all.push((field.name.clone(), value));
    }
    if !key.0.is_empty() {
        all.push(key.clone());
    }
    all
}

fn typed(form: &Form, field: &Field, payload: &str) -> String {
    let chosen = field.choices.iter().rfind(|choice| !choice.is_empty());
    match field.kind {
        Kind::Typed if field.name == "old" => PASSWORD.to_owned(),
        Kind::Typed if field.input == "password" => NEW.to_owned(),
        Kind::Typed if field.input == "date" => "2026-03-04".to_owned(),
        Kind::Typed if field.input == "decimal" && field.value.is_empty() => "100".to_owned(),
        Kind::Typed if field.input == "decimal" => field.value.clone(),
        Kind::Typed if field.name == "text" && form.action.ends_with("/import") => {
            TABLE.replace("{}", &payload.replace('"', "\"\""))
        }
        Kind::Typed => payload.to_owned(),
        Kind::Chosen | Kind::Ticked if field.value.is_empty() => {
            chosen.cloned().unwrap_or_default()
        }
        _ => field.value.clone(),
    }
}

/// The fields that an answer says are at fault.
fn faults(answer: &Answered) -> Vec<String> {
    let page = Html::parse_document(&answer.body);
    let said = Selector::parse(".field-error[id]").unwrap();
    let ids = page.select(&said).filter_map(|e| e.value().attr("id"));
    ids.filter_map(|id| id.strip_prefix("f-")?.strip_suffix("-error"))
        .map(str::to_owned)
        .collect()
}

impl County {
    /// Sends a form until it is taken, or nothing more can be typed; gives back
    /// every answer.
    pub async fn fill(
        &self,
        who: &Person,
        form: &Form,
        key: &(String, String),
        payload: &str,
    ) -> Vec<Answered> {
        self.fill_beside(who, form, key, (payload, &[])).await
    }

    /// The same, with more fields than the form has.
    pub async fn fill_beside(
        &self,
        who: &Person,
        form: &Form,
        key: &(String, String),
        (payload, more): (&str, &[(&str, String)]),
    ) -> Vec<Answered> {
        let mut instead = BTreeMap::new();
        let mut answers = Vec::new();
        for _ in 0..=INSTEAD.len() {
            let current = self.as_it_is_now(who, form).await;
            let mut sent = filled(&current, key, payload, &instead);
            sent.extend(
                more.iter()
                    .map(|(name, value)| ((*name).to_owned(), value.clone())),
            );
            let answer = self.send_form(who, &current, &sent, payload).await;
            let refused = answer.status == StatusCode::UNPROCESSABLE_ENTITY;
            let at_fault = faults(&answer);
            answers.push(answer);
            if !refused || at_fault.is_empty() {
                break;
            }
            for field in &current.fields {
                let id: String = field
                    .name
                    .chars()
                    .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
                    .collect();
                if at_fault.contains(&id) {
                    let tried = instead.get(&field.name).map_or(0, |tried| tried + 1);
                    instead.insert(field.name.clone(), tried.min(INSTEAD.len() - 1));
                }
            }
        }
        answers
    }

    /// The form with the revision its page has by now.
    async fn as_it_is_now(&self, who: &Person, form: &Form) -> Form {
        let moves = |f: &Field| matches!(f.name.as_str(), "revision" | "version" | "seen");
        if !form.fields.iter().any(moves) {
            return form.clone();
        }
        let page = self.get(who, &form.page).await;
        let names = |form: &Form| {
            form.fields
                .iter()
                .map(|f| f.name.clone())
                .collect::<Vec<_>>()
        };
        let same = |now: &Form| now.action == form.action && names(now) == names(form);
        let now = forms(&form.page, &page.body).into_iter().find(same);
        now.unwrap_or_else(|| form.clone())
    }

    async fn send_form(&self, who: &Person, form: &Form, sent: &Pairs, payload: &str) -> Answered {
        // Whoever begins a session there ends their own.
        let begins = ["/sign-in", "/invitations", "/resets", "/set-up"];
        let who = Some(who).filter(|_| !begins.iter().any(|door| form.action.starts_with(door)));
        let file = form.fields.iter().find(|f| f.kind == Kind::File);
        let (kind, body) = match file {
            Some(file) if form.action.contains("/notes/") => {
                let photo = made::jpeg(64, 48, 1);
                let file = (file.name.as_str(), payload, photo.as_slice());
                (MULTIPART, multipart(sent, Some(file)))
            }
            _ => (FORM, encoded(sent).into_bytes()),
        };
        self.send(who, Method::POST, &form.action, kind, body).await
    }
}
