//! Links that work once: listed, taken back, used up. The secret is shown once;
//! the store keeps its SHA-256.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::secret::hashed;
use super::contract::*;
use serde_json::{Value, json};
use time::OffsetDateTime;

/// A link to be made.
pub(super) struct NewLink<'a> {
    /// The word it is kept under.
    pub purpose: &'static str,
    pub secret: &'a str,
    /// Whom a reset or a set-up is for.
    pub member: Option<&'a MemberId>,
    /// What it gives.
    pub offer: Value,
    pub expires_at: OffsetDateTime,
}

impl OnceFor {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Invitation => "invitation",
            Self::Reset => "reset",
        }
    }
}

impl Store {
    /// The open invitations and resets of the actor's department, the next to end
    /// first.
    pub async fn once_links(
        &self,
        actor: &Actor,
        now: OffsetDateTime,
    ) -> Result<Vec<OnceLink>, StoreError> {
        let rows: Vec<(String, String, String, String, i64)> = sqlx::query_as(
            "SELECT l.id, l.purpose, COALESCE(f.name, l.offer), m.name, l.expires_at
             FROM once_links l JOIN members m ON m.id = l.made_by
             LEFT JOIN members f ON f.id = l.member_id
             WHERE l.department_id = $1 AND l.purpose <> 'set-up' AND l.used_at IS NULL
               AND l.revoked_at IS NULL AND l.expires_at > $2
             ORDER BY l.expires_at, l.id",
        )
        .bind(actor.department.as_str())
        .bind(millis(now))
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter()
            .map(|(id, purpose, name, made_by, expires_at)| {
                let at = At {
                    table: "once_links",
                    id: &id,
                };
                let (purpose, name) = match purpose.as_str() {
                    "reset" => (OnceFor::Reset, name),
                    _ => (
                        OnceFor::Invitation,
                        super::invitations::offered(&name)
                            .ok_or_else(|| at.corrupt("offer"))?
                            .0,
                    ),
                };
                Ok(OnceLink {
                    expires_at: at.time("expires_at", expires_at)?,
                    id: OnceLinkId::new(id.clone()),
                    purpose,
                    name,
                    made_by,
                })
            })
            .collect()
    }

    /// Takes an open link back; `None` where there is no such.
    pub async fn revoke_once_link(
        &self,
        actor: &Actor,
        link: &OnceLinkId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let ended: Option<(String, String, Option<String>)> = sqlx::query_as(
            "UPDATE once_links SET revoked_at = $3
             WHERE department_id = $1 AND id = $2 AND purpose <> 'set-up'
               AND used_at IS NULL AND revoked_at IS NULL
             RETURNING purpose, offer, member_id",
        )
        .bind(actor.department.as_str())
        .bind(link.as_str())
        .bind(millis(now))
        .fetch_optional(&mut *tx)
        .await?;
        let Some((purpose, offer, member)) = ended else {
            return Ok(None);
        };
        let at = At {
            table: "once_links",
            id: link.as_str(),
        };
        let offer: Value = at.json("offer", &offer)?;
        let detail =
            json!({"link": link.as_str(), "for": purpose, "offer": offer, "member": member});
        Line::new("once-link-revoked", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// Writes a link within a larger change, with its line in the audit.
    pub(super) async fn write_link(
        &self,
        connection: &mut Connection,
        actor: &Actor,
        link: NewLink<'_>,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let id = self.database.new_id(now);
        let owner = (&actor.department, Some(&actor.member));
        insert(connection, &id, owner, &link, now).await?;
        let detail = json!({"link": id, "for": link.purpose, "offer": link.offer,
            "member": link.member.map(MemberId::as_str)});
        Line::new("once-link-made", detail)
            .write(&self.database, connection, actor, None, now)
            .await
    }
}

/// The row of a link of a department, made by one of its members or by the
/// program itself.
pub(super) async fn insert(
    connection: &mut Connection,
    id: &str,
    (department, made_by): (&DepartmentId, Option<&MemberId>),
    link: &NewLink<'_>,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO once_links (id, purpose, secret_sha256, department_id, member_id, offer,
             made_by, made_at, expires_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(id)
    .bind(link.purpose)
    .bind(hashed(link.secret))
    .bind(department.as_str())
    .bind(link.member.map(MemberId::as_str))
    .bind(link.offer.to_string())
    .bind(made_by.map(MemberId::as_str))
    .bind(millis(now))
    .bind(millis(link.expires_at))
    .execute(connection)
    .await?;
    Ok(())
}

/// Marks a link as used, by whom.
pub(super) async fn use_up(
    connection: &mut Connection,
    secret: &str,
    member: &MemberId,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE once_links SET used_at = $2, member_id = $3 WHERE secret_sha256 = $1")
        .bind(hashed(secret))
        .bind(millis(now))
        .bind(member.as_str())
        .execute(connection)
        .await?;
    Ok(())
}
