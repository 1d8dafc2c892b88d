//! The page of a department's people: who may do what, who is invited, who left.

use crate::domain::role::{Role, Roles};
use crate::secret;
use crate::store::{MemberEntry, MemberId, OnceFor, OnceLinkId, StoreError};
use crate::web::error::AppError;
use crate::web::site::Site;
use crate::web::state::{AppState, Service};
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::header::CACHE_CONTROL;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const NAME: Asked<'static> = Asked::new("name", "Name");
const ROLES: Asked<'static> = Asked::new("role-member", "Roles");
const PEOPLE: Asked<'static> = Asked::new("people", "People");

#[derive(Template, WebTemplate)]
#[template(path = "people/people.html")]
struct PeoplePage {
    people: Vec<PersonRow>,
    links: Vec<LinkRow>,
    roles: Vec<RoleBox>,
    typed: Typed,
    /// A link just made, shown this once.
    made: Option<MadeLink>,
}

struct PersonRow {
    id: String,
    name: String,
    /// The keeper who looks.
    own: bool,
    /// "ada.fenn, last seen 2026-03-05".
    about: String,
    roles: Vec<RoleBox>,
    can_sign_in: bool,
    left: Option<String>,
}

struct RoleBox {
    word: &'static str,
    meaning: &'static str,
    on: bool,
}

struct LinkRow {
    id: String,
    name: String,
    what: &'static str,
    made_by: String,
    until: String,
}

struct MadeLink {
    name: String,
    link: String,
    until: &'static str,
}

/// `GET /people`.
pub async fn list_people(state: AppState) -> Result<Response, AppError> {
    page(&state, Typed::default(), None).await
}

async fn page(
    state: &AppState,
    typed: Typed,
    made: Option<MadeLink>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let people = state.store.people(&state.actor).await?;
    let links = state.store.once_links(&state.actor, now).await?;
    let status = typed.status();
    let page = PeoplePage {
        people: people
            .into_iter()
            .map(|person| person_row(person, &state.actor.member))
            .collect(),
        links: links
            .into_iter()
            .map(|link| LinkRow {
                id: link.id.to_string(),
                name: link.name,
                what: match link.purpose {
                    OnceFor::Invitation => "invitation",
                    OnceFor::Reset => "new password",
                },
                made_by: link.made_by,
                until: link.expires_at.date().to_string(),
            })
            .collect(),
        roles: boxes(&roles_in(&typed)),
        typed,
        made,
    };
    // A link lets somebody in: no cache keeps it.
    Ok((status, [(CACHE_CONTROL, "no-store")], page).into_response())
}

fn boxes(roles: &Roles) -> Vec<RoleBox> {
    let one = |role: &Role| RoleBox {
        word: role.word(),
        meaning: role.meaning(),
        on: roles.has(*role),
    };
    Role::ALL.iter().map(one).collect()
}

fn person_row(person: MemberEntry, own: &MemberId) -> PersonRow {
    let signs_in = match &person.sign_in_name {
        Some(name) => format!("signs in as {name}"),
        None => "has no password, cannot sign in".to_owned(),
    };
    let seen = match person.last_seen_at {
        Some(at) => format!("last seen {}", at.date()),
        None => "never seen signed in".to_owned(),
    };
    PersonRow {
        own: person.id == *own,
        id: person.id.to_string(),
        about: format!("{signs_in}, {seen}"),
        roles: boxes(&person.roles),
        can_sign_in: person.sign_in_name.is_some(),
        left: person.left_at.map(|at| at.date().to_string()),
        name: person.name,
    }
}

/// `POST /people`: invites, gives roles, makes a link to a new password, lets
/// somebody in no more or again, or takes a link back.
pub async fn change_people(
    State(service): State<Service>,
    state: AppState,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    let member = MemberId::new(typed.value("member"));
    let roles = roles_in(&typed);
    let done = match typed.value("do").to_owned().as_str() {
        "invite" => return invite(&service, &state, &headers, typed).await,
        "reset" => {
            let secret = secret::draw();
            let name = store.offer_reset(actor, &member, &secret, now).await?;
            let made = MadeLink {
                name: name.ok_or(AppError::NotFound("member who can sign in"))?,
                link: service
                    .site
                    .link(Site::host(&headers), &format!("/resets/{secret}")),
                until: "one day",
            };
            return page(&state, Typed::default(), Some(made)).await;
        }
        "roles" => store.change_roles(actor, &member, &roles, now).await,
        "leave" => store.set_left(actor, &member, true, now).await,
        "back" => store.set_left(actor, &member, false, now).await,
        "revoke" => {
            let link = OnceLinkId::new(typed.value("link"));
            store.revoke_once_link(actor, &link, now).await
        }
        _ => {
            typed.refuse(PEOPLE, "press one of the buttons; nothing was changed");
            return page(&state, typed, None).await;
        }
    };
    match done {
        Ok(Some(())) => Ok(Redirect::to("/people").into_response()),
        Ok(None) => Err(AppError::NotFound("member or link")),
        Err(refused @ StoreError::LastKeeper { .. }) => {
            // The form below is for somebody new: no role of another's stays in it.
            let mut typed = Typed::default();
            typed.refuse(PEOPLE, refused.to_string());
            page(&state, typed, None).await
        }
        Err(other) => Err(other.into()),
    }
}

async fn invite(
    service: &Service,
    state: &AppState,
    headers: &HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let name = typed.name(NAME);
    let roles = roles_in(&typed);
    if roles.is_empty() {
        typed.refuse(ROLES, "choose at least one");
    }
    if !typed.is_valid() {
        return page(state, typed, None).await;
    }
    let secret = secret::draw();
    let now = OffsetDateTime::now_utc();
    let offer = (name.as_str(), &roles);
    state
        .store
        .invite(&state.actor, offer, &secret, now)
        .await?;
    let made = MadeLink {
        link: service
            .site
            .link(Site::host(headers), &format!("/invitations/{secret}")),
        name,
        until: "two weeks",
    };
    page(state, Typed::default(), Some(made)).await
}

/// The roles whose boxes are ticked.
fn roles_in(typed: &Typed) -> Roles {
    let ticked = |role: &Role| typed.chosen(&format!("role-{role}"), "on");
    Role::ALL.iter().copied().filter(ticked).collect()
}
