//! Adding and removing one's own passkeys: from the account page, and with the
//! password each time.

use super::ceremony::Adding;
use super::party::Party;
use super::rows::removal_field;
use crate::store::{Actor, MOST_PASSKEYS, NewPasskey, PasskeyId, Session, StoreError};
use crate::web::error::AppError;
use crate::web::sign_in::{self, From, is_own_password};
use crate::web::state::{AppState, Service};
use crate::web::typed::{Asked, Typed};
use crate::web::who::Visitor;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Extension, State};
use axum::http::HeaderMap;
use axum::http::header::CACHE_CONTROL;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::{Value, json};
use time::OffsetDateTime;
use webauthn_rs::prelude::{CreationChallengeResponse, RegisterPublicKeyCredential, Uuid};

const LABEL: Asked<'static> = Asked::new("passkey", "Name of the passkey");
const OWN: Asked<'static> = Asked::new("own", "Your password");
const NOT_YOURS: &str = "this is not your password";
const TOO_OLD: &str =
    "it was made too late, or the page was sent twice: nothing was kept, begin again";
const NOT_SOUND: &str = "what the device answered does not belong to what it was asked: nothing was kept, begin again; delete what the device may have kept";

/// Where a passkey is made: the device is asked when the member presses.
#[derive(Template, WebTemplate)]
#[template(path = "passkeys/make.html")]
struct MakePage {
    label: String,
    /// By which the answer finds its question.
    ceremony: String,
    /// What the device is asked, for the script.
    options: String,
}

/// `GET /account/passkeys`: a page made anew by hand leads nowhere else.
pub async fn back_to_account() -> Redirect {
    Redirect::to("/account")
}

/// What a request about one's own passkeys is answered with.
struct Asking<'a> {
    service: &'a Service,
    state: &'a AppState,
    visitor: &'a Visitor,
    headers: &'a HeaderMap,
    session: &'a Session,
    from: From,
}

