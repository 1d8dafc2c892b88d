//! The first set-up: a link that works once makes the first keeper of the
//! department whose book this is. Its cards, and who recorded what, stay.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::departments::{insert_department, insert_member};
use super::super::error::{StoreError, or_taken};
use super::super::rows::millis;
use super::super::secret::hashed;
use super::credentials::write_credential;
use super::once_links::{self, NewLink, use_up};
use super::write_roles;
use crate::domain::role::Roles;
use serde_json::json;
use time::{Duration, OffsetDateTime};

/// How long a set-up link works.
pub const SET_UP_HOLDS: Duration = Duration::hours(24);

/// What the first keeper is called until they name themselves.
const FIRST_KEEPER: &str = "First keeper";

impl Store {
    /// Whether nobody can sign in to the local department yet.
    pub async fn needs_set_up(&self) -> Result<bool, StoreError> {
        needs_set_up(&mut *self.database.read().await?).await
    }

    /// Makes a set-up link for whoever holds `secret`; the ones before it end.
    /// `None` once somebody can sign in.
    pub async fn offer_set_up(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let actor = self.ensure_local(now).await?;
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        if !needs_set_up(&mut tx).await? {
            return Ok(None);
        }
        sqlx::query(
            "UPDATE once_links SET revoked_at = $1
             WHERE purpose = 'set-up' AND department_id = $2 AND used_at IS NULL
               AND revoked_at IS NULL",
        )
        .bind(millis(now))
        .bind(actor.department.as_str())
        .execute(&mut *tx)
        .await?;
        write_set_up(&mut tx, &id, &actor, secret, now).await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// A new department beside the others, with a set-up link for whoever holds
    /// `secret`; nobody is in it until the link is used.
    ///
    /// # Errors
    /// [`StoreError::Duplicate`] for a name a department has.
    pub async fn offer_department(
        &self,
        name: &str,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let [department, member, link] = [(); 3].map(|()| self.database.new_id(now));
        let mut tx = self.database.write().await?;
        insert_department(&mut tx, &department, name, false, now).await?;
        let one = (member.as_str(), FIRST_KEEPER);
        let actor = insert_member(&mut tx, &department, one, Roles::all(), now).await?;
        write_set_up(&mut tx, &link, &actor, secret, now).await?;
        Ok(tx.commit().await?)
    }

    /// The department and member a set-up link is for, as they are called now.
    /// `None` for a link that is unknown, used, replaced or too old.
    pub async fn set_up_link(
        &self,
        secret: &str,
        now: OffsetDateTime,
    ) -> Result<Option<(Department, Actor)>, StoreError> {
        let mut tx = self.database.read().await?;
        open_set_up(&mut tx, secret, now).await
    }

    /// Names department and member, gives the member every role and a password,
    /// and uses the link up. `None` where it does not work any more.
    pub async fn set_up(
        &self,
        secret: &str,
        (department_name, member_name): (&str, &str),
        credential: &NewCredential,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let mut tx = self.database.write().await?;
        let Some((_, local)) = open_set_up(&mut tx, secret, now).await? else {
            return Ok(None);
        };
        let actor = Actor {
            member_name: member_name.to_owned(),
            roles: Roles::all(),
            ..local
        };
        sqlx::query("UPDATE departments SET name = $2 WHERE id = $1")
            .bind(actor.department.as_str())
            .bind(department_name)
            .execute(&mut *tx)
            .await
            .map_err(or_taken(department_name))?;
        sqlx::query("UPDATE members SET name = $3 WHERE department_id = $1 AND id = $2")
            .bind(actor.department.as_str())
            .bind(actor.member.as_str())
            .bind(member_name)
            .execute(&mut *tx)
            .await?;
        write_roles(&mut tx, &actor).await?;
        write_credential(&mut tx, &actor, credential, now).await?;
        use_up(&mut tx, secret, &actor.member, now).await?;
        Line::new("set-up", json!({"name": department_name}))
            .write(&self.database, &mut tx, &actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(actor))
    }
}

async fn write_set_up(
    connection: &mut Connection,
    id: &str,
    actor: &Actor,
    secret: &str,
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let link = NewLink {
        purpose: "set-up",
        secret,
        member: Some(&actor.member),
        offer: json!({}),
        expires_at: now + SET_UP_HOLDS,
    };
    once_links::insert(connection, id, (&actor.department, None), &link, now).await
}

async fn needs_set_up(connection: &mut Connection) -> Result<bool, StoreError> {
    let (able,): (i64,) = sqlx::query_as(
        "SELECT COUNT(*) FROM credentials c JOIN departments d ON d.id = c.department_id
         WHERE d.local = 1",
    )
    .fetch_one(connection)
    .await?;
    Ok(able == 0)
}

async fn open_set_up(
    connection: &mut Connection,
    secret: &str,
    now: OffsetDateTime,
) -> Result<Option<(Department, Actor)>, StoreError> {
    let row: Option<(String, String, String, String)> = sqlx::query_as(
        "SELECT d.id, d.name, m.id, m.name FROM once_links l
         JOIN departments d ON d.id = l.department_id
         JOIN members m ON m.id = l.member_id
         WHERE l.secret_sha256 = $1 AND l.purpose = 'set-up' AND l.used_at IS NULL
           AND l.revoked_at IS NULL AND l.expires_at > $2",
    )
    .bind(hashed(secret))
    .bind(millis(now))
    .fetch_optional(connection)
    .await?;
    Ok(row.map(|(department, name, member, member_name)| {
        let id = DepartmentId::new(department);
        let actor = Actor {
            department: id.clone(),
            member: MemberId::new(member),
            member_name,
            roles: Roles::all(),
        };
        (Department { id, name }, actor)
    }))
}
