//! How far one card reaches, and links that open it.

use super::qr;
use crate::domain::visibility::Visibility;
use crate::secret;
use crate::store::{CardId, LinkId, PartnerStanding, ShareLink};
use crate::web::error::AppError;
use crate::web::form::Choice;
use crate::web::own_card::{CardHead, own_card};
use crate::web::say;
use crate::web::site::Site;
use crate::web::state::{AppState, Service};
use crate::web::typed::{Asked, Typed};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::http::header::CACHE_CONTROL;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const LABEL: Asked<'static> = Asked::new("label", "For whom");
const DAYS: Asked<'static> = Asked::new("days", "Works for");
/// How long a link may work, days.
const TERMS: [i64; 4] = [1, 7, 30, 90];
const VISIBILITY: Asked<'static> = Asked::new("visibility", "Who may read it");

#[derive(Template, WebTemplate)]
#[template(path = "sharing/card.html")]
struct CardSharingPage {
    head: CardHead,
    now: Visibility,
    /// Names of the partners there are.
    partners: Vec<String>,
    links: Vec<LinkRow>,
    terms: Vec<Choice>,
    made: Option<MadeLink>,
    typed: Typed,
}

/// A link just made, shown this once.
struct MadeLink {
    address: String,
    /// Absent where the address is longer than a QR code takes.
    qr: Option<String>,
    /// For whom, in the maker's words.
    label: String,
    until: String,
    department: String,
    title: String,
}

struct LinkRow {
    id: String,
    label: String,
    about: String,
    works: bool,
}

impl LinkRow {
    fn new(link: ShareLink, now: OffsetDateTime) -> Self {
        let ends = match link.revoked_at {
            Some(at) => format!("ended by hand on {}", say::day(at.date())),
            None if link.opens_at(now) => {
                format!("works until {}", say::day(link.expires_at.date()))
            }
            None => format!("ended on {}", say::day(link.expires_at.date())),
        };
        let opened = match link.opened {
            0 => "never opened".to_owned(),
            1 => "opened once".to_owned(),
            n => format!("opened {n} times"),
        };
        Self {
            works: link.opens_at(now),
            id: link.id.to_string(),
            about: format!("made by {}, {opened}, {ends}", link.made_by),
            label: link.label,
        }
    }
}

/// `GET /cards/{id}/sharing`.
pub async fn show_sharing(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    page(&state, &id, Typed::default(), None).await
}

async fn page(
    state: &AppState,
    id: &str,
    typed: Typed,
    made: Option<MadeLink>,
) -> Result<Response, AppError> {
    let at = OffsetDateTime::now_utc();
    let stored = own_card(state, id).await?;
    let own = &state.actor.department;
    let now = state.store.visibility(own, &stored.id).await?;
    let partnerships = state.store.partnerships(own).await?;
    let partners = partnerships
        .into_iter()
        .filter(|p| p.standing == PartnerStanding::Partners);
    let links = state.store.links(own, &stored.id).await?;
    let status = typed.status();
    let page = CardSharingPage {
        links: links.into_iter().map(|l| LinkRow::new(l, at)).collect(),
        terms: TERMS.map(Choice::days).to_vec(),
        made,
        head: CardHead::of(&stored),
        now: now.ok_or(AppError::NotFound("card"))?,
        partners: partners.map(|p| p.other.name).collect(),
        typed,
    };
    // A link just made lets its holder in: no cache keeps it.
    Ok((status, [(CACHE_CONTROL, "no-store")], page).into_response())
}

/// `POST /cards/{id}/sharing`: sets how far the card reaches, makes a link, or
/// ends one.
pub async fn change_sharing(
    State(service): State<Service>,
    state: AppState,
    Path(id): Path<String>,
    headers: HeaderMap,
    mut typed: Typed,
) -> Result<Response, AppError> {
    let stored = own_card(&state, &id).await?;
    let now = OffsetDateTime::now_utc();
    let (store, actor) = (&state.store, &state.actor);
    match typed.value("do") {
        "link" => {
            let Some(link) = make_link(&state, &stored.id, &mut typed).await? else {
                return page(&state, &id, typed, None).await;
            };
            let address = service.site.link(Site::host(&headers), &link.path);
            let made = MadeLink {
                qr: qr::svg(&address),
                address,
                label: link.label,
                until: say::day(link.until.date()),
                title: say::title(&stored.card.vehicle),
                department: stored.department_name,
            };
            return page(&state, &id, Typed::default(), Some(made)).await;
        }
        "end" => {
            let link = LinkId::new(typed.value("link"));
            let ended = store.revoke_link(actor, &stored.id, &link, now).await?;
            ended.ok_or(AppError::NotFound("link to this card"))?;
        }
        _ => {
            let Some(wanted) = Visibility::from_word(typed.value(VISIBILITY.name)) else {
                typed.refuse(VISIBILITY, "choose one of the three");
                return page(&state, &id, typed, None).await;
            };
            let set = store.set_visibility(actor, &stored.id, wanted, now).await?;
            set.ok_or(AppError::NotFound("card"))?;
        }
    }
    Ok(Redirect::to(&format!("/cards/{}/sharing", stored.id)).into_response())
}

/// What a link was made as.
struct NewLink {
    path: String,
    label: String,
    until: OffsetDateTime,
}

/// Makes a link as typed, or `None` where a field is at fault.
async fn make_link(
    state: &AppState,
    card: &CardId,
    typed: &mut Typed,
) -> Result<Option<NewLink>, AppError> {
    let label = typed.name(LABEL);
    let term = typed.term(DAYS, &TERMS);
    let (Some(term), true) = (term, typed.is_valid()) else {
        return Ok(None);
    };
    let (now, secret) = (OffsetDateTime::now_utc(), secret::draw());
    let until = now + term;
    let made = state
        .store
        .make_link(&state.actor, card, (&secret, &label), until, now)
        .await?;
    made.ok_or(AppError::NotFound("card"))?;
    let path = format!("/shared/{secret}");
    Ok(Some(NewLink { path, label, until }))
}
