//! Notes beside a card: the list, one note with its replies, a new one, and the
//! photos that hang on them. Whoever reads the card reads them; members of its
//! department write, and a partner's offer.

mod about;
mod acts;
mod list;
mod new;
mod one;
mod photo;
mod row;
mod sent;
pub mod words;

pub use about::About;
pub use list::list_notes;
pub use new::{create_note, new_note};
pub use one::{change_note, show_note};
pub use photo::{answer as answer_photo, as_picture, show_photo, show_small_photo};
pub use sent::{Sent, forget, remove_now, taking};

/// Largest body of a form with a photo, bytes.
pub const UPLOAD_LIMIT_BYTES: usize = crate::photo::MOST_BYTES + (256 << 10);

use crate::domain::annotation::{Annotation, Target};
use crate::domain::role::Deed;
use crate::store::{CardId, PartnerStanding, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::state::AppState;

/// What who asks may do with a card's notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum May {
    Read,
    /// A partner's member: what they write is offered.
    Offer,
    Write,
}

impl May {
    pub fn writes(self) -> bool {
        self != Self::Read
    }
}

/// A card that who asks may read, and what they may do with its notes.
async fn readable(state: &AppState, id: &str) -> Result<(StoredCard, May), AppError> {
    let own = &state.actor.department;
    let stored = state.store.card(own, &CardId::new(id)).await?;
    let stored = stored.ok_or(AppError::NotFound("card"))?;
    if !state.actor.roles.may(Deed::Record) {
        return Ok((stored, May::Read));
    }
    if stored.department == *own {
        return Ok((stored, May::Write));
    }
    let partnerships = state.store.partnerships(own).await?;
    let partner = partnerships
        .iter()
        .any(|p| p.other.id == stored.department && p.standing == PartnerStanding::Partners);
    Ok((stored, if partner { May::Offer } else { May::Read }))
}

/// The notes about a finding that show: where each is, its id, what it says.
pub fn about_finding(stored: &StoredCard, id: &str) -> Vec<(String, String, String)> {
    let about = Target::Finding(id.to_owned());
    let notes = stored.card.annotations.iter();
    let shown = notes.filter(|a| a.target == about && a.shows());
    let row = |a: &Annotation| {
        let href = format!("/cards/{}/notes/{}", stored.id, a.note.id);
        (href, a.note.id.clone(), a.note.text.clone())
    };
    shown.map(row).collect()
}

/// What the store refused, as a page answers it.
fn refused(error: StoreError) -> AppError {
    use crate::domain::annotation::StandingError;
    match error {
        StoreError::NoSuchRemark { .. } => AppError::NotFound("note"),
        StoreError::NoSuchPhoto => AppError::NotFound("photo"),
        StoreError::Standing(StandingError::NotYours { takes }) => AppError::Takes(takes),
        StoreError::TooMany { .. } => {
            AppError::BadRequest(format!("{error}. Nothing was changed."))
        }
        other => AppError::Store(other),
    }
}
