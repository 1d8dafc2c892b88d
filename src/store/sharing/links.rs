//! Links that open one card without an account. The secret in the link is shown
//! once; the store keeps its SHA-256, so that a stolen database opens nothing.

use super::super::Store;
use super::super::audit::Line;
use super::super::cards::read_card;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::secret::hashed;
use serde_json::json;
use time::OffsetDateTime;

#[derive(Debug, sqlx::FromRow)]
struct LinkRow {
    id: String,
    card_id: String,
    label: String,
    made_by: String,
    made_at: i64,
    expires_at: i64,
    revoked_at: Option<i64>,
    opened: i64,
    last_opened_at: Option<i64>,
}

impl LinkRow {
    fn check(self) -> Result<ShareLink, StoreError> {
        let at = At {
            table: "share_links",
            id: &self.id,
        };
        Ok(ShareLink {
            made_at: at.time("made_at", self.made_at)?,
            expires_at: at.time("expires_at", self.expires_at)?,
            revoked_at: at.time_or_none("revoked_at", self.revoked_at)?,
            last_opened_at: at.time_or_none("last_opened_at", self.last_opened_at)?,
            id: LinkId::new(self.id.clone()),
            card: CardId::new(self.card_id),
            label: self.label,
            made_by: self.made_by,
            opened: self.opened,
        })
    }
}

const LINKS: &str = "SELECT l.id, l.card_id, l.label, m.name AS made_by, l.made_at, l.expires_at,
        l.revoked_at, l.opened, l.last_opened_at
     FROM share_links l JOIN members m ON m.id = l.made_by";

impl Store {
    /// A new link to the actor's own card for whoever holds `secret`, which is
    /// long and random. `None` where there is no such card.
    pub async fn make_link(
        &self,
        actor: &Actor,
        card: &CardId,
        (secret, label): (&str, &str),
        expires_at: OffsetDateTime,
        now: OffsetDateTime,
    ) -> Result<Option<LinkId>, StoreError> {
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        let made = sqlx::query(
            "INSERT INTO share_links (department_id, id, card_id, secret_sha256, label, made_by,
                 made_at, expires_at)
             SELECT c.department_id, $3, c.id, $4, $5, $6, $7, $8 FROM cards c
             WHERE c.department_id = $1 AND c.id = $2",
        )
        .bind(actor.department.as_str())
        .bind(card.as_str())
        .bind(&id)
        .bind(hashed(secret))
        .bind(label)
        .bind(actor.member.as_str())
        .bind(millis(now))
        .bind(millis(expires_at))
        .execute(&mut *tx)
        .await?;
        if made.rows_affected() == 0 {
            return Ok(None);
        }
        let detail = json!({"link": id, "label": label, "expires": expires_at.date().to_string()});
        Line::new("link-made", detail)
            .write(&self.database, &mut tx, actor, Some(card), now)
            .await?;
        tx.commit().await?;
        Ok(Some(LinkId::new(id)))
    }

    /// The links to a department's own card, newest first.
    pub async fn links(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Vec<ShareLink>, StoreError> {
        let statement =
            format!("{LINKS} WHERE l.department_id = $1 AND l.card_id = $2 ORDER BY l.id DESC");
        let rows: Vec<LinkRow> = sqlx::query_as(sqlx::AssertSqlSafe(statement))
            .bind(department.as_str())
            .bind(card.as_str())
            .fetch_all(self.database.readers())
            .await?;
        rows.into_iter().map(LinkRow::check).collect()
    }

    /// Ends a link at once. `None` where the actor's card has no such link.
    pub async fn revoke_link(
        &self,
        actor: &Actor,
        card: &CardId,
        link: &LinkId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let known = self.links(&actor.department, card).await?;
        let Some(known) = known.into_iter().find(|l| l.id == *link) else {
            return Ok(None);
        };
        if known.revoked_at.is_some() {
            return Ok(Some(()));
        }
        let mut tx = self.database.write().await?;
        sqlx::query(
            "UPDATE share_links SET revoked_at = $3
             WHERE department_id = $1 AND id = $2 AND revoked_at IS NULL",
        )
        .bind(actor.department.as_str())
        .bind(link.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        let detail = json!({"link": link.as_str(), "label": known.label});
        Line::new("link-revoked", detail)
            .write(&self.database, &mut tx, actor, Some(card), now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// The card a link opens now; `None` for one that is unknown, expired or
    /// revoked, without a word on which.
    pub async fn linked_card(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<(ShareLink, StoredCard)>, StoreError> {
        let mut tx = self.database.read().await?;
        let statement = format!("{LINKS} WHERE l.secret_sha256 = $1");
        let row: Option<LinkRow> = sqlx::query_as(sqlx::AssertSqlSafe(statement))
            .bind(hashed(secret))
            .fetch_optional(&mut *tx)
            .await?;
        let link = row.map(LinkRow::check).transpose()?;
        let Some(link) = link.filter(|l| l.opens_at(now)) else {
            return Ok(None);
        };
        let (owner,): (String,) = sqlx::query_as("SELECT department_id FROM cards WHERE id = $1")
            .bind(link.card.as_str())
            .fetch_one(&mut *tx)
            .await?;
        let card = read_card(
            &mut tx,
            &DepartmentId::new(owner),
            &link.card,
            None,
            self.now(),
        )
        .await?;
        Ok(card.map(|card| (link, card)))
    }

    /// Counts one opening of a link.
    pub async fn count_opening(
        &self,
        link: &LinkId,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query(
            "UPDATE share_links SET opened = opened + 1, last_opened_at = $2 WHERE id = $1",
        )
        .bind(link.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        Ok(())
    }
}
