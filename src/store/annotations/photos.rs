//! Photos of notes: rows alone; their bytes lie with [`super::super::PhotoFiles`].

use super::super::Store;
use super::super::change::Change;
use super::super::contract::*;
use super::super::error::{StoreError, or_taken};
use super::super::files_left;
use super::super::rows::millis;
use super::write::Contribution;
use crate::domain::annotation::{MOST_PHOTOS, Photo, StandingError};
use crate::domain::role::Deed;
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Hangs a photo, whose bytes are kept already, on a remark: any of the own
    /// department's card, or one's own on a partner's. `None` where there is no
    /// such card to write on.
    pub async fn add_photo(
        &self,
        actor: &Actor,
        card: &CardId,
        remark: &str,
        photo: &Photo,
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let contribution = Contribution::begin(self, actor, card, None, now).await?;
        let Some(Contribution { mut change, .. }) = contribution else {
            return Ok(None);
        };
        let before = change.card().await?;
        let found = before
            .card
            .annotations
            .iter()
            .find_map(|a| a.remark(remark));
        let (known, _) = found.ok_or_else(|| StoreError::NoSuchRemark {
            id: remark.to_owned(),
        })?;
        if known.photos.len() >= MOST_PHOTOS {
            return Err(StoreError::TooMany {
                what: "photos of one note",
                most: MOST_PHOTOS,
            });
        }
        let author: (String,) = sqlx::query_as(
            "SELECT member_id FROM annotations
             WHERE department_id = $1 AND card_id = $2 AND id = $3",
        )
        .bind(change.actor.department.as_str())
        .bind(change.card.as_str())
        .bind(remark)
        .fetch_one(&mut *change.tx)
        .await?;
        let is_own = author.0 == change.actor.member.as_str();
        if !is_own && !change.actor.roles.may(Deed::Record) {
            let takes = "who wrote the note, or a member of the card’s department";
            return Err(StandingError::NotYours { takes }.into());
        }
        insert_photo(&mut change, remark, photo).await?;
        let detail = json!({"note": remark, "photo": photo.name});
        change
            .finish(&format!("photo added to {remark}"), "photo-added", detail)
            .await
            .map(Some)
    }

    /// Takes a photo out of the card for every revision, with its reason. Its
    /// bytes are left to be removed. A member of the card's department may, and a
    /// guest whose photo it is.
    pub async fn remove_photo(
        &self,
        actor: &Actor,
        card: &CardId,
        (name, reason): (&str, &str),
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let contribution = Contribution::begin(self, actor, card, None, now).await?;
        let Some(Contribution { mut change, .. }) = contribution else {
            return Ok(None);
        };
        let row: Option<(String, String)> = sqlx::query_as(
            "SELECT annotation_id, member_id FROM photos
             WHERE department_id = $1 AND card_id = $2 AND name = $3",
        )
        .bind(change.actor.department.as_str())
        .bind(change.card.as_str())
        .bind(name)
        .fetch_optional(&mut *change.tx)
        .await?;
        let no_such = || StoreError::NoSuchPhoto;
        let (remark, author) = row.ok_or_else(no_such)?;
        if author != change.actor.member.as_str() && !change.actor.roles.may(Deed::Record) {
            let takes = "who put it there, or a member of the card’s department";
            return Err(StandingError::NotYours { takes }.into());
        }
        sqlx::query(
            "INSERT INTO photo_removals (department_id, name, reason, member_id, removed_at)
             VALUES ($1, $2, $3, $4, $5)",
        )
        .bind(change.actor.department.as_str())
        .bind(name)
        .bind(reason)
        .bind(change.actor.member.as_str())
        .bind(millis(now))
        .execute(&mut *change.tx)
        .await
        .map_err(or_taken(name))
        .map_err(|error| match error {
            // Somebody was here first: it is gone.
            StoreError::Duplicate { .. } => no_such(),
            other => other,
        })?;
        files_left::leave(&mut change.tx, name, now).await?;
        let detail = json!({"note": remark, "photo": name, "reason": reason});
        change
            .finish(
                &format!("photo of {remark} removed"),
                "photo-removed",
                detail,
            )
            .await
            .map(Some)
    }
}

/// A photo's row, under the change's revision.
pub(super) async fn insert_photo(
    change: &mut Change<'_>,
    remark: &str,
    photo: &Photo,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO photos (name, department_id, card_id, annotation_id, revision, alt, width_px,
             height_px, sha256, member_id, recorded_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(photo.name.as_str())
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(remark)
    .bind(change.revision)
    .bind(photo.alt.as_str())
    .bind(i64::from(photo.width_px))
    .bind(i64::from(photo.height_px))
    .bind(photo.sha256.as_deref())
    .bind(change.actor.member.as_str())
    .bind(millis(change.now))
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(&photo.name))?;
    files_left::keep(&mut change.tx, &photo.name).await
}
