//! The cards of the book as an archive's contents, all of one moment.

use super::super::Store;
use super::super::cards::read_card;
use super::super::contract::*;
use super::super::error::StoreError;
use crate::contract::archive::{ArchivedCard, Contents, Origin};
use std::collections::BTreeMap;
use time::OffsetDateTime;

impl Store {
    /// A card of the department, or every card of it, in the order they were made.
    /// `None` where it has no such card. What else belongs to the cards is left to
    /// the caller.
    pub async fn archive(
        &self,
        department: &DepartmentId,
        only: Option<&CardId>,
        now: OffsetDateTime,
    ) -> Result<Option<Contents>, StoreError> {
        let mut tx = self.database.read().await?;
        let rows: Vec<(String,)> = sqlx::query_as(
            "SELECT id FROM cards
             WHERE department_id = $1 AND (CAST($2 AS TEXT) IS NULL OR id = $2)
             ORDER BY id",
        )
        .bind(department.as_str())
        .bind(only.map(CardId::as_str))
        .fetch_all(&mut *tx)
        .await?;
        if only.is_some() && rows.is_empty() {
            return Ok(None);
        }
        let (name,): (String,) = sqlx::query_as("SELECT name FROM departments WHERE id = $1")
            .bind(department.as_str())
            .fetch_one(&mut *tx)
            .await?;
        let mut cards = Vec::with_capacity(rows.len());
        for (id,) in rows {
            let id = CardId::new(id);
            if let Some(stored) = read_card(&mut tx, department, &id, None, self.now()).await? {
                cards.push(ArchivedCard {
                    id: id.to_string(),
                    revision: stored.revision,
                    card: stored.card,
                });
            }
        }
        Ok(Some(Contents {
            made_at: now,
            origin: Origin {
                department: department.to_string(),
                name,
            },
            cards,
            files: BTreeMap::new(),
        }))
    }
}
