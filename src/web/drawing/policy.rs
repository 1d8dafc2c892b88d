//! What a drawing that stands alone may do in a browser: show its own style
//! sheet, named by its hash (CSP level 2, section 4.2.5), and nothing else.

use crate::sketch::Look;
use axum::http::HeaderValue;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};

/// The policy of a drawing in this look.
pub fn policy(look: Look) -> HeaderValue {
    let hash = BASE64_STANDARD.encode(Sha256::digest(look.style_sheet()));
    let policy =
        format!("default-src 'none'; style-src 'sha256-{hash}'; frame-ancestors 'none'; sandbox");
    HeaderValue::try_from(policy).expect("a policy is plain text")
}
