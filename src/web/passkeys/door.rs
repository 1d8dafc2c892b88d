//! Signing in with a passkey, without saying a name: the device says whose it is.

use super::party::Party;
use crate::store::{Actor, KnownPasskey, Store};
use crate::web::error::AppError;
use crate::web::sign_in::{self, From, Try, same_site};
use crate::web::state::Service;
use crate::web::typed::{Asked, Typed};
use crate::web::who::Visitor;
use axum::Json;
use axum::extract::{Extension, State};
use axum::http::header::CACHE_CONTROL;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use serde_json::json;
use time::OffsetDateTime;
use webauthn_rs::prelude::{
    DiscoverableAuthentication, Passkey, PublicKeyCredential, WebauthnError,
};

const PASSKEY: Asked<'static> = Asked::new("passkey", "Passkey");
const TOO_OLD: &str = "it came too late, or the page was sent twice; try again";
const UNKNOWN: &str =
    "it is not known here, or no more; sign in with the password, and look at your account page";
const DOUBTED: &str = "it is not accepted any more: its counter went back, so there may be a copy of it; sign in with the password and remove it on your account page";

/// `POST /sign-in/passkey/ask`: what the script asks the device.
pub async fn ask_passkey(
    State(service): State<Service>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let party = Party::of(&service.site, &headers)?;
    let (asked, state) = party
        .webauthn
        .start_discoverable_authentication()
        .map_err(|e| AppError::Internal(e.into()))?;
    let now = OffsetDateTime::now_utc();
    let ceremony = service.passkeys.signing_in.begin(state, now).await;
    let answer = json!({"ceremony": ceremony, "options": asked.public_key});
    Ok(([(CACHE_CONTROL, "no-store")], Json(answer)).into_response())
}

/// `POST /sign-in/passkey`: begins a session, or says no.
pub async fn sign_in_by_passkey(
    State(service): State<Service>,
    Extension(visitor): Extension<Visitor>,
    From(address): From,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let now = OffsetDateTime::now_utc();
    let party = Party::of(&service.site, &headers)?;
    let open = &service.passkeys.signing_in;
    let begun = open.take(typed.value("ceremony"), now).await;
    let answer: Option<PublicKeyCredential> = serde_json::from_str(typed.value("answer")).ok();
    let (Some(begun), Some(answer)) = (begun, answer) else {
        typed.refuse(PASSKEY, TOO_OLD);
        return refused(&service, &visitor, &headers, typed).await;
    };
    let known = whose(&service.store, &party, &answer).await?;
    let asked = Try {
        account: known.as_ref().map_or("", |k| k.sign_in_name.as_str()),
        address,
        known_browser: sign_in::knows_browser(&service, known.as_ref().map(|k| &k.actor), &headers)
            .await?,
    };
    let wait = service.door.wait(&service.store, &asked, now).await?;
    if wait > 0 {
        return Ok(sign_in::wait_first(wait));
    }
    let judged = match &known {
        Some(known) => judge(&service.store, &party, known, (begun, &answer)).await?,
        None => Err(UNKNOWN),
    };
    match judged {
        Ok(actor) => {
            service.door.succeeded(&service.store, &asked).await?;
            let to = same_site(typed.value("next"));
            sign_in::begin(&service, actor, visitor.session(), &headers, to).await
        }
        Err(said) => {
            service.door.failed(&service.store, &asked, now).await?;
            typed.refuse(PASSKEY, said);
            refused(&service, &visitor, &headers, typed).await
        }
    }
}

/// Whom an answer lets in, or what is said instead; writes down which.
async fn judge<'a>(
    store: &Store,
    party: &Party,
    known: &'a KnownPasskey,
    answered: (DiscoverableAuthentication, &PublicKeyCredential),
) -> Result<Result<&'a Actor, &'static str>, AppError> {
    let now = OffsetDateTime::now_utc();
    Ok(match checked(party, known, answered) {
        Checked::Right(public_half) => {
            let used = store.use_passkey(known, &public_half, now).await?;
            used.map(|()| &known.actor).ok_or(TOO_OLD)
        }
        Checked::MayBeACopy => {
            store.doubt_passkey(known, now).await?;
            Err(DOUBTED)
        }
        Checked::Wrong => Err(UNKNOWN),
    })
}

async fn refused(
    service: &Service,
    visitor: &Visitor,
    headers: &HeaderMap,
    typed: Typed,
) -> Result<Response, AppError> {
    let status = StatusCode::UNPROCESSABLE_ENTITY;
    sign_in::sign_in_page(service, (visitor, headers), typed, status).await
}

/// The passkey a device shows, if it is kept here and is the one of the member
/// the device says.
async fn whose(
    store: &Store,
    party: &Party,
    answer: &PublicKeyCredential,
) -> Result<Option<KnownPasskey>, AppError> {
    let said = party.webauthn.identify_discoverable_authentication(answer);
    let Ok((member, handle)) = said else {
        return Ok(None);
    };
    let known = store.passkey(handle).await?;
    Ok(known.filter(|known| known.actor.member.as_str() == member.to_string()))
}

/// What a device's answer is worth.
enum Checked {
    /// With the public half as it is since.
    Right(String),
    /// Signed with the right key, whose counter went back, now or before.
    MayBeACopy,
    Wrong,
}

fn checked(
    party: &Party,
    known: &KnownPasskey,
    (begun, answer): (DiscoverableAuthentication, &PublicKeyCredential),
) -> Checked {
    let Ok(mut passkey) = serde_json::from_str::<Passkey>(&known.public_half) else {
        return Checked::Wrong;
    };
    let checked = party
        .webauthn
        .finish_discoverable_authentication_v2(answer, begun, &passkey);
    match checked {
        Err(WebauthnError::CredentialPossibleCompromise) => Checked::MayBeACopy,
        Ok(_) if known.doubted => Checked::MayBeACopy,
        Ok(result) if result.user_verified() => {
            passkey.update_credential(&result);
            serde_json::to_string(&passkey).map_or(Checked::Wrong, Checked::Right)
        }
        Ok(_) | Err(_) => Checked::Wrong,
    }
}
