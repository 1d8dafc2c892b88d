//! The first set-up: whoever started the program opens the link it printed, names
//! the department, and becomes its first keeper.

use crate::secret;
use crate::store::{NewCredential, Store, StoreError};
use crate::web::error::AppError;
use crate::web::sign_in::{
    self, check_new_password, check_sign_in_name, forget_passwords, refuse_taken,
};
use crate::web::state::Service;
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;

const DEPARTMENT: Asked<'static> = Asked::new("department", "Department");
const MEMBER: Asked<'static> = Asked::new("member", "Your name");

#[derive(Template, WebTemplate)]
#[template(path = "set_up/set_up.html")]
struct SetUpPage {
    secret: String,
    typed: Typed,
}

/// A new set-up link, as a path; `None` once somebody can sign in.
///
/// # Errors
/// The store failed.
pub async fn offer(store: &Store, now: OffsetDateTime) -> Result<Option<String>, StoreError> {
    let secret = secret::draw();
    let offered = store.offer_set_up(&secret, now).await?;
    Ok(offered.map(|()| format!("/set-up/{secret}")))
}

/// A set-up link, as a path, of a new department beside the others.
///
/// # Errors
/// The name is taken, or the store failed.
pub async fn offer_department(
    store: &Store,
    name: &str,
    now: OffsetDateTime,
) -> Result<String, StoreError> {
    let secret = secret::draw();
    store.offer_department(name, &secret, now).await?;
    Ok(format!("/set-up/{secret}"))
}

/// `GET /set-up/{secret}`.
pub async fn show_set_up(
    State(service): State<Service>,
    Path(secret): Path<String>,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let open = service.store.set_up_link(&secret, now).await?;
    let (department, member) = open.ok_or(AppError::NotFound("set-up link that still works"))?;
    let mut typed = Typed::default();
    typed.put(DEPARTMENT.name, department.name);
    typed.put(MEMBER.name, member.member_name);
    Ok(SetUpPage { secret, typed }.into_response())
}

/// `POST /set-up/{secret}`: uses the link up and signs the keeper in.
pub async fn set_up(
    State(service): State<Service>,
    Path(secret): Path<String>,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    if service.store.set_up_link(&secret, now).await?.is_none() {
        return Err(AppError::NotFound("set-up link that still works"));
    }
    let department = typed.name(DEPARTMENT);
    let member = typed.name(MEMBER);
    let sign_in_name = check_sign_in_name(&mut typed);
    let password = check_new_password(&mut typed, &[&department, &member]);
    let (Some(sign_in_name), Some(password)) = (sign_in_name, password) else {
        return Ok(again(secret, typed));
    };
    let new = NewCredential {
        sign_in_name,
        password_hash: service.door.hash(&password).await?,
    };
    let names = (department.as_str(), member.as_str());
    match service.store.set_up(&secret, names, &new, now).await {
        Ok(Some(actor)) => sign_in::begin(&service, &actor, None, &headers, "/").await,
        Ok(None) => Err(AppError::NotFound("set-up link that still works")),
        Err(StoreError::Duplicate { id }) => {
            let taken = match id == department {
                true => DEPARTMENT,
                false => sign_in::SIGN_IN_NAME,
            };
            refuse_taken(&mut typed, taken, &id);
            Ok(again(secret, typed))
        }
        Err(error) => Err(error.into()),
    }
}

/// The form with what was typed, but for the password.
fn again(secret: String, mut typed: Typed) -> Response {
    forget_passwords(&mut typed);
    (typed.status(), SetUpPage { secret, typed }).into_response()
}
