//! One's own account: where one is signed in, and a new password.

use super::again::is_own_password;
use super::page::From;
use super::password::{OLD, check_new_password, forget_passwords};
use crate::domain::role::Deed;
use crate::store::{NewCredential, SessionId};
use crate::web::error::AppError;
use crate::web::passkeys::{Party, PasskeyList};
use crate::web::state::{AppState, Service};
use crate::web::typed::Typed;
use crate::web::who::Visitor;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Extension, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

#[derive(Template, WebTemplate)]
#[template(path = "sign_in/account.html")]
struct AccountPage {
    name: String,
    department: String,
    roles: Vec<crate::domain::role::Role>,
    /// `None`: the demo's own member, or a program's key.
    sign_in_name: Option<String>,
    /// Keeps people and keys.
    keeps: bool,
    /// Reads the audit.
    oversees: bool,
    sessions: Vec<SessionLine>,
    passkeys: PasskeyList,
    typed: Typed,
}

/// One line of the list of sessions.
struct SessionLine {
    id: String,
    agent: String,
    began: String,
    seen: String,
    here: bool,
}

/// `GET /account`.
pub async fn show_account(
    State(service): State<Service>,
    state: AppState,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    account_page(&service, &state, (&visitor, &headers), Typed::default()).await
}

/// The account page, with what was typed and what is wrong with it.
///
/// # Errors
/// The store failed.
pub async fn account_page(
    service: &Service,
    state: &AppState,
    (visitor, headers): (&Visitor, &HeaderMap),
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let here = visitor.session().map(|s| &s.id);
    let day = |at: OffsetDateTime| at.date().to_string();
    let sessions = state.store.sessions(&state.actor, now).await?;
    let own = &state.actor.department;
    let departments = state.store.departments(own).await?;
    let department = departments.into_iter().find(|d| d.id == *own);
    forget_passwords(&mut typed);
    let status = typed.status();
    let passkeys = state.store.passkeys(&state.actor).await?;
    let party = Party::of(&service.site, headers);
    let page = AccountPage {
        passkeys: PasskeyList::new(passkeys, &party, &typed),
        name: state.actor.member_name.clone(),
        department: department.map(|d| d.name).unwrap_or_default(),
        roles: state.actor.roles.iter().collect(),
        keeps: state.actor.roles.may(Deed::Keep),
        oversees: state.actor.roles.may(Deed::Oversee),
        sign_in_name: state.store.sign_in_name(&state.actor).await?,
        sessions: sessions
            .into_iter()
            .map(|s| SessionLine {
                here: here == Some(&s.id),
                id: s.id.to_string(),
                agent: s.agent,
                began: day(s.began_at),
                seen: day(s.last_seen_at),
            })
            .collect(),
        typed,
    };
    Ok((status, page).into_response())
}

/// `POST /account`: ends a session, or sets a new password.
pub async fn change_account(
    State(service): State<Service>,
    state: AppState,
    Extension(visitor): Extension<Visitor>,
    From(address): From,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    if typed.chosen("do", "end") {
        let id = SessionId::new(typed.value("session"));
        let ended = store.end_session(actor, &id, now).await?;
        ended.ok_or(AppError::NotFound("session"))?;
        return Ok(Redirect::to("/account").into_response());
    }
    let sign_in_name = store.sign_in_name(actor).await?;
    let sign_in_name = sign_in_name.ok_or(AppError::NotFound("password"))?;
    let old = typed.value(OLD.name).to_owned();
    let asker = (actor.as_ref(), address);
    if !is_own_password(&service.door, store, asker, &old).await? {
        typed.refuse(OLD, "this is not the password until now");
    }
    let Some(password) = check_new_password(&mut typed, &[&sign_in_name, &actor.member_name])
    else {
        return account_page(&service, &state, (&visitor, &headers), typed).await;
    };
    let new = NewCredential {
        sign_in_name,
        password_hash: service.door.hash(&password).await?,
    };
    let kept = visitor.session().map(|s| &s.id);
    store.set_credential(actor, &new, kept, now).await?;
    Ok(Redirect::to("/account").into_response())
}
