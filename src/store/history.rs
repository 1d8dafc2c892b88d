//! What each revision of a card changed, and when.

use super::Store;
use super::contract::*;
use super::error::StoreError;
use super::rows::At;

#[derive(Debug, sqlx::FromRow)]
struct RevisionRow {
    revision: i64,
    at: i64,
    member_id: String,
    member_name: String,
    summary: String,
}

impl Store {
    /// The revisions of a card the department owns or may read, newest first;
    /// none where there is no such card.
    pub async fn revisions(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Vec<RevisionEntry>, StoreError> {
        let rows: Vec<RevisionRow> = sqlx::query_as(
            "SELECT v.revision, v.at, v.member_id, v.member_name, v.summary
             FROM card_revisions v
             WHERE (v.department_id = $1 OR v.card_id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND v.card_id = $2
             ORDER BY v.revision DESC",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_all(self.database.readers())
        .await?;
        let row_at = At {
            table: "card_revisions",
            id: card.as_str(),
        };
        rows.into_iter()
            .map(|row| {
                Ok(RevisionEntry {
                    revision: row.revision,
                    at: row_at.time("at", row.at)?,
                    member: MemberId::new(row.member_id),
                    member_name: row.member_name,
                    summary: row.summary,
                })
            })
            .collect()
    }
}