/// `POST /account/passkeys`: asks the device for one, keeps what it answers, or
/// removes one.
pub async fn change_passkeys(
    State(service): State<Service>,
    state: AppState,
    Extension(visitor): Extension<Visitor>,
    from: From,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, AppError> {
    let session = visitor.session().ok_or(AppError::NotFound("password"))?;
    let asking = Asking {
        service: &service,
        state: &state,
        visitor: &visitor,
        headers: &headers,
        session,
        from,
    };
    match typed.value("do") {
        "add" => asking.ask_device(typed).await,
        "made" => asking.keep(typed).await,
        "remove" => asking.remove(typed).await,
        _ => Err(AppError::BadRequest(
            "add, made or remove is accepted for do.".to_owned(),
        )),
    }
}

impl Asking<'_> {
    async fn account(&self, typed: Typed) -> Result<Response, AppError> {
        sign_in::account_page(
            self.service,
            self.state,
            (self.visitor, self.headers),
            typed,
        )
        .await
    }

    /// Says beside a field what is wrong where it does not hold the password.
    async fn check_password(&self, typed: &mut Typed, field: Asked<'_>) -> Result<(), AppError> {
        let password = typed.value(field.name).to_owned();
        typed.put(field.name, "");
        let asker = (self.state.actor.as_ref(), self.from.0);
        let (door, store) = (&self.service.door, &self.state.store);
        if !is_own_password(door, store, asker, &password).await? {
            typed.refuse(field, NOT_YOURS);
        }
        Ok(())
    }

    async fn ask_device(&self, mut typed: Typed) -> Result<Response, AppError> {
        let party = Party::of(&self.service.site, self.headers)?;
        let actor = &self.state.actor;
        let label = typed.name(LABEL);
        let held = self.state.store.passkeys(actor).await?;
        // Before the device keeps what nobody would accept.
        if held.len() >= MOST_PASSKEYS {
            typed.refuse(LABEL, too_many());
        }
        if held.iter().any(|other| other.label == label) {
            let said = format!("you have one of the name “{label}”; choose another");
            typed.refuse(LABEL, said);
        }
        self.check_password(&mut typed, OWN).await?;
        if !typed.is_valid() {
            return self.account(typed).await;
        }
        let known = held
            .into_iter()
            .filter(|other| other.party == party.name)
            .map(|other| other.handle);
        let account = self.state.store.sign_in_name(actor).await?;
        let account = account.ok_or(AppError::NotFound("password"))?;
        let (asked, state) = party
            .webauthn
            .start_passkey_registration(
                user_handle(actor)?,
                &account,
                &actor.member_name,
                Some(known.collect()),
            )
            .map_err(|e| AppError::Internal(e.into()))?;
        let adding = Adding {
            member: actor.member.clone(),
            session: self.session.id.clone(),
            label: label.clone(),
            party: party.name,
            state,
        };
        let now = OffsetDateTime::now_utc();
        let page = MakePage {
            label,
            ceremony: self.service.passkeys.adding.begin(adding, now).await,
            options: kept_by_the_device(&asked)?.to_string(),
        };
        Ok(([(CACHE_CONTROL, "no-store")], page).into_response())
    }

    async fn keep(&self, mut typed: Typed) -> Result<Response, AppError> {
        let party = Party::of(&self.service.site, self.headers)?;
        let now = OffsetDateTime::now_utc();
        let Some(begun) = self.begun(&party, typed.value("ceremony"), now).await else {
            typed.refuse(LABEL, TOO_OLD);
            return self.account(typed).await;
        };
        typed.put(LABEL.name, begun.label.as_str());
        let Some(new) = checked(&party, begun, typed.value("answer")) else {
            typed.refuse(LABEL, NOT_SOUND);
            return self.account(typed).await;
        };
        let kept = self.state.store.add_passkey(&self.state.actor, &new, now);
        match kept.await {
            Ok(_) => return Ok(Redirect::to("/account#passkeys").into_response()),
            Err(StoreError::Duplicate { .. }) => {
                typed.refuse(LABEL, "this passkey is kept here already");
            }
            Err(StoreError::TooMany { .. }) => typed.refuse(LABEL, too_many()),
            Err(other) => return Err(other.into()),
        }
        self.account(typed).await
    }

    /// What this member began in this browser; another's is none of theirs.
    async fn begun(&self, party: &Party, ceremony: &str, now: OffsetDateTime) -> Option<Adding> {
        let begun = self.service.passkeys.adding.take(ceremony, now).await?;
        let own = begun.member == self.state.actor.member && begun.session == self.session.id;
        (own && begun.party == party.name).then_some(begun)
    }

    async fn remove(&self, mut typed: Typed) -> Result<Response, AppError> {
        let id = typed.value("passkey-id").to_owned();
        let held = self.state.store.passkeys(&self.state.actor).await?;
        let one = held.into_iter().find(|other| other.id.as_str() == id);
        let one = one.ok_or(AppError::NotFound("passkey of yours"))?;
        let field = removal_field(&id);
        let label = format!("Your password, to remove {}", one.label);
        self.check_password(&mut typed, Asked::new(&field, &label))
            .await?;
        if !typed.is_valid() {
            return self.account(typed).await;
        }
        let (now, id) = (OffsetDateTime::now_utc(), PasskeyId::new(id));
        let gone = self.state.store.remove_passkey(&self.state.actor, &id, now);
        gone.await?.ok_or(AppError::NotFound("passkey of yours"))?;
        Ok(Redirect::to("/account#passkeys").into_response())
    }
}

fn too_many() -> String {
    format!("{MOST_PASSKEYS} are kept at most: remove one first")
}

/// What is kept of a device's answer; `None` where it answers another question.
fn checked(party: &Party, begun: Adding, answer: &str) -> Option<NewPasskey> {
    let answer: RegisterPublicKeyCredential = serde_json::from_str(answer).ok()?;
    let made = party
        .webauthn
        .finish_passkey_registration(&answer, &begun.state)
        .ok()?;
    Some(NewPasskey {
        handle: made.cred_id().to_vec(),
        public_half: serde_json::to_string(&made).ok()?,
        label: begun.label,
        party: begun.party,
    })
}

/// What a device knows a member by: their id, which says nothing about them.
fn user_handle(actor: &Actor) -> Result<Uuid, AppError> {
    Uuid::parse_str(actor.member.as_str()).map_err(|e| AppError::Internal(e.into()))
}

/// What the device is asked, in the browser's words, with the wish that it keeps
/// the passkey itself: only so is it found when nobody has said a name. The
/// library leaves that to the device.
fn kept_by_the_device(asked: &CreationChallengeResponse) -> Result<Value, AppError> {
    let asked = serde_json::to_value(asked).map_err(|e| AppError::Internal(e.into()))?;
    let mut options = asked["publicKey"].clone();
    options["authenticatorSelection"]["residentKey"] = json!("required");
    options["authenticatorSelection"]["requireResidentKey"] = json!(true);
    Ok(options)
}
