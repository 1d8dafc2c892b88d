//! What each address needs of who asks. The one table: an address without a row
//! is answered to nobody.

use crate::domain::role::Deed;
use axum::http::Method;

/// What an address needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Open to everybody.
    Nothing,
    /// Any member with a session.
    SignIn,
    /// A member with a role for this.
    Deed(Deed),
}

use Needs::{Nothing, SignIn};
const RECORD: Needs = Needs::Deed(Deed::Record);
const KEEP: Needs = Needs::Deed(Deed::Keep);
const DECIDE: Needs = Needs::Deed(Deed::Decide);
const OVERSEE: Needs = Needs::Deed(Deed::Oversee);

/// Pattern, what reading it needs, what sending to it needs (`None`: it takes
/// nothing).
pub const TABLE: &[(&str, Needs, Option<Needs>)] = &[
    ("/", SignIn, None),
    ("/find", SignIn, None),
    ("/waiting", SignIn, None),
    // A preference of the browser.
    ("/figures", Nothing, Some(Nothing)),
    ("/body-styles", SignIn, None),
    ("/body-styles/{id}", SignIn, None),
    ("/body-styles/{id}/plan", SignIn, None),
    ("/body-styles/{id}/plan.svg", SignIn, None),
    ("/body-styles/{id}/print", SignIn, None),
    ("/body-styles/{id}/sketch.svg", SignIn, None),
    ("/body-styles/{id}/sketch/{view}", SignIn, None),
    ("/body-styles/{id}/spans/{span}", SignIn, None),
    ("/cards/new", RECORD, Some(RECORD)),
    ("/cards/{id}", SignIn, None),
    ("/cards/{id}/edit", RECORD, Some(RECORD)),
    ("/cards/{id}/export.zip", SignIn, None),
    ("/export", KEEP, None),
    ("/import", RECORD, Some(RECORD)),
    ("/cards/{id}/findings", SignIn, None),
    ("/cards/{id}/findings/new", RECORD, Some(RECORD)),
    ("/cards/{id}/findings/{finding}", SignIn, Some(RECORD)),
    (
        "/cards/{id}/findings/{finding}/correct",
        RECORD,
        Some(RECORD),
    ),
    ("/cards/{id}/findings/{finding}/same", RECORD, Some(RECORD)),
    ("/cards/{id}/history", SignIn, None),
    ("/cards/{id}/history/{revision}", SignIn, None),
    ("/cards/{id}/import", RECORD, Some(RECORD)),
    ("/cards/{id}/import/template.csv", RECORD, None),
    ("/cards/{id}/measurements", RECORD, Some(RECORD)),
    ("/cards/{id}/notes", SignIn, None),
    ("/cards/{id}/notes/new", RECORD, Some(RECORD)),
    ("/cards/{id}/notes/{note}", SignIn, Some(RECORD)),
    ("/cards/{id}/photos/{name}", SignIn, None),
    ("/cards/{id}/photos/{name}/small", SignIn, None),
    ("/cards/{id}/plan", SignIn, None),
    ("/cards/{id}/plan.svg", SignIn, None),
    ("/cards/{id}/print", SignIn, None),
    ("/cards/{id}/adopt", RECORD, Some(RECORD)),
    ("/cards/{id}/review", SignIn, Some(DECIDE)),
    ("/cards/{id}/source", SignIn, Some(RECORD)),
    ("/cards/{id}/sketch.svg", SignIn, None),
    ("/cards/{id}/sketch/{view}", SignIn, None),
    ("/cards/{id}/spans/{span}", SignIn, None),
    ("/cards/{id}/strip", RECORD, Some(RECORD)),
    ("/department", SignIn, Some(DECIDE)),
    ("/department/deletion", KEEP, Some(KEEP)),
    ("/audit", OVERSEE, None),
    ("/audit.csv", OVERSEE, None),
    ("/people", KEEP, Some(KEEP)),
    ("/keys", KEEP, Some(KEEP)),
    // Who holds the link was given it by a keeper; it opens one card, to read.
    ("/shared/{secret}", Nothing, None),
    ("/shared/{secret}/photos/{name}", Nothing, None),
    ("/partners", KEEP, Some(KEEP)),
    ("/cards/{id}/sharing", KEEP, Some(KEEP)),
    ("/account", SignIn, Some(SignIn)),
    ("/account/passkeys", SignIn, Some(SignIn)),
    ("/sign-in", Nothing, Some(Nothing)),
    ("/sign-in/passkey", Nothing, Some(Nothing)),
    ("/sign-in/passkey/ask", Nothing, Some(Nothing)),
    ("/sign-out", Nothing, Some(Nothing)),
    // Who holds the link proves by it that they started the program.
    ("/set-up/{secret}", Nothing, Some(Nothing)),
    // Who holds such a link was given it by a keeper.
    ("/invitations/{secret}", Nothing, Some(Nothing)),
    ("/resets/{secret}", Nothing, Some(Nothing)),
    ("/static/{name}", Nothing, None),
    ("/healthz", Nothing, None),
    ("/readyz", Nothing, None),
    ("/metrics", SignIn, None),
    // Worked out from what is sent, and from nothing that is kept here.
    ("/api/v1/zones", Nothing, Some(Nothing)),
    ("/api/v1/plan", Nothing, Some(Nothing)),
    ("/api/v1/vin/{vin}", Nothing, None),
    ("/api/v1/body-styles", Nothing, None),
    ("/api/v1/body-styles/{id}", Nothing, None),
    ("/api/v1/openapi.json", Nothing, None),
    ("/api/v1/audit", OVERSEE, None),
    ("/api/v1/find", SignIn, None),
    ("/api/v1/cards", SignIn, Some(RECORD)),
    ("/api/v1/cards/{id}", SignIn, None),
    ("/api/v1/cards/{id}/annotations", SignIn, Some(RECORD)),
    (
        "/api/v1/cards/{id}/annotations/{note}/photos",
        RECORD,
        Some(RECORD),
    ),
    ("/api/v1/cards/{id}/photos/{name}", SignIn, None),
    ("/api/v1/cards/{id}/photos/{name}/small", SignIn, None),
    ("/api/v1/cards/{id}/details", SignIn, Some(RECORD)),
    ("/api/v1/cards/{id}/findings", RECORD, Some(RECORD)),
    (
        "/api/v1/cards/{id}/findings/{finding}/status",
        RECORD,
        Some(RECORD),
    ),
    // Answers an ask; changes nothing.
    ("/api/v1/cards/{id}/plan", SignIn, Some(SignIn)),
    ("/api/v1/cards/{id}/sketch.png", SignIn, None),
    ("/api/v1/cards/{id}/sketch.svg", SignIn, None),
    ("/api/v1/cards/{id}/zones", SignIn, None),
    ("/api/v1/department/openings", SignIn, Some(DECIDE)),
    ("/api/v1/department/tools", SignIn, Some(DECIDE)),
];

/// What a request needs; `None` for an address without a row. A method an
/// address does not take needs what reading does: it is told so, no more.
pub fn needs(method: &Method, pattern: &str) -> Option<Needs> {
    let (_, read, send) = TABLE.iter().find(|(known, ..)| *known == pattern)?;
    let reads = matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS);
    Some(match send {
        Some(send) if !reads => *send,
        _ => *read,
    })
}
