//! How far each card reaches.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use crate::domain::visibility::Visibility;
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// How far a department's own card reaches; `None` where it has no such card.
    pub async fn visibility(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<Visibility>, StoreError> {
        read_visibility(&mut *self.database.read().await?, department, card).await
    }

    /// Lets the actor's own card reach so far and no further, from now on.
    /// Nothing that others already took from it comes back. `None` where there
    /// is no such card.
    pub async fn set_visibility(
        &self,
        actor: &Actor,
        card: &CardId,
        visibility: Visibility,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let own = &actor.department;
        let Some(before) = read_visibility(&mut tx, own, card).await? else {
            return Ok(None);
        };
        if before == visibility {
            return Ok(Some(()));
        }
        sqlx::query("DELETE FROM card_visibility WHERE department_id = $1 AND card_id = $2")
            .bind(actor.department.as_str())
            .bind(card.as_str())
            .execute(&mut *tx)
            .await?;
        if visibility != Visibility::Department {
            sqlx::query(
                "INSERT INTO card_visibility (department_id, card_id, visibility, member_id, set_at)
                 VALUES ($1, $2, $3, $4, $5)",
            )
            .bind(actor.department.as_str())
            .bind(card.as_str())
            .bind(visibility.word())
            .bind(actor.member.as_str())
            .bind(millis(now))
            .execute(&mut *tx)
            .await?;
        }
        let detail = json!({"before": before.word(), "after": visibility.word()});
        Line::new("visibility-changed", detail)
            .write(&self.database, &mut tx, actor, Some(card), now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }
}

async fn read_visibility(
    connection: &mut Connection,
    department: &DepartmentId,
    card: &CardId,
) -> Result<Option<Visibility>, StoreError> {
    let row: Option<(Option<String>,)> = sqlx::query_as(
        "SELECT v.visibility FROM cards c
         LEFT JOIN card_visibility v ON v.card_id = c.id
         WHERE c.department_id = $1 AND c.id = $2",
    )
    .bind(department.as_str())
    .bind(card.as_str())
    .fetch_optional(connection)
    .await?;
    let at = At {
        table: "card_visibility",
        id: card.as_str(),
    };
    row.map(|(word,)| match word {
        None => Ok(Visibility::Department),
        Some(word) => at.word("visibility", &word, Visibility::from_word),
    })
    .transpose()
}
