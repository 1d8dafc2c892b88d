//! The card a write is about, what the member can do to it, and how a page names
//! it.

use super::error::AppError;
use super::say;
use super::state::AppState;
use crate::domain::body::{BodyStyle, style};
use crate::domain::vehicle::Variant;
use crate::domain::zone::{ZoneError, Zones, zones};
use crate::sketch::Options;
use crate::store::{CardId, Revision, StoredCard};
use time::{Date, Duration, OffsetDateTime};

/// What a page of a card says of it at its head.
#[derive(Debug, Clone, PartialEq)]
pub struct CardHead {
    pub id: String,
    pub title: String,
    pub style: &'static BodyStyle,
    pub revision: Revision,
    /// The day of that revision.
    pub on: Date,
    /// Whether an officer has looked it over, in words.
    pub review: String,
}

impl CardHead {
    pub fn of(stored: &StoredCard) -> Self {
        Self {
            id: stored.id.to_string(),
            title: say::title(&stored.card.vehicle),
            style: style(stored.card.vehicle.body_style),
            revision: stored.revision,
            on: stored.updated_at.date(),
            review: say::review(&stored.review, stored.card.review_overdue),
        }
    }

    /// What every drawing of this card carries: which car, its day and revision,
    /// and the cautions on the picture itself.
    pub fn on_a_drawing(&self, fitted: bool) -> Options<'_> {
        Options {
            title: Some(&self.title),
            date: Some(self.on),
            revision: u64::try_from(self.revision).ok(),
            fitted,
            cautions: true,
            ..Options::default()
        }
    }
}

/// What a member can do to a card they read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Footing {
    /// Their department's own: they record.
    Own,
    /// A partner's: they offer.
    Partner,
    /// Another's: they read.
    Reader,
}

/// A card the department owns or may read, with what the member can do to it.
///
/// # Errors
/// [`AppError::NotFound`] where there is none.
pub async fn read_card(state: &AppState, id: &str) -> Result<(StoredCard, Footing), AppError> {
    let (department, id) = (&state.actor.department, CardId::new(id));
    let stored = state.store.card(department, &id).await?;
    let stored = stored.ok_or(AppError::NotFound("card"))?;
    let footing = match stored.department == *department {
        true => Footing::Own,
        false
            if state
                .store
                .are_partners(department, &stored.department)
                .await? =>
        {
            Footing::Partner
        }
        false => Footing::Reader,
    };
    Ok((stored, footing))
}

/// A card that the member records on, or offers to.
///
/// # Errors
/// [`AppError::NotFound`] where there is none.
pub async fn card_to_add_to(state: &AppState, id: &str) -> Result<(StoredCard, Footing), AppError> {
    match read_card(state, id).await? {
        (_, Footing::Reader) => Err(AppError::NotFound("card of this department or a partner")),
        found => Ok(found),
    }
}

/// The department's own card; another's does not exist to a write.
///
/// # Errors
/// [`AppError::NotFound`] where there is none.
pub async fn own_card(state: &AppState, id: &str) -> Result<StoredCard, AppError> {
    let department = &state.actor.department;
    let stored = state.store.card(department, &CardId::new(id)).await?;
    stored
        .filter(|card| card.department == *department)
        .ok_or(AppError::NotFound("card"))
}

/// The zones of a stored card, for its own vehicle.
///
/// # Errors
/// [`AppError::CannotCompute`] with the reason in words.
pub fn zones_of(card: &crate::domain::card::Card) -> Result<Zones, AppError> {
    zones(card, &Variant::default()).map_err(|e: ZoneError| AppError::CannotCompute(e.to_string()))
}

/// The latest day that has begun anywhere on earth: a member's own day may be
/// ahead of the service's.
pub fn latest_day(now: OffsetDateTime) -> Date {
    (now + Duration::hours(14)).date()
}
