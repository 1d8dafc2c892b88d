//! The name passkeys are made under: the public address's, or `localhost`. A
//! device binds a passkey to that name for good, and a browser gives it to no
//! page of another.

use crate::web::error::AppError;
use crate::web::passkeys::ceremony::TIME_TO_ANSWER;
use crate::web::site::Site;
use axum::http::HeaderMap;
use webauthn_rs::prelude::{Url, Webauthn, WebauthnBuilder};

/// What the device shows beside the name.
const SHOWN_AS: &str = "Pillarbook";

/// Why there are no passkeys here, for whoever reads the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoPasskeys {
    #[error(
        "A passkey belongs to a name, and this page was opened under a number. On this machine, open the service as localhost to use passkeys."
    )]
    OpenedByNumber,
    #[error(
        "A passkey belongs to a name, and the public address of this service is a number. Who runs it can give it a name."
    )]
    PublicNumber,
}

impl From<NoPasskeys> for AppError {
    fn from(why: NoPasskeys) -> Self {
        Self::BadRequest(why.to_string())
    }
}

/// Who asks a device for a passkey.
#[derive(Debug)]
pub struct Party {
    /// The name passkeys are bound to.
    pub name: String,
    pub(super) webauthn: Webauthn,
}

impl Party {
    /// The one a request is answered by. With a public address it is that one
    /// whatever the request names: a proxy may pass on its own name for us.
    ///
    /// # Errors
    /// The address is a number.
    pub fn of(site: &Site, headers: &HeaderMap) -> Result<Self, NoPasskeys> {
        match site.public() {
            Some(public) => Self::at(&public.to_string()).ok_or(NoPasskeys::PublicNumber),
            None => Site::host(headers)
                .and_then(|host| Self::at(&format!("http://{host}")))
                .ok_or(NoPasskeys::OpenedByNumber),
        }
    }

    fn at(origin: &str) -> Option<Self> {
        let origin = Url::parse(origin).ok()?;
        let name = origin.domain()?.to_owned();
        let webauthn = WebauthnBuilder::new(&name, &origin)
            .and_then(|party| party.rp_name(SHOWN_AS).timeout(TIME_TO_ANSWER).build())
            .ok()?;
        Some(Self { name, webauthn })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::header::HOST;

    fn party(public: Option<&str>, host: &str) -> Result<(String, String), NoPasskeys> {
        let site = Site::new(public.map(|url| url.parse().unwrap()), &[]);
        let mut headers = HeaderMap::new();
        headers.insert(HOST, host.parse().unwrap());
        let party = Party::of(&site, &headers)?;
        let origins = party.webauthn.get_allowed_origins();
        let [origin] = origins else {
            panic!("{origins:?}")
        };
        Ok((party.name, origin.to_string()))
    }

    #[test]
    fn passkeys_belong_to_the_public_name_or_to_localhost_and_never_to_a_number() {
        let at = |name: &str, origin: &str| Ok((name.to_owned(), origin.to_owned()));
        assert_eq!(
            party(None, "localhost:8080"),
            at("localhost", "http://localhost:8080/")
        );
        let book = Some("https://book.example.test:8443");
        for host in ["book.example.test:8443", "127.0.0.1:8080"] {
            let public = at("book.example.test", "https://book.example.test:8443/");
            assert_eq!(party(book, host), public, "{host}");
        }
        for host in ["127.0.0.1:8080", "[::1]:8080", "127.0.0.1"] {
            assert_eq!(party(None, host), Err(NoPasskeys::OpenedByNumber), "{host}");
        }
        for number in ["https://192.0.2.7", "https://[2001:db8::7]:8443"] {
            let refused = party(Some(number), "localhost:8080");
            assert_eq!(refused, Err(NoPasskeys::PublicNumber), "{number}");
        }
    }
}
