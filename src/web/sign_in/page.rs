//! The page one signs in on.

use super::doorkeeper::Try;
use super::password::{SIGN_IN_NAME, forget_passwords};
use crate::secret;
use crate::store::{Actor, StoreError};
use crate::web::error::AppError;
use crate::web::passkeys::Party;
use crate::web::state::Service;
use crate::web::typed::{Asked, Typed};
use crate::web::who::{self, Visitor};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{ConnectInfo, Extension, Query, State};
use axum::http::header::{LOCATION, RETRY_AFTER, SET_COOKIE, USER_AGENT};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use axum_extra::extract::cookie::CookieJar;
use serde::Deserialize;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use time::OffsetDateTime;

/// Characters of the browser's own words that are kept.
const AGENT_LENGTH: usize = 200;

#[derive(Debug, Default, Deserialize)]
pub struct NextQuery {
    #[serde(default)]
    next: String,
}

#[derive(Template, WebTemplate)]
#[template(path = "sign_in/sign_in.html")]
struct SignInPage {
    typed: Typed,
    /// Who is signed in here already.
    already: Option<String>,
    /// Nobody can sign in yet.
    needs_set_up: bool,
    /// Passkeys work under the name the page was opened by.
    takes_passkeys: bool,
    /// The demo's ready accounts.
    ready: Arc<[ReadyAccount]>,
}

/// An account of the demo, shown to whoever comes.
#[derive(Debug, Clone)]
pub struct ReadyAccount {
    pub sign_in_name: &'static str,
    pub password: &'static str,
    pub member: &'static str,
    pub department: &'static str,
    /// "member, officer".
    pub roles: String,
}

/// Where somebody asks from, when the server knows.
#[derive(Debug, Clone, Copy)]
pub struct From(pub Option<IpAddr>);

impl axum::extract::FromRequestParts<Service> for From {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(
        parts: &mut http::request::Parts,
        service: &Service,
    ) -> Result<Self, Self::Rejection> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        let peer = peer.map(|ConnectInfo(address)| address.ip());
        Ok(Self(service.site.asker(peer, &parts.headers)))
    }
}

/// `GET /sign-in`.
pub async fn show_sign_in(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
    Query(query): Query<NextQuery>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let mut typed = Typed::default();
    typed.put("next", query.next);
    sign_in_page(&service, (&visitor, &headers), typed, StatusCode::OK).await
}

/// The page, with what was typed and what is wrong with it.
///
/// # Errors
/// The store failed.
pub async fn sign_in_page(
    service: &Service,
    (visitor, headers): (&Visitor, &HeaderMap),
    mut typed: Typed,
    status: StatusCode,
) -> Result<Response, AppError> {
    forget_passwords(&mut typed);
    let page = SignInPage {
        typed,
        already: visitor.actor().map(|a| a.member_name.clone()),
        needs_set_up: service.walk_in.is_none() && service.store.needs_set_up().await?,
        takes_passkeys: Party::of(&service.site, headers).is_ok(),
        ready: service.ready.clone(),
    };
    Ok((status, page).into_response())
}

/// `POST /sign-in`: begins a session, or says no without saying what was wrong.
pub async fn sign_in(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
    From(address): From,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let account = typed.value(SIGN_IN_NAME.name).trim().to_owned();
    let credential = service.store.credential(&account).await?;
    let asked = Try {
        account: &account,
        address,
        known_browser: knows_browser(&service, credential.as_ref().map(|c| &c.actor), &headers)
            .await?,
    };
    let wait = service.door.wait(&service.store, &asked, now).await?;
    if wait > 0 {
        return Ok(wait_first(wait));
    }
    let hash = credential.as_ref().map(|c| c.password_hash.as_str());
    let right = service.door.is_right(typed.value("password"), hash).await?;
    match credential.filter(|_| right) {
        Some(known) => {
            service.door.succeeded(&service.store, &asked).await?;
            let to = same_site(typed.value("next")).to_owned();
            begin(&service, &known.actor, visitor.session(), &headers, &to).await
        }
        None => {
            service.door.failed(&service.store, &asked, now).await?;
            typed.refuse(
                Asked::new("password", "Name and password"),
                "these two do not belong together; nothing says which of them is wrong",
            );
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            sign_in_page(&service, (&visitor, &headers), typed, status).await
        }
    }
}

