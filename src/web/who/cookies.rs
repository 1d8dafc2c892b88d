//! The cookies of a session: its secret, the mark of a browser somebody has
//! signed in on, and that somebody signed out of the demo.
//!
//! Where they are sent over TLS alone, their names begin with `__Host-`: then no
//! browser takes one from another name below the same domain, nor over plain HTTP
//! (RFC 6265bis, section 4.1.3.2), and one without it is not looked at.

use crate::store::SESSION_IDLE;
use axum_extra::extract::cookie::{Cookie, CookieJar, SameSite};
use time::Duration;

const SESSION: &str = "session";
const DEVICE: &str = "device";
const SIGNED_OUT: &str = "signed-out";
/// A browser is remembered longer than a session, so that it is still known when
/// somebody signs in there again.
const DEVICE_KEPT: Duration = Duration::days(400);

/// Whether cookies are sent over TLS alone: wherever the service is reached from
/// other machines.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Secure(pub bool);

impl Secure {
    /// The name a cookie goes by.
    fn name(self, name: &str) -> String {
        match self.0 {
            true => format!("__Host-{name}"),
            false => name.to_owned(),
        }
    }
}

/// The value of a cookie, as sent.
pub fn sent<'a>(jar: &'a CookieJar, name: &str, secure: Secure) -> Option<&'a str> {
    jar.get(&secure.name(name)).map(Cookie::value)
}

/// The secret of a session, as sent.
pub(super) fn session(jar: &CookieJar, secure: Secure) -> Option<&str> {
    sent(jar, SESSION, secure)
}

/// The mark of a browser, as sent.
pub fn device(jar: &CookieJar, secure: Secure) -> Option<&str> {
    sent(jar, DEVICE, secure)
}

pub(super) fn signed_out(jar: &CookieJar, secure: Secure) -> bool {
    sent(jar, SIGNED_OUT, secure).is_some()
}

/// Out of reach of scripts, and sent with requests of our own pages and with
/// links that lead here, never with another site's form.
pub fn cookie(name: &str, value: &str, kept: Duration, secure: Secure) -> Cookie<'static> {
    Cookie::build((secure.name(name), value.to_owned()))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(secure.0)
        .max_age(kept)
        .build()
}

pub(super) fn session_cookie(secret: &str, secure: Secure) -> String {
    cookie(SESSION, secret, SESSION_IDLE, secure).to_string()
}

/// The cookies of a new session, each a `Set-Cookie`.
pub fn begin(secret: &str, device: &str, secure: Secure) -> [String; 3] {
    [
        session_cookie(secret, secure),
        cookie(DEVICE, device, DEVICE_KEPT, secure).to_string(),
        cookie(SIGNED_OUT, "", Duration::ZERO, secure).to_string(),
    ]
}

/// The cookies of an ended one.
pub fn end(secure: Secure) -> [String; 2] {
    [
        cookie(SESSION, "", Duration::ZERO, secure).to_string(),
        cookie(SIGNED_OUT, "1", DEVICE_KEPT, secure).to_string(),
    ]
}
