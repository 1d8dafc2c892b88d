//! Who asks, and whether they may. Every request passes [`admit`] once: it finds
//! the session, looks the address up in [`access`], and answers itself where the
//! answer is no. An address that is not in the table is answered to nobody.

pub mod access;
mod cookies;

pub use access::{Needs, needs};
pub use cookies::{Secure, begin, cookie, device, end, sent};

use super::error::AppError;
use super::leaving;
use super::state::Service;
use crate::secret;
use crate::store::{Actor, Session};
use axum::extract::{MatchedPath, Request, State};
use axum::http::header::{AUTHORIZATION, LOCATION, SET_COOKIE, WWW_AUTHENTICATE};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum_extra::extract::cookie::CookieJar;
use std::sync::Arc;
use time::{Duration, OffsetDateTime};

/// A session older than this gets a new secret with its next page.
const RENEWED_EVERY: Duration = Duration::days(1);

/// Who a request comes from. Rides in its extensions.
#[derive(Debug, Clone)]
pub enum Visitor {
    /// Nobody known.
    Anonymous,
    /// The demo's own member, for whoever has not signed in.
    WalkIn(Arc<Actor>),
    /// A member with a session.
    Member(Box<Session>, Arc<Actor>),
    /// A program with a key.
    Program(Arc<Actor>),
}

impl Visitor {
    /// Who acts.
    pub fn actor(&self) -> Option<Arc<Actor>> {
        match self {
            Self::Anonymous => None,
            Self::WalkIn(actor) | Self::Member(_, actor) | Self::Program(actor) => {
                Some(actor.clone())
            }
        }
    }

    /// Their session.
    pub fn session(&self) -> Option<&Session> {
        match self {
            Self::Member(session, _) => Some(session),
            Self::Anonymous | Self::WalkIn(_) | Self::Program(_) => None,
        }
    }
}

/// Lets a request through with its [`Visitor`], or answers it.
pub async fn admit(State(service): State<Service>, mut request: Request, next: Next) -> Response {
    let visitor = match visitor(&service, request.uri(), request.headers()).await {
        Ok(visitor) => visitor,
        Err(error) => return refused(error, request.method(), request.uri()),
    };
    // Without a pattern it is no address of ours: the fallback says so.
    if let Some(pattern) = request.extensions().get::<MatchedPath>()
        && let Err(refusal) = may(&visitor, request.method(), pattern.as_str())
    {
        return refused(refusal, request.method(), request.uri());
    }
    let renewed = renewed(&service, &visitor, request.method()).await;
    let leaves_at = visitor.session().and_then(|s| s.leaves_at);
    request.extensions_mut().insert(visitor);
    let mut response = leaving::within(leaves_at, next.run(request)).await;
    // Signing in or out has set its own.
    if let Some(cookie) = renewed
        && !response.headers().contains_key(SET_COOKIE)
    {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
    response
}

async fn visitor(service: &Service, uri: &Uri, headers: &HeaderMap) -> Result<Visitor, AppError> {
    let (jar, secure) = (CookieJar::from_headers(headers), service.door.secure);
    let now = OffsetDateTime::now_utc();
    // A key that does not hold is said to be so: it never falls back to a session.
    if let Some(key) = key_of(headers).filter(|_| takes_keys(uri.path())) {
        let actor = service.store.key_holder(key, now).await?;
        return Ok(Visitor::Program(Arc::new(actor.ok_or(AppError::BadKey)?)));
    }
    if let Some(secret) = cookies::session(&jar, secure)
        && let Some(session) = service.store.session(secret, now).await?
    {
        let actor = Arc::new(session.actor.clone());
        return Ok(Visitor::Member(Box::new(session), actor));
    }
    Ok(match &service.walk_in {
        Some(actor) if !cookies::signed_out(&jar, secure) => Visitor::WalkIn(actor.clone()),
        _ => Visitor::Anonymous,
    })
}

/// Programs have no business on pages.
fn takes_keys(path: &str) -> bool {
    path.starts_with("/api/") || path == "/metrics"
}

/// The key a program sends (RFC 6750, section 2.1).
fn key_of(headers: &HeaderMap) -> Option<&str> {
    let sent = headers.get(AUTHORIZATION)?.to_str().ok()?;
    let (scheme, key) = sent.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| key.trim())
}

fn may(visitor: &Visitor, method: &Method, pattern: &str) -> Result<(), AppError> {
    let needs = needs(method, pattern).ok_or_else(|| {
        AppError::Internal(format!("{pattern} is not in the table of access").into())
    })?;
    match needs {
        Needs::Nothing => Ok(()),
        Needs::SignIn => visitor.actor().map(drop).ok_or(AppError::SignIn),
        Needs::Deed(deed) => {
            let actor = visitor.actor().ok_or(AppError::SignIn)?;
            match actor.roles.may(deed) {
                true => Ok(()),
                false => Err(AppError::Takes(deed.takes())),
            }
        }
    }
}

/// A person is shown where to sign in, and comes back from there; a program is
/// told.
fn refused(refusal: AppError, method: &Method, uri: &Uri) -> Response {
    let for_api = uri.path().starts_with("/api/");
    match refusal {
        AppError::BadKey => {
            let mut response = refusal.into_response();
            let bearer = HeaderValue::from_static("Bearer error=\"invalid_token\"");
            response.headers_mut().insert(WWW_AUTHENTICATE, bearer);
            response
        }
        AppError::SignIn if for_api => {
            let mut response = refusal.into_response();
            let bearer = HeaderValue::from_static("Bearer");
            response.headers_mut().insert(WWW_AUTHENTICATE, bearer);
            response
        }
        AppError::SignIn => {
            let reads = matches!(*method, Method::GET | Method::HEAD);
            let back = uri.path_and_query().filter(|_| reads);
            let to = match back.map(|p| p.as_str()) {
                Some(back) if back != "/" => {
                    let back: String = form_urlencoded::byte_serialize(back.as_bytes()).collect();
                    format!("/sign-in?next={back}")
                }
                _ => "/sign-in".to_owned(),
            };
            match HeaderValue::from_str(&to) {
                Ok(to) => (StatusCode::SEE_OTHER, [(LOCATION, to)]).into_response(),
                Err(_) => AppError::SignIn.into_response(),
            }
        }
        other => other.into_response(),
    }
}

/// A new secret for a session whose own has been in use for a day.
async fn renewed(service: &Service, visitor: &Visitor, method: &Method) -> Option<HeaderValue> {
    let now = OffsetDateTime::now_utc();
    let session = visitor.session()?;
    if *method != Method::GET || now - session.secret_since < RENEWED_EVERY {
        return None;
    }
    let secret = secret::draw();
    let done = service.store.renew_session(&session.id, &secret, now).await;
    // The old one still holds: a failure here is no reason to answer nothing.
    done.ok()?;
    HeaderValue::from_str(&cookies::session_cookie(&secret, service.door.secure)).ok()
}
