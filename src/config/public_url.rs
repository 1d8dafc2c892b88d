//! The address under which others reach the service.

use std::fmt;
use std::str::FromStr;

/// `https://` and a name, with a port where it is not 443: passwords and cards
/// travel to it, so nothing but TLS will do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PublicUrl {
    /// In lower case, without the port that goes without saying.
    authority: String,
}

impl PublicUrl {
    /// Name and port as a `Host` header says them.
    pub fn authority(&self) -> &str {
        &self.authority
    }

    /// Whether a `Host` or an `Origin`'s host names it.
    pub fn is_named(&self, host: &str) -> bool {
        host.strip_suffix(":443")
            .unwrap_or(host)
            .eq_ignore_ascii_case(&self.authority)
    }
}

impl fmt::Display for PublicUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "https://{}", self.authority)
    }
}

impl FromStr for PublicUrl {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const SAID: &str = "give https:// and a name, with a port if need be and no path, \
             for example https://book.example.test";
        let url: http::Uri = text.trim().parse().map_err(|_| SAID)?;
        let bare = matches!(url.path(), "" | "/") && url.query().is_none();
        let authority = url.authority().ok_or(SAID)?.as_str().to_lowercase();
        let https = url.scheme_str() == Some("https");
        if !https || !bare || authority.contains('@') || authority.ends_with(':') {
            return Err(SAID);
        }
        let authority = authority.strip_suffix(":443").unwrap_or(&authority);
        Ok(Self {
            authority: authority.to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_https_and_a_name_and_nothing_else() {
        for (given, kept) in [
            ("https://Book.example.test", "https://book.example.test"),
            (
                "https://book.example.test:443/",
                "https://book.example.test",
            ),
            (
                "https://book.example.test:8443",
                "https://book.example.test:8443",
            ),
        ] {
            let url: PublicUrl = given.parse().unwrap();
            assert_eq!(url.to_string(), kept);
        }
        for refused in [
            "",
            "book.example.test",
            "http://book.example.test",
            "https://",
            "https://a@book.example.test",
            "https://book.example.test/book",
            "https://book.example.test?x=1",
            "ftp://book.example.test",
        ] {
            assert!(refused.parse::<PublicUrl>().is_err(), "{refused}");
        }
    }

    #[test]
    fn a_name_that_only_begins_or_ends_like_it_is_another() {
        let url: PublicUrl = "https://book.example.test".parse().unwrap();
        for same in ["book.example.test", "BOOK.example.test:443"] {
            assert!(url.is_named(same), "{same}");
        }
        for other in [
            "",
            "book.example.test:8443",
            "book.example.test.example",
            "a.book.example.test",
            "localhost",
        ] {
            assert!(!url.is_named(other), "{other}");
        }
    }
}