/// Asks for so many seconds of patience after failed tries.
pub fn wait_first(seconds: u64) -> Response {
    let mut response = AppError::Wait(seconds).into_response();
    response.headers_mut().insert(RETRY_AFTER, seconds.into());
    response
}

/// Whether a member has signed in on this browser before.
///
/// # Errors
/// The store failed.
pub async fn knows_browser(
    service: &Service,
    actor: Option<&Actor>,
    headers: &HeaderMap,
) -> Result<bool, StoreError> {
    let jar = CookieJar::from_headers(headers);
    match (actor, who::device(&jar, service.door.secure)) {
        (Some(actor), Some(device)) => service.store.knows_device(actor, device).await,
        _ => Ok(false),
    }
}

/// Begins a new session with secrets of its own, whatever the browser sent: one
/// planted beforehand opens nothing. The session it had ends.
///
/// # Errors
/// The store failed.
pub async fn begin(
    service: &Service,
    actor: &Actor,
    before: Option<&crate::store::Session>,
    headers: &HeaderMap,
    to: &str,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    if let Some(before) = before {
        service
            .store
            .end_session(&before.actor, &before.id, now)
            .await?;
    }
    let (secret, device) = (secret::draw(), secret::draw());
    let agent = headers.get(USER_AGENT).and_then(|v| v.to_str().ok());
    let agent: String = agent
        .unwrap_or("unknown")
        .chars()
        .take(AGENT_LENGTH)
        .collect();
    let secrets = (secret.as_str(), device.as_str());
    service
        .store
        .begin_session(actor, secrets, &agent, now)
        .await?;
    let cookies = who::begin(&secret, &device, service.door.secure);
    Ok(sent_on(to, &cookies))
}

/// `POST /sign-out`: ends this session; other browsers stay signed in.
pub async fn sign_out(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
) -> Result<Response, AppError> {
    if let Some(session) = visitor.session() {
        let now = OffsetDateTime::now_utc();
        service
            .store
            .end_session(&session.actor, &session.id, now)
            .await?;
    }
    Ok(sent_on("/sign-in", &who::end(service.door.secure)))
}

/// A redirect that sets cookies.
fn sent_on(to: &str, cookies: &[String]) -> Response {
    let to = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    let mut response = (StatusCode::SEE_OTHER, [(LOCATION, to)]).into_response();
    for cookie in cookies {
        if let Ok(value) = HeaderValue::from_str(cookie) {
            response.headers_mut().append(SET_COOKIE, value);
        }
    }
    response
}

/// Where to go after signing in: a page here, never another site's. Browsers
/// read a backslash as a slash and drop tabs and line ends.
pub fn same_site(next: &str) -> &str {
    let plain = next.bytes().all(|b| b.is_ascii_graphic() && b != b'\\');
    let here = next.starts_with('/') && !next.starts_with("//");
    if plain && here && !next.starts_with("/sign-") {
        next
    } else {
        "/"
    }
}

#[cfg(test)]
mod tests {
    use super::same_site;

    #[test]
    fn nobody_is_sent_to_another_site() {
        for here in ["/", "/cards/1?side=left", "/cards/1#pillar"] {
            assert_eq!(same_site(here), here);
        }
        let elsewhere = [
            "",
            "//evil.example",
            "https://evil.example",
            "/\\evil.example",
            "\\/evil.example",
            "/\t/evil.example",
            "/a\r\nSet-Cookie: x=1",
            "javascript:alert(1)",
            "evil",
            " /",
            "/sign-out",
            "/ü",
        ];
        for there in elsewhere {
            assert_eq!(same_site(there), "/", "{there:?}");
        }
    }
}
