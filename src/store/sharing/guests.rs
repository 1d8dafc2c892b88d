//! What partners offer to a card. A partner's member is named in the owner's
//! book as a guest, and all they can do there is offer.

use super::super::Store;
use super::super::change::Change;
use super::super::contract::*;
use super::super::database::Transaction;
use super::super::departments::insert_member;
use super::super::error::StoreError;
use super::super::findings::{correctable, counted, insert_all};
use super::partners::{between, name_of};
use crate::domain::finding::Finding;
use crate::domain::role::Roles;
use serde_json::json;
use std::borrow::Cow;
use time::OffsetDateTime;

impl Store {
    /// Offers findings to a card of a partner that lets the actor read it, all of
    /// them or none. Whatever they come with, they are offered: until an officer of
    /// the card's department accepts them they can only widen zones. One that names
    /// a finding it corrects takes its place when it is accepted. `None` where there
    /// is no such card, or its department is no partner.
    ///
    /// # Errors
    /// Nothing there that a correction could take the place of, or the store failed.
    pub async fn offer_findings(
        &self,
        actor: &Actor,
        card: &CardId,
        findings: &[Finding],
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(mut change) = begin_as_guest(self, actor, card, None, now).await? else {
            return Ok(None);
        };
        let before = change.card().await?;
        if findings.is_empty() {
            return Ok(Some(before));
        }
        for new in findings {
            if let Some(old) = &new.supersedes {
                correctable(&before.card.findings, old, new)?;
            }
        }
        let offered: Vec<Finding> = findings.iter().cloned().map(Finding::as_offered).collect();
        let ids = insert_all(&mut change, &before.card, &offered).await?;
        let summary = format!(
            "{} offered by {}",
            counted(ids.len()),
            change.actor.member_name
        );
        let detail = json!({"findings": ids});
        change
            .finish(&summary, "findings-offered", detail)
            .await
            .map(Some)
    }
}

/// Begins a change of a partner's card that the actor may read, as a guest of
/// its department. Reading and partnership are looked at within the change:
/// ended meanwhile, nothing is written. `None` where either is not there.
pub(in crate::store) async fn begin_as_guest<'a>(
    store: &'a Store,
    actor: &Actor,
    card: &CardId,
    expected: Option<Revision>,
    now: OffsetDateTime,
) -> Result<Option<Change<'a>>, StoreError> {
    let mut tx = store.database.write().await?;
    let owner: Option<(String,)> = sqlx::query_as(
        "SELECT c.department_id FROM cards c
         JOIN readable_cards r ON r.card_id = c.id AND r.reader_id = $1
         WHERE c.id = $2",
    )
    .bind(actor.department.as_str())
    .bind(card.as_str())
    .fetch_optional(&mut *tx)
    .await?;
    let Some(owner) = owner.map(|(id,)| DepartmentId::new(id)) else {
        return Ok(None);
    };
    match between(&mut tx, &owner, &actor.department).await? {
        Some(PartnerStanding::Partners) => {
            let guest = guest_in(store, &mut tx, actor, &owner, now).await?;
            Change::begin_in(store, tx, Cow::Owned(guest), card, expected, now).await
        }
        _ => Ok(None),
    }
}

/// The actor as another department's book names them; made when missing.
pub(in super::super) async fn guest_in(
    store: &Store,
    tx: &mut Transaction,
    actor: &Actor,
    owner: &DepartmentId,
    now: OffsetDateTime,
) -> Result<Actor, StoreError> {
    let known: Option<(String, String)> = sqlx::query_as(
        "SELECT m.id, m.name FROM guests g
         JOIN members m ON m.department_id = g.department_id AND m.id = g.member_id
         WHERE g.department_id = $1 AND g.home_member_id = $2",
    )
    .bind(owner.as_str())
    .bind(actor.member.as_str())
    .fetch_optional(&mut **tx)
    .await?;
    if let Some((id, member_name)) = known {
        return Ok(Actor {
            department: owner.clone(),
            member: MemberId::new(id),
            member_name,
            roles: Roles::default(),
        });
    }
    let home = name_of(tx, &actor.department).await?.unwrap_or_default();
    let id = store.database.new_id(now);
    let name = format!("{} ({home})", actor.member_name);
    let guest = insert_member(tx, owner.as_str(), (&id, &name), Roles::default(), now).await?;
    sqlx::query(
        "INSERT INTO guests (department_id, member_id, home_department_id, home_member_id)
         VALUES ($1, $2, $3, $4)",
    )
    .bind(owner.as_str())
    .bind(&id)
    .bind(actor.department.as_str())
    .bind(actor.member.as_str())
    .execute(&mut **tx)
    .await?;
    Ok(guest)
}
