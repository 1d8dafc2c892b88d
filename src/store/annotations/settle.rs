//! Where a note or a reply stands, changed by who may.

use super::super::Store;
use super::super::contract::*;
use super::super::error::StoreError;
use super::write::{Contribution, insert_standing};
use crate::domain::annotation::{Asker, Settled, Standing, StandingError};
use serde_json::json;
use time::OffsetDateTime;

impl Store {
    /// Brings a remark to where it shall stand. What may become of it, and by
    /// whom, is [`Standing::may_become`]'s to say, on the card as it is now.
    /// `None` where there is no such card to write on.
    pub async fn settle_remark(
        &self,
        actor: &Actor,
        card: &CardId,
        id: &str,
        (to, reason): (Standing, Option<&str>),
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let contribution = Contribution::begin(self, actor, card, None, now).await?;
        let Some(Contribution { mut change, .. }) = contribution else {
            return Ok(None);
        };
        let before = change.card().await?;
        let found = before.card.annotations.iter().find_map(|a| a.remark(id));
        let (remark, is_reply) =
            found.ok_or_else(|| StoreError::NoSuchRemark { id: id.to_owned() })?;
        let (author,): (String,) = sqlx::query_as(
            "SELECT member_id FROM annotations
             WHERE department_id = $1 AND card_id = $2 AND id = $3",
        )
        .bind(change.actor.department.as_str())
        .bind(change.card.as_str())
        .bind(id)
        .fetch_one(&mut *change.tx)
        .await?;
        let asker = Asker {
            is_author: author == change.actor.member.as_str(),
            roles: &change.actor.roles,
        };
        remark.standing.may_become(to, is_reply, asker)?;
        let reason = reason.map(str::trim).filter(|r| !r.is_empty());
        if to.needs_reason() && reason.is_none() {
            return Err(StandingError::ReasonMissing { to }.into());
        }
        let settled = Settled {
            by: change.actor.member_name.clone(),
            on: now.date(),
            reason: reason.map(str::to_owned),
        };
        insert_standing(&mut change, id, to, Some(&settled)).await?;
        let what = if is_reply { "reply" } else { "note" };
        let (done, action) = match (remark.standing, to) {
            (Standing::Offered, Standing::Open) => ("accepted", "note-accepted"),
            (Standing::Hidden, Standing::Open) => ("shown again", "note-shown"),
            (_, Standing::Open) => ("opened again", "note-reopened"),
            (_, Standing::Resolved) => ("resolved", "note-resolved"),
            (_, Standing::Hidden) => ("hidden", "note-hidden"),
            (_, Standing::Declined) => ("declined", "note-declined"),
            (_, Standing::Withdrawn) => ("withdrawn", "note-withdrawn"),
            (_, Standing::Offered) => unreachable!("nothing becomes offered"),
        };
        let detail = json!({"note": id, "reason": reason});
        change
            .finish(&format!("{what} {id} {done}"), action, detail)
            .await
            .map(Some)
    }
}
