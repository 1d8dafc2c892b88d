//! What an archive brings to a card that the book has: details that were chosen,
//! findings and notes as offers, photos. One change, all of it or nothing.

use super::super::Store;
use super::super::annotations::insert_more;
use super::super::cards::insert_details;
use super::super::change::Change;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::findings::insert_all;
use super::super::rows::AllDetails;
use super::take_in::{Incoming, TakenIn};
use crate::contract::archive::{Brought, Difference, finding_here};
use crate::domain::body::{fit, style};
use crate::domain::card::Card;
use crate::domain::finding::Finding;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use time::OffsetDateTime;

impl Store {
    /// Takes it in while the card is as it was when it was compared: the parts of
    /// the details and the notes that [`Incoming::take`] says, and these `offers`.
    /// `own`: notes stand as they stand there.
    pub(in crate::store) async fn take_in_known(
        &self,
        (actor, origin): (&Actor, &str),
        (one, brought): (&Incoming, &BTreeSet<String>),
        offers: &[Finding],
        own: bool,
        now: OffsetDateTime,
    ) -> Result<TakenIn, StoreError> {
        let (stored, difference) = one.here.as_ref().expect("the card is known");
        let expected = stored.revision;
        let change = Change::begin(self, actor, &stored.id, Some(expected), now).await?;
        let gone = StoreError::Conflict {
            expected,
            current: 0,
        };
        let mut change = change.ok_or(gone)?;
        let before = change.card().await?.card;
        let card = one.with_details(&before);
        if !one.take.details.is_empty() {
            let all = AllDetails {
                details: CardDetails::from(&card),
                reviews: before.reviews.clone(),
            };
            insert_details(&mut change, &all).await?;
        }
        // Their places are checked on the body as it is from here on.
        let ids = insert_all(&mut change, &card, offers).await?;
        let after = with_findings(&card, offers, &ids);
        let remarks = remarks(one, difference, &after, own);
        let written = insert_more(&mut change, &before.annotations, &remarks, brought).await?;
        let taken = TakenIn {
            card: stored.id.clone(),
            new_card: false,
            findings: ids.len(),
            notes: written.remarks,
            photos: written.photos,
            left_out: remarks.left_out,
        };
        if taken.is_nothing() && one.take.details.is_empty() {
            return Ok(taken);
        }
        let parts: Vec<&str> = one.take.details.iter().map(|part| part.name()).collect();
        let detail = json!({"from": origin, "findings": ids, "notes": written.ids, "photos": written.photos, "parts": parts});
        let summary = in_words(&taken, origin, &parts);
        change.finish(&summary, "taken-over", detail).await?;
        Ok(taken)
    }
}

fn with_findings(card: &Card, offers: &[Finding], ids: &[String]) -> Card {
    let mut after = card.clone();
    let numbered = offers.iter().zip(ids).map(|(offer, id)| Finding {
        id: id.clone(),
        ..offer.clone()
    });
    after.findings.extend(numbered);
    after
}

/// The notes as they are written, by the numbers that findings have here now.
fn remarks(one: &Incoming, difference: &Difference, after: &Card, own: bool) -> Brought {
    if !one.take.remarks {
        return Brought::default();
    }
    let Ok(body) = fit(style(after.vehicle.body_style), &after.measured) else {
        return Brought::default();
    };
    let known: BTreeMap<String, Option<String>> = one
        .archived
        .card
        .findings
        .iter()
        .map(|f| (f.id.clone(), finding_here(&f.id, after, &one.archived.card)))
        .collect();
    let here = |id: &str| known.get(id).cloned().flatten();
    let fits = |target: &_| -> bool {
        let target: &crate::domain::annotation::Target = target;
        target.check(&body, &after.findings).is_ok()
    };
    difference.remarks.brought(own, &here, &fits)
}

fn in_words(taken: &TakenIn, origin: &str, parts: &[&str]) -> String {
    let counted = |count: usize, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    let mut what: Vec<String> = [
        counted(taken.findings, "finding"),
        counted(taken.notes, "note"),
        counted(taken.photos, "photo"),
    ]
    .into_iter()
    .flatten()
    .collect();
    what.extend(parts.iter().map(|part| (*part).to_owned()));
    format!("{} taken over from {origin}", what.join(", "))
}
