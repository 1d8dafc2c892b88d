//! What a browser sends here on behalf of another site is refused: the `Host`
//! must be one of the service's own names (against names that are re-pointed at
//! it), and whatever changes something must come from our own pages. That, with
//! cookies that no other site's form carries, needs no token in each form.

use super::error::AppError;
use super::site::Site;
use super::state::Service;
use axum::extract::{Request, State};
use axum::http::header::{HOST, ORIGIN};
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

const WRONG_HOST: &str = "This service answers on this machine only, as localhost or 127.0.0.1.";
const OTHER_HOST: &str = "This service does not answer under that name.";
const WRONG_ORIGIN: &str = "The request came from another site. Nothing was changed. Open the page here and send it again.";

/// Lets a request through, or answers 403.
pub async fn check_origin(
    State(service): State<Service>,
    request: Request,
    next: Next,
) -> Response {
    let site = &service.site;
    let host = host_of(&request);
    if !host.as_deref().is_some_and(|host| site.is_own_host(host)) {
        let said = if site.is_public() {
            OTHER_HOST
        } else {
            WRONG_HOST
        };
        return AppError::Refused(said).into_response();
    }
    let reads = matches!(
        *request.method(),
        Method::GET | Method::HEAD | Method::OPTIONS
    );
    if !reads && !is_own_page(site, request.headers(), host.as_deref().unwrap_or_default()) {
        return AppError::Refused(WRONG_ORIGIN).into_response();
    }
    next.run(request).await
}

/// Host and port asked for, from the header or (HTTP/2) the address itself.
fn host_of(request: &Request) -> Option<String> {
    let header = request.headers().get(HOST).and_then(|v| v.to_str().ok());
    header
        .map(str::to_owned)
        .or_else(|| request.uri().authority().map(|a| a.as_str().to_owned()))
}

/// Whether a `Host` names this machine itself, with or without a port.
pub(super) fn is_loopback_name(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(v6) => v6.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    name.eq_ignore_ascii_case("localhost")
        || name
            .parse::<std::net::IpAddr>()
            .is_ok_and(|ip| ip.is_loopback())
}

/// Whether the request comes from one of our own pages, or from no page at all
/// (a browser always sends at least one of the two headers with a form).
fn is_own_page(site: &Site, headers: &HeaderMap, host: &str) -> bool {
    let text = |name: &str| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
    let site_agrees = text("sec-fetch-site").is_none_or(|s| s == "same-origin" || s == "none");
    let origin_agrees = text(ORIGIN.as_str()).is_none_or(|o| site.is_own_origin(o, host));
    site_agrees && origin_agrees
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_loopback_names_are_this_machine() {
        for own in [
            "localhost",
            "LOCALHOST:8080",
            "127.0.0.1:8080",
            "127.9.9.9",
            "[::1]:80",
        ] {
            assert!(is_loopback_name(own), "{own}");
        }
        for other in [
            "",
            "example.test",
            "localhost.example.test",
            "10.0.0.1:8080",
            "[::2]",
            "127.0.0.1.example.test",
        ] {
            assert!(!is_loopback_name(other), "{other}");
        }
    }

    #[test]
    fn a_form_of_another_site_or_of_another_port_is_not_ours() {
        let with = |name: &'static str, value: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(name, axum::http::HeaderValue::from_static(value));
            is_own_page(&Site::default(), &headers, "localhost:8080")
        };
        assert!(with("origin", "http://localhost:8080"));
        assert!(!with("origin", "http://localhost:9090"));
        assert!(!with("origin", "http://example.test"));
        assert!(!with("origin", "null"));
        assert!(with("sec-fetch-site", "same-origin"));
        assert!(!with("sec-fetch-site", "cross-site"));
        assert!(!with("sec-fetch-site", "same-site"));
        assert!(is_own_page(
            &Site::default(),
            &HeaderMap::new(),
            "localhost:8080"
        ));
    }
}
