//! Invitations: a link that makes one new member with the roles it offers.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::departments::insert_member;
use super::super::error::StoreError;
use super::super::rows::{At, millis};
use super::super::secret::hashed;
use super::contract::*;
use super::credentials::write_credential;
use super::once_links::{NewLink, use_up};
use crate::domain::role::{Role, Roles};
use serde_json::{Value, json};
use time::OffsetDateTime;

impl Store {
    /// Invites somebody into the actor's department: whoever holds `secret`.
    pub async fn invite(
        &self,
        actor: &Actor,
        (name, roles): (&str, &Roles),
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let words: Vec<&str> = roles.iter().map(Role::word).collect();
        let link = NewLink {
            purpose: OnceFor::Invitation.word(),
            secret,
            member: None,
            offer: json!({"name": name, "roles": words}),
            expires_at: now + INVITATION_HOLDS,
        };
        let mut tx = self.database.write().await?;
        self.write_link(&mut tx, actor, link, now).await?;
        Ok(tx.commit().await?)
    }

    /// What an invitation offers; `None` where it is unknown, used, taken back or
    /// too old.
    pub async fn invitation(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<Invitation>, StoreError> {
        open(&mut *self.database.read().await?, secret, now).await
    }

    /// Makes the invited member, under the name they give themselves, and uses the
    /// link up. `None` where it does not work any more.
    ///
    /// # Errors
    /// [`StoreError::Duplicate`] for a sign-in name somebody has.
    pub async fn accept_invitation(
        &self,
        secret: &str,
        name: &str,
        new: &NewCredential,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        let Some(offered) = open(&mut tx, secret, now).await? else {
            return Ok(None);
        };
        let department = offered.department.id.as_str();
        let one = (id.as_str(), name);
        let actor = insert_member(&mut tx, department, one, offered.roles, now).await?;
        write_credential(&mut tx, &actor, new, now).await?;
        use_up(&mut tx, secret, &actor.member, now).await?;
        let detail = json!({"member": id, "roles": actor.roles.to_string()});
        Line::new("member-joined", detail)
            .write(&self.database, &mut tx, &actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(actor))
    }
}

async fn open(
    connection: &mut Connection,
    secret: &str,
    now: OffsetDateTime,
) -> Result<Option<Invitation>, StoreError> {
    let row: Option<(String, String, String, String)> = sqlx::query_as(
        "SELECT l.id, l.offer, d.id, d.name FROM once_links l
         JOIN departments d ON d.id = l.department_id
         WHERE l.secret_sha256 = $1 AND l.purpose = 'invitation' AND l.used_at IS NULL
           AND l.revoked_at IS NULL AND l.expires_at > $2",
    )
    .bind(hashed(secret))
    .bind(millis(now))
    .fetch_optional(connection)
    .await?;
    let Some((link, offer, id, department)) = row else {
        return Ok(None);
    };
    let at = At {
        table: "once_links",
        id: &link,
    };
    let (name, roles) = offered(&offer).ok_or_else(|| at.corrupt("offer"))?;
    Ok(Some(Invitation {
        department: Department {
            id: DepartmentId::new(id),
            name: department,
        },
        name,
        roles,
    }))
}

/// Name and roles in the text of an offer.
pub(super) fn offered(offer: &str) -> Option<(String, Roles)> {
    let offer: Value = serde_json::from_str(offer).ok()?;
    let words = offer["roles"].as_array()?.iter();
    let roles = words.map(|word| Role::from_word(word.as_str()?));
    Some((
        offer["name"].as_str()?.to_owned(),
        roles.collect::<Option<Vec<_>>>()?.into_iter().collect(),
    ))
}
