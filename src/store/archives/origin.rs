//! Which card of another book a card was made from, so that a later archive of it
//! is told from a new card.

use super::super::Store;
use super::super::change::Change;
use super::super::contract::*;
use super::super::error::{StoreError, or_taken};
use crate::contract::archive::{Archive, ArchivedCard};

/// The card of another book that a card was made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::store) struct CardOrigin {
    pub department: String,
    pub name: String,
    pub card: String,
}

impl CardOrigin {
    pub(super) fn of(archive: &Archive, archived: &ArchivedCard) -> Self {
        let origin = &archive.manifest.origin;
        Self {
            department: origin.department.clone(),
            name: origin.name.clone(),
            card: archived.id.clone(),
        }
    }
}

impl Store {
    /// The actor's own card that a card of an archive is: the same one, or the one
    /// that an earlier archive of it made.
    pub(in crate::store) async fn card_of_origin(
        &self,
        actor: &Actor,
        origin: &CardOrigin,
    ) -> Result<Option<StoredCard>, StoreError> {
        let row: Option<(String,)> = sqlx::query_as(
            "SELECT id FROM cards WHERE department_id = $1 AND $2 = department_id AND id = $3
             UNION ALL
             SELECT card_id FROM card_origins
              WHERE department_id = $1 AND origin_department = $2 AND origin_card = $3
             LIMIT 1",
        )
        .bind(actor.department.as_str())
        .bind(&origin.department)
        .bind(&origin.card)
        .fetch_optional(self.database.readers())
        .await?;
        match row {
            None => Ok(None),
            Some((id,)) => self.card(&actor.department, &CardId::new(id)).await,
        }
    }
}

/// Writes down where a card came from.
pub(in crate::store) async fn insert_origin(
    change: &mut Change<'_>,
    origin: Option<&CardOrigin>,
) -> Result<(), StoreError> {
    let Some(origin) = origin else { return Ok(()) };
    sqlx::query(
        "INSERT INTO card_origins (department_id, card_id, origin_department, origin_card,
             origin_name)
         VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(&origin.department)
    .bind(&origin.card)
    .bind(&origin.name)
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(&origin.card))?;
    Ok(())
}
