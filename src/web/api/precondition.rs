//! `If-Match`: which revision a write is based on (RFC 9110 section 13.1.1).

use super::problems::ApiError;
use crate::store::Revision;
use axum::http::{HeaderMap, StatusCode, header};

/// What a write says it is based on.
#[derive(Debug, PartialEq, Eq)]
pub enum IfMatch {
    /// Nothing said.
    Missing,
    /// `*`: whatever there is.
    Any,
    /// One of these revisions. Tags that are none of ours match nothing.
    OneOf(Vec<Revision>),
}

impl IfMatch {
    pub fn of(headers: &HeaderMap) -> Self {
        let mut given = headers.get_all(header::IF_MATCH).iter().peekable();
        if given.peek().is_none() {
            return Self::Missing;
        }
        let values: Vec<&str> = given.filter_map(|value| value.to_str().ok()).collect();
        let tags = || {
            values
                .iter()
                .flat_map(|value| value.split(','))
                .map(str::trim)
        };
        if tags().any(|tag| tag == "*") {
            return Self::Any;
        }
        // What an overdue review adds to a tag does not change what is written to.
        let revision = |tag: &str| {
            let tag = tag.strip_prefix('"')?.strip_suffix('"')?;
            tag.strip_suffix("-late").unwrap_or(tag).parse().ok()
        };
        Self::OneOf(tags().filter_map(revision).collect())
    }

    /// The same, where a write must say what it is based on.
    pub fn required(headers: &HeaderMap) -> Result<Self, ApiError> {
        match Self::of(headers) {
            Self::Missing => Err(ApiError::new(
                StatusCode::PRECONDITION_REQUIRED,
                "Send If-Match with the ETag of the version you changed, so that nobody else's \
                 change is lost. Nothing was changed.",
            )),
            given => Ok(given),
        }
    }

    /// Whether a write may go ahead on this revision.
    pub fn allows(&self, current: Revision) -> bool {
        match self {
            Self::Missing | Self::Any => true,
            Self::OneOf(revisions) => revisions.contains(&current),
        }
    }

    /// The revision named, where there is one.
    pub fn named(&self) -> Option<Revision> {
        match self {
            Self::OneOf(revisions) => revisions.first().copied(),
            Self::Missing | Self::Any => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn read(value: &'static str) -> IfMatch {
        let mut headers = HeaderMap::new();
        headers.insert(header::IF_MATCH, HeaderValue::from_static(value));
        IfMatch::of(&headers)
    }

    #[test]
    fn only_a_strong_tag_of_the_current_revision_lets_a_write_through() {
        assert_eq!(read("\"7\""), IfMatch::OneOf(vec![7]));
        assert!(read("\"6\", \"7\"").allows(7));
        assert!(read("\"7-late\"").allows(7));
        assert!(!read("\"6\"").allows(7));
        assert!(!read("W/\"7\"").allows(7), "a weak tag never matches");
        assert!(!read("7").allows(7) && !read("\"seven\"").allows(7));
        assert_eq!(read("*"), IfMatch::Any);
        assert_eq!(IfMatch::of(&HeaderMap::new()), IfMatch::Missing);
    }
}
