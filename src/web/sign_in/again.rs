//! The password asked for once more, before something that cannot be undone: an
//! open session on an unwatched phone is not enough for it.

use super::doorkeeper::{Doorkeeper, Try};
use crate::store::{Actor, Store};
use crate::web::error::AppError;
use std::net::IpAddr;
use time::OffsetDateTime;

/// Whether this is the actor's own password; tries are counted and slowed down
/// as at sign-in.
///
/// # Errors
/// [`AppError::Wait`] after too many failed tries; the actor signs in with no
/// password; the store failed.
pub async fn is_own_password(
    door: &Doorkeeper,
    store: &Store,
    (actor, address): (&Actor, Option<IpAddr>),
    password: &str,
) -> Result<bool, AppError> {
    let now = OffsetDateTime::now_utc();
    let account = store.sign_in_name(actor).await?;
    let account = account.ok_or(AppError::NotFound("password"))?;
    let asked = Try {
        account: &account,
        address,
        known_browser: true,
    };
    let wait = door.wait(store, &asked, now).await?;
    if wait > 0 {
        return Err(AppError::Wait(wait));
    }
    let known = store.credential(&account).await?;
    let hash = known.as_ref().map(|k| k.password_hash.as_str());
    let right = door.is_right(password, hash).await?;
    match right {
        true => door.succeeded(store, &asked).await?,
        false => door.failed(store, &asked, now).await?,
    }
    Ok(right)
}
