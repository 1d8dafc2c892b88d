//! A text that many things carry: ids and names of spans, parts, expectations.
//! Copies share it, so that an answer with hundreds of them is made quickly.

use std::borrow::Borrow;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// A shared text that never changes. Read and compared like any other.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct Name(Arc<str>);

impl Name {
    pub fn as_str(&self) -> &str {
        self
    }
}

impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl AsRef<str> for Name {
    fn as_ref(&self) -> &str {
        self
    }
}

impl Borrow<str> for Name {
    fn borrow(&self) -> &str {
        self
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&**self, f)
    }
}

impl From<&str> for Name {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl From<String> for Name {
    fn from(text: String) -> Self {
        Self(text.into())
    }
}

impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.to_string()
    }
}

macro_rules! compared_with {
    ($($text:ty),+) => {
        $(
            impl PartialEq<$text> for Name {
                fn eq(&self, other: &$text) -> bool {
                    let other: &str = other;
                    **self == *other
                }
            }

            impl PartialEq<Name> for $text {
                fn eq(&self, other: &Name) -> bool {
                    other == self
                }
            }
        )+
    };
}

compared_with!(str, &str, String);
