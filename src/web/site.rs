//! Where the service is reached, and from where a request comes.
//!
//! Without a public address the service is this machine's own. With one, a
//! program that ends TLS stands before it: its requests come under the public
//! name, and, where it is trusted by its address, it says who asked it.

use super::origin::is_loopback_name;
use super::state::Service;
use crate::config::PublicUrl;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;
use std::net::IpAddr;
use std::sync::Arc;

/// A year, as is common practice.
const STRICT: &str = "max-age=31536000";

/// Where the service is reached; cloning is cheap.
#[derive(Debug, Clone, Default)]
pub struct Site {
    public: Option<Arc<PublicUrl>>,
    /// Who is believed about whom they ask for.
    proxies: Arc<[IpAddr]>,
}

impl Site {
    pub fn new(public: Option<PublicUrl>, proxies: &[IpAddr]) -> Self {
        Self {
            public: public.map(Arc::new),
            proxies: proxies.into(),
        }
    }

    /// Whether others may reach it.
    pub fn is_public(&self) -> bool {
        self.public.is_some()
    }

    /// The address others reach it under.
    pub(super) fn public(&self) -> Option<&PublicUrl> {
        self.public.as_deref()
    }

    /// Whether a `Host` is one of its own: others are names re-pointed here.
    pub(super) fn is_own_host(&self, host: &str) -> bool {
        is_loopback_name(host) || self.public.as_ref().is_some_and(|p| p.is_named(host))
    }

    /// Whether an `Origin` is one of our own pages, asked under this `Host`.
    pub(super) fn is_own_origin(&self, origin: &str, host: &str) -> bool {
        let Some((scheme, authority)) = origin.split_once("://") else {
            return false;
        };
        let public = |p: &Arc<PublicUrl>| scheme == "https" && p.is_named(authority);
        if self.public.as_ref().is_some_and(public) {
            return true;
        }
        is_loopback_name(host) && authority.eq_ignore_ascii_case(host)
    }

    /// A path as a link that somebody else can open.
    pub(super) fn link(&self, host: Option<&str>, path: &str) -> String {
        match (&self.public, host) {
            (Some(public), _) => format!("{public}{path}"),
            (None, Some(host)) => format!("http://{host}{path}"),
            (None, None) => path.to_owned(),
        }
    }

    /// Who asks. A proxy that is trusted names them last in `X-Forwarded-For`;
    /// what stands before it anybody may have written.
    pub(super) fn asker(&self, peer: Option<IpAddr>, headers: &HeaderMap) -> Option<IpAddr> {
        let peer = peer.map(|p| p.to_canonical());
        if !peer.is_some_and(|p| self.proxies.contains(&p)) {
            return peer;
        }
        let last = headers.get_all("x-forwarded-for").iter().next_back();
        let named = last
            .and_then(|v| v.to_str().ok())
            .and_then(|v| v.rsplit(',').next())
            .and_then(|v| v.trim().parse::<IpAddr>().ok());
        named.map(|n| n.to_canonical()).or(peer)
    }

    /// What keeps a browser to TLS under the public name (RFC 6797); nothing is
    /// said under another, nor of names below it, which may be others'.
    fn strict(&self, host: Option<&str>) -> Option<HeaderValue> {
        let public = self.public.as_ref()?;
        let named = host.is_some_and(|host| public.is_named(host));
        named.then(|| HeaderValue::from_static(STRICT))
    }

    /// The host a request names.
    pub(super) fn host(headers: &HeaderMap) -> Option<&str> {
        headers.get(header::HOST).and_then(|v| v.to_str().ok())
    }
}

/// Tells browsers that reach it under the public address to come by TLS alone.
pub async fn keep_to_tls(State(service): State<Service>, request: Request, next: Next) -> Response {
    let strict = service.site.strict(Site::host(request.headers()));
    let mut response = next.run(request).await;
    if let Some(strict) = strict {
        let headers = response.headers_mut();
        headers.insert(header::STRICT_TRANSPORT_SECURITY, strict);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn public() -> Site {
        let proxy = "10.0.0.9".parse().unwrap();
        Site::new("https://book.example.test".parse().ok(), &[proxy])
    }

    #[test]
    fn a_page_of_another_site_is_not_ours_whatever_name_it_takes() {
        let site = public();
        let host = "book.example.test";
        assert!(site.is_own_origin("https://book.example.test", host));
        // A proxy may pass on its own name for us.
        assert!(site.is_own_origin("https://book.example.test", "127.0.0.1:8080"));
        for other in [
            "null",
            "http://book.example.test",
            "https://evil.example",
            "https://book.example.test.evil.example",
            "https://book.example.test:8443",
        ] {
            assert!(!site.is_own_origin(other, host), "{other}");
        }
        assert!(!Site::default().is_own_host(host));
        assert!(site.is_own_host(host) && !site.is_own_host("evil.example"));
    }

    #[test]
    fn only_a_trusted_proxy_says_who_asks_and_only_the_last_it_names_counts() {
        let ip = |text: &str| text.parse::<IpAddr>().unwrap();
        let mut headers = HeaderMap::new();
        headers.insert("x-forwarded-for", "1.2.3.4, 192.0.2.7".parse().unwrap());
        let by = |peer| public().asker(Some(ip(peer)), &headers);
        assert_eq!(by("10.0.0.9"), Some(ip("192.0.2.7")));
        assert_eq!(by("::ffff:10.0.0.9"), Some(ip("192.0.2.7")));
        assert_eq!(by("198.51.100.1"), Some(ip("198.51.100.1")));
        let none = public().asker(Some(ip("10.0.0.9")), &HeaderMap::new());
        assert_eq!(none, Some(ip("10.0.0.9")));
    }
}
