//! Following an invitation: a name, a sign-in name, a password, and in.

use crate::domain::role::Role;
use crate::store::{Invitation, NewCredential, StoreError};
use crate::web::error::AppError;
use crate::web::sign_in::{
    self, SIGN_IN_NAME, check_new_password, check_sign_in_name, forget_passwords, refuse_taken,
};
use crate::web::state::Service;
use crate::web::typed::{Asked, Typed};
use crate::web::who::Visitor;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Extension, Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;

const MEMBER: Asked<'static> = Asked::new("member", "Your name");
const GONE: AppError = AppError::NotFound("invitation that still works");

#[derive(Template, WebTemplate)]
#[template(path = "people/invitation.html")]
struct InvitationPage {
    secret: String,
    department: String,
    roles: Vec<Role>,
    typed: Typed,
}

impl InvitationPage {
    fn new(secret: String, open: &Invitation, mut typed: Typed) -> Self {
        forget_passwords(&mut typed);
        Self {
            secret,
            department: open.department.name.clone(),
            roles: open.roles.iter().collect(),
            typed,
        }
    }
}

/// `GET /invitations/{secret}`.
pub async fn show_invitation(
    State(service): State<Service>,
    Path(secret): Path<String>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let open = service.store.invitation(&secret, now).await?.ok_or(GONE)?;
    let mut typed = Typed::default();
    typed.put(MEMBER.name, open.name.clone());
    Ok(InvitationPage::new(secret, &open, typed).into_response())
}

/// `POST /invitations/{secret}`: makes the member and signs them in. Name and
/// password are theirs to choose; roles and department are the invitation's.
pub async fn accept_invitation(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
    Path(secret): Path<String>,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let open = service.store.invitation(&secret, now).await?.ok_or(GONE)?;
    let member = typed.name(MEMBER);
    let sign_in_name = check_sign_in_name(&mut typed);
    let password = check_new_password(&mut typed, &[&open.department.name, &member]);
    let (Some(sign_in_name), Some(password)) = (sign_in_name, password) else {
        let page = InvitationPage::new(secret, &open, typed);
        return Ok((page.typed.status(), page).into_response());
    };
    let new = NewCredential {
        sign_in_name,
        password_hash: service.door.hash(&password).await?,
    };
    let accepted = service.store.accept_invitation(&secret, &member, &new, now);
    match accepted.await {
        Ok(Some(actor)) => sign_in::begin(&service, &actor, visitor.session(), &headers, "/").await,
        Ok(None) => Err(GONE),
        Err(StoreError::Duplicate { id }) => {
            refuse_taken(&mut typed, SIGN_IN_NAME, &id);
            let page = InvitationPage::new(secret, &open, typed);
            Ok((page.typed.status(), page).into_response())
        }
        Err(other) => Err(other.into()),
    }
}
