//! Passkeys: what is kept of each, looked up by what the device calls it. What a
//! public half says is the business of who checks signatures, not of the store.

use super::super::Store;
use super::super::audit::Line;
use super::super::contract::*;
use super::super::database::{Connection, Database};
use super::super::error::{StoreError, or_taken};
use super::super::rows::{At, millis};
use super::contract::*;
use super::read_roles;
use serde_json::json;
use time::OffsetDateTime;

#[derive(Debug, sqlx::FromRow)]
struct PasskeyRow {
    id: String,
    label: String,
    party: String,
    handle: String,
    made_at: i64,
    last_used_at: Option<i64>,
    doubted_at: Option<i64>,
}

impl PasskeyRow {
    fn check(self) -> Result<PasskeyEntry, StoreError> {
        let at = At {
            table: "passkeys",
            id: &self.id,
        };
        Ok(PasskeyEntry {
            handle: from_hex(&self.handle).ok_or_else(|| at.corrupt("handle"))?,
            made_at: at.time("made_at", self.made_at)?,
            last_used_at: at.time_or_none("last_used_at", self.last_used_at)?,
            doubted_at: at.time_or_none("doubted_at", self.doubted_at)?,
            id: PasskeyId::new(self.id.clone()),
            label: self.label,
            party: self.party,
        })
    }
}

#[derive(Debug, sqlx::FromRow)]
struct KnownRow {
    id: String,
    label: String,
    public_half: String,
    doubted_at: Option<i64>,
    department_id: String,
    member_id: String,
    member_name: String,
    sign_in_name: String,
}

