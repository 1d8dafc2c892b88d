//! What partners offer to a card. A partner's member is named in the owner's
//! book as a guest, and all they can do there is offer.

use super::super::Store;
use super::super::contract::*;
use super::super::database::Transaction;
use super::super::departments::insert_member;
use super::super::error::StoreError;
use super::partners::{between, name_of};
use crate::domain::finding::{Finding, Status};
use crate::domain::role::Roles;
use time::OffsetDateTime;

impl Store {
    /// Offers findings to a card of a partner that lets the actor read it, all of
    /// them or none. Whatever status they come with, they are offered: until an
    /// officer of the card's department accepts them they can only widen zones.
    /// `None` where there is no such card, or its department is no partner.
    pub async fn offer_findings(
        &self,
        actor: &Actor,
        card: &CardId,
        findings: &[Finding],
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let Some(guest) = self.guest_at(actor, card, now).await? else {
            return Ok(None);
        };
        let offered: Vec<Finding> = findings
            .iter()
            .cloned()
            .map(|finding| Finding {
                status: Status::Offered,
                supersedes: None,
                reason: None,
                ..finding
            })
            .collect();
        self.add_findings(&guest, card, None, &offered, now).await
    }

    /// The actor as a guest of the department whose card this is.
    async fn guest_at(
        &self,
        actor: &Actor,
        card: &CardId,
        now: OffsetDateTime,
    ) -> Result<Option<Actor>, StoreError> {
        let mut tx = self.database.write().await?;
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
                let guest = guest_in(self, &mut tx, actor, &owner, now).await?;
                tx.commit().await?;
                Ok(Some(guest))
            }
            _ => Ok(None),
        }
    }
}

/// The actor as another department's book names them; made when missing.
pub(super) async fn guest_in(
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
