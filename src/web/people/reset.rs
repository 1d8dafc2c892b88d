//! Following a link to a new password.

use crate::store::Reset;
use crate::web::error::AppError;
use crate::web::sign_in::{self, check_new_password, forget_passwords};
use crate::web::state::Service;
use crate::web::typed::Typed;
use crate::web::who::Visitor;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Extension, Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;

const GONE: AppError = AppError::NotFound("link to a new password that still works");

#[derive(Template, WebTemplate)]
#[template(path = "people/reset.html")]
struct ResetPage {
    secret: String,
    name: String,
    sign_in_name: String,
    typed: Typed,
}

impl ResetPage {
    fn new(secret: String, open: Reset, mut typed: Typed) -> Self {
        forget_passwords(&mut typed);
        Self {
            secret,
            name: open.actor.member_name,
            sign_in_name: open.sign_in_name,
            typed,
        }
    }
}

/// `GET /resets/{secret}`.
pub async fn show_reset(
    State(service): State<Service>,
    Path(secret): Path<String>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let open = service.store.reset_link(&secret, now).await?.ok_or(GONE)?;
    Ok(ResetPage::new(secret, open, Typed::default()).into_response())
}

/// `POST /resets/{secret}`: sets the password, signs every browser out and this
/// one in.
pub async fn reset_password(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
    Path(secret): Path<String>,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let open = service.store.reset_link(&secret, now).await?.ok_or(GONE)?;
    let known = [open.sign_in_name.as_str(), &open.actor.member_name];
    let Some(password) = check_new_password(&mut typed, &known) else {
        let page = ResetPage::new(secret, open, typed);
        return Ok((page.typed.status(), page).into_response());
    };
    let hash = service.door.hash(&password).await?;
    let reset = service.store.reset_password(&secret, &hash, now).await?;
    let actor = reset.ok_or(GONE)?;
    sign_in::begin(&service, &actor, visitor.session(), &headers, "/").await
}