impl Store {
    /// The actor's own passkeys, the newest first.
    pub async fn passkeys(&self, actor: &Actor) -> Result<Vec<PasskeyEntry>, StoreError> {
        let rows: Vec<PasskeyRow> = sqlx::query_as(
            "SELECT id, label, party, handle, made_at, last_used_at, doubted_at FROM passkeys
             WHERE department_id = $1 AND member_id = $2 ORDER BY made_at DESC, id DESC",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(PasskeyRow::check).collect()
    }

    /// Keeps a new passkey of the actor.
    ///
    /// # Errors
    /// [`StoreError::TooMany`]; [`StoreError::Duplicate`] for one that is kept
    /// already, whoever's it is.
    pub async fn add_passkey(
        &self,
        actor: &Actor,
        new: &NewPasskey,
        now: OffsetDateTime,
    ) -> Result<PasskeyId, StoreError> {
        let id = self.database.new_id(now);
        let mut tx = self.database.write().await?;
        let (held,): (i64,) = sqlx::query_as(
            "SELECT COUNT(*) FROM passkeys WHERE department_id = $1 AND member_id = $2",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .fetch_one(&mut *tx)
        .await?;
        if usize::try_from(held).is_ok_and(|held| held >= MOST_PASSKEYS) {
            return Err(StoreError::TooMany {
                what: "passkeys",
                most: MOST_PASSKEYS,
            });
        }
        sqlx::query(
            "INSERT INTO passkeys (department_id, id, member_id, handle, label, party, public_half,
                 made_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(actor.department.as_str())
        .bind(&id)
        .bind(actor.member.as_str())
        .bind(hex(&new.handle))
        .bind(&new.label)
        .bind(&new.party)
        .bind(&new.public_half)
        .bind(millis(now))
        .execute(&mut *tx)
        .await
        .map_err(or_taken("this passkey"))?;
        Line::new("passkey-added", json!({"passkey": id, "label": new.label}))
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(PasskeyId::new(id))
    }

    /// Whom a passkey lets in; `None` for one that is not kept here, and for who
    /// left.
    pub async fn passkey(&self, handle: &[u8]) -> Result<Option<KnownPasskey>, StoreError> {
        let mut tx = self.database.read().await?;
        let row: Option<KnownRow> = sqlx::query_as(
            "SELECT p.id, p.label, p.public_half, p.doubted_at, p.department_id, p.member_id,
                    m.name AS member_name, c.sign_in_name
             FROM passkeys p JOIN members m ON m.id = p.member_id AND m.left_at IS NULL
             JOIN credentials c ON c.member_id = p.member_id
             WHERE p.handle = $1",
        )
        .bind(hex(handle))
        .fetch_optional(&mut *tx)
        .await?;
        let Some(row) = row else { return Ok(None) };
        Ok(Some(KnownPasskey {
            actor: Actor {
                roles: read_roles(&mut tx, &row.member_id).await?,
                department: DepartmentId::new(row.department_id),
                member: MemberId::new(row.member_id),
                member_name: row.member_name,
            },
            id: PasskeyId::new(row.id),
            label: row.label,
            sign_in_name: row.sign_in_name,
            public_half: row.public_half,
            doubted: row.doubted_at.is_some(),
        }))
    }

    /// Writes down that a passkey was used and what its public half says since.
    /// `None` where it was removed, doubted or used otherwise in the meantime: its
    /// counter was then checked against what it no longer is.
    pub async fn use_passkey(
        &self,
        known: &KnownPasskey,
        public_half: &str,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let done = sqlx::query(
            "UPDATE passkeys SET public_half = $4, last_used_at = $5
             WHERE department_id = $1 AND id = $2 AND public_half = $3 AND doubted_at IS NULL",
        )
        .bind(known.actor.department.as_str())
        .bind(known.id.as_str())
        .bind(&known.public_half)
        .bind(public_half)
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        if done.rows_affected() == 0 {
            return Ok(None);
        }
        told_of("passkey-used", known)
            .write(&self.database, &mut tx, &known.actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }

    /// Lets a passkey open nothing more: there may be a copy of it. Its member
    /// sees so in their list.
    pub async fn doubt_passkey(
        &self,
        known: &KnownPasskey,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let mut tx = self.database.write().await?;
        sqlx::query(
            "UPDATE passkeys SET doubted_at = $3
             WHERE department_id = $1 AND id = $2 AND doubted_at IS NULL",
        )
        .bind(known.actor.department.as_str())
        .bind(known.id.as_str())
        .bind(millis(now))
        .execute(&mut *tx)
        .await?;
        told_of("passkey-doubted", known)
            .write(&self.database, &mut tx, &known.actor, None, now)
            .await?;
        Ok(tx.commit().await?)
    }

    /// Removes one of the actor's own passkeys; `None` where it is no such.
    pub async fn remove_passkey(
        &self,
        actor: &Actor,
        passkey: &PasskeyId,
        now: OffsetDateTime,
    ) -> Result<Option<()>, StoreError> {
        let mut tx = self.database.write().await?;
        let gone: Option<(String,)> = sqlx::query_as(
            "DELETE FROM passkeys WHERE department_id = $1 AND member_id = $2 AND id = $3
             RETURNING label",
        )
        .bind(actor.department.as_str())
        .bind(actor.member.as_str())
        .bind(passkey.as_str())
        .fetch_optional(&mut *tx)
        .await?;
        let Some((label,)) = gone else {
            return Ok(None);
        };
        let detail = json!({"passkey": passkey.as_str(), "label": label});
        Line::new("passkey-removed", detail)
            .write(&self.database, &mut tx, actor, None, now)
            .await?;
        tx.commit().await?;
        Ok(Some(()))
    }
}

fn told_of(action: &str, known: &KnownPasskey) -> Line {
    let detail = json!({"passkey": known.id.as_str(), "label": known.label});
    Line::new(action, detail)
}

/// Removes every passkey of a member, within a larger change that shuts out who
/// knew the way in; leaves a line where there were any.
pub(super) async fn end_passkeys(
    database: &Database,
    connection: &mut Connection,
    (actor, member): (&Actor, &MemberId),
    now: OffsetDateTime,
) -> Result<(), StoreError> {
    let gone = sqlx::query("DELETE FROM passkeys WHERE department_id = $1 AND member_id = $2")
        .bind(actor.department.as_str())
        .bind(member.as_str())
        .execute(&mut *connection)
        .await?;
    if gone.rows_affected() == 0 {
        return Ok(());
    }
    Line::new("passkeys-ended", json!({"member": member.as_str()}))
        .write(database, connection, actor, None, now)
        .await
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// `None` for what is no hex.
fn from_hex(text: &str) -> Option<Vec<u8>> {
    if text.len() % 2 == 1 || !text.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let pairs = (0..text.len()).step_by(2).map(|at| &text[at..at + 2]);
    pairs
        .map(|pair| u8::from_str_radix(pair, 16).ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{from_hex, hex};

    #[test]
    fn hex_goes_there_and_back_and_nothing_else_is_read_as_hex() {
        let all: Vec<u8> = (0..=255).collect();
        assert_eq!(from_hex(&hex(&all)), Some(all));
        for other in ["0", "0g", "é", "-1", "+1"] {
            assert_eq!(from_hex(other), None, "{other}");
        }
    }
}
