//! Keys for programs: made with one role and an end, shown once, ended by hand.

use crate::domain::role::Role;
use crate::secret;
use crate::store::{ApiKey, KeyId};
use crate::web::error::AppError;
use crate::web::form::Choice;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::http::header::CACHE_CONTROL;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const LABEL: Asked<'static> = Asked::new("label", "What it is for");
const ROLE: Asked<'static> = Asked::new("role", "Role");
const DAYS: Asked<'static> = Asked::new("days", "Works for");
/// How long a key may work, days.
const TERMS: [i64; 3] = [30, 90, 365];
/// What a key begins with, so that it is recognised where it should not be.
const PREFIX: &str = "pillarbook_";

#[derive(Template, WebTemplate)]
#[template(path = "keys/keys.html")]
struct KeysPage {
    keys: Vec<KeyRow>,
    roles: Vec<Choice>,
    terms: Vec<Choice>,
    typed: Typed,
    /// A key just made, shown this once.
    made: Option<String>,
}

struct KeyRow {
    id: String,
    label: String,
    about: String,
    /// Works now.
    works: bool,
}

impl KeyRow {
    fn new(key: ApiKey, now: OffsetDateTime) -> Self {
        let used = match key.last_used_at {
            Some(at) => format!("last used {}", at.date()),
            None => "never used".to_owned(),
        };
        let ends = match key.revoked_at {
            Some(at) => format!("ended by hand on {}", at.date()),
            None if key.works_at(now) => format!("works until {}", key.expires_at.date()),
            None => format!("ended on {}", key.expires_at.date()),
        };
        Self {
            works: key.works_at(now),
            id: key.id.to_string(),
            about: format!(
                "{}, made by {} on {}, {used}, {ends}",
                key.roles,
                key.made_by,
                key.made_at.date()
            ),
            label: key.label,
        }
    }
}

/// `GET /keys`.
pub async fn list_keys(state: AppState) -> Result<Response, AppError> {
    page(&state, Typed::default(), None).await
}

async fn page(state: &AppState, typed: Typed, made: Option<String>) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let keys = state.store.keys(&state.actor).await?;
    let role = |r: &Role| Choice::new(r.word(), format!("{r}: {}", r.meaning()));
    let status = typed.status();
    let page = KeysPage {
        keys: keys.into_iter().map(|key| KeyRow::new(key, now)).collect(),
        roles: Role::ALL.iter().map(role).collect(),
        terms: TERMS.map(Choice::days).to_vec(),
        typed,
        made,
    };
    // A key lets a program in: no cache keeps it.
    Ok((status, [(CACHE_CONTROL, "no-store")], page).into_response())
}

/// `POST /keys`: makes a key, or ends one.
pub async fn change_keys(state: AppState, mut typed: Typed) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    if typed.chosen("do", "revoke") {
        let key = KeyId::new(typed.value("key"));
        let ended = state.store.revoke_key(&state.actor, &key, now).await?;
        ended.ok_or(AppError::NotFound("key that works"))?;
        return Ok(Redirect::to("/keys").into_response());
    }
    let label = typed.name(LABEL);
    let role = Role::from_word(typed.value(ROLE.name));
    if role.is_none() {
        typed.refuse(ROLE, "choose what the program may do");
    }
    let term = typed.term(DAYS, &TERMS);
    let (Some(role), Some(term), true) = (role, term, typed.is_valid()) else {
        return page(&state, typed, None).await;
    };
    let secret = format!("{PREFIX}{}", secret::draw());
    let wanted = (label.as_str(), role);
    let until = now + term;
    let made = state
        .store
        .make_key(&state.actor, wanted, &secret, until, now);
    made.await?;
    page(&state, Typed::default(), Some(secret)).await
}
