//! Cards copied from another department's book on this server: where they came
//! from, what changed there since, and taking that over, finding by finding.
//!
//! A copy's findings are offers, whoever copies. What is taken over is offered too
//! where the book does not have it, and stands as at the source where the one who
//! takes it over may decide that; the rest waits for whoever may.

use super::Store;
use super::archives::{CardOrigin, Incoming, Take};
use super::contract::*;
use super::error::StoreError;
use super::findings::Numbering;
use crate::contract::archive::{ArchivedCard, Difference, Part, as_new};
use crate::domain::card::Card;
use crate::domain::decision::with_statuses;
use crate::domain::finding::{Finding, Report, Resolved, Status};
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// The card of another department that a card was copied from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lineage {
    pub card: CardId,
    /// As that department was called when it was copied.
    pub name: String,
}

/// A copy beside its source as both are now.
#[derive(Debug, Clone)]
pub struct BesideSource {
    pub here: StoredCard,
    pub source: StoredCard,
    pub difference: Difference,
}

impl Store {
    /// Copies a card of another department that the actor reads into their own
    /// book. `None` where there is no such card, or it is their own.
    ///
    /// # Errors
    /// [`StoreError::Duplicate`] with the id of the copy where there is one, or the
    /// store failed.
    pub async fn adopt(
        &self,
        actor: &Actor,
        card: &CardId,
        now: OffsetDateTime,
    ) -> Result<Option<StoredCard>, StoreError> {
        let source = self.shown_by_others(&actor.department, card).await?;
        let Some(source) = source else {
            return Ok(None);
        };
        let origin = CardOrigin {
            department: source.department.to_string(),
            name: source.department_name.clone(),
            card: source.id.to_string(),
        };
        if let Some(copy) = self.card_of_origin(actor, &origin).await? {
            return Err(StoreError::Duplicate {
                id: copy.id.to_string(),
            });
        }
        let copy = as_new(&source.card, false);
        let brought = BTreeSet::new();
        self.import_card_from(actor, copy, &brought, Some(&origin), now)
            .await
            .map(Some)
    }

    /// A card of another department as that one shows it: without the notes that
    /// it keeps to itself.
    async fn shown_by_others(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<StoredCard>, StoreError> {
        let stored = self.card(department, card).await?;
        Ok(stored
            .filter(|s| s.department != *department)
            .map(|mut shown| {
                shown.card.keep_notes_for_all();
                shown
            }))
    }

    /// Where a department's own card was copied from, if it was.
    pub async fn lineage(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<Lineage>, StoreError> {
        let row: Option<(String, String)> = sqlx::query_as(
            "SELECT origin_card, origin_name FROM card_origins
             WHERE department_id = $1 AND card_id = $2",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        Ok(row.map(|(card, name)| Lineage {
            card: CardId::new(card),
            name,
        }))
    }

    /// A copy beside its source. `None` where it is no copy, or its source is not
    /// there to be read any more.
    pub async fn beside_source(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Option<BesideSource>, StoreError> {
        let Some(lineage) = self.lineage(department, card).await? else {
            return Ok(None);
        };
        let here = self.card(department, card).await?;
        let source = self.shown_by_others(department, &lineage.card).await?;
        let (Some(here), Some(source)) = (here, source) else {
            return Ok(None);
        };
        let gone = self.photos_taken_out(department, card).await?;
        let mut difference = Difference::between(&here.card, &source.card, &gone);
        // Photos stay with their own department, as when the card was copied.
        difference.remarks.keep_photos(|_| false);
        Ok(Some(BesideSource {
            difference,
            here,
            source,
        }))
    }

    /// Takes over what these findings of the source say and how they stand there, and
    /// of its notes and details what `take` says: notes as offers.
    /// Gives the copy, and the findings of it that wait for somebody else. `None`
    /// where there is nothing to take over from.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where the copy moved on since `expected`,
    /// [`StoreError::Misplaced`] where one of the findings is not on the copy's body,
    /// or the store failed; what was taken over before stays.
    pub async fn take_over(
        &self,
        actor: &Actor,
        card: &CardId,
        (expected, picked, take): (Revision, &BTreeSet<String>, &Take),
        now: OffsetDateTime,
    ) -> Result<Option<(StoredCard, Vec<String>)>, StoreError> {
        let Some(beside) = self.beside_source(&actor.department, card).await? else {
            return Ok(None);
        };
        if beside.here.revision != expected {
            return Err(StoreError::Conflict {
                expected,
                current: beside.here.revision,
            });
        }
        let offers = beside.offers(picked);
        let from = (actor, beside.source.department_name.as_str());
        let what = (&beside.as_incoming(take), &BTreeSet::new());
        self.take_in_known(from, what, &offers, false, now).await?;
        let Some(beside) = self.beside_source(&actor.department, card).await? else {
            return Ok(None);
        };
        let mut waiting = Vec::new();
        for decided in beside.decisions(picked) {
            let done = match &decided {
                Decided::Stands(change) => {
                    let change = std::slice::from_ref(change);
                    self.change_status(actor, card, None, change, now).await
                }
                Decided::Resolved(finding) => {
                    let word = Resolved {
                        by: actor.member_name.clone(),
                        on: now.date(),
                    };
                    self.set_resolved(actor, card, None, finding, Some(&word), now)
                        .await
                }
            };
            match done {
                Ok(_) => {}
                // A correction accepted before it has settled it.
                Err(StoreError::StatusFixed { .. }) => {}
                Err(StoreError::Waits { finding, .. }) => waiting.push(finding),
                Err(other) => return Err(other),
            }
        }
        let here = self.card(&actor.department, card).await?;
        Ok(here.map(|here| (here, waiting)))
    }
}

/// What the source decided about a finding of the copy.
enum Decided {
    Stands(StatusChange),
    Resolved(String),
}

impl BesideSource {
    /// The source as an archive would bring it.
    fn as_incoming(&self, take: &Take) -> Incoming {
        Incoming {
            archived: ArchivedCard {
                id: self.source.id.to_string(),
                revision: self.source.revision,
                card: self.source.card.clone(),
            },
            here: Some((self.here.clone(), self.difference.clone())),
            take: take.clone(),
        }
    }

    /// The copy as it would be with these findings and parts of the source taken over,
    /// where all of it is the asker's to decide.
    pub fn taken_over(&self, picked: &BTreeSet<String>, parts: &[Part]) -> Card {
        let mut with_offers = self.clone();
        for part in parts {
            part.put(&mut with_offers.here.card, &self.source.card);
        }
        let card = &mut with_offers.here.card;
        let mut numbering = Numbering::of(&card.findings);
        let offers = self.offers(picked);
        let offers = offers.into_iter().map(|offer| numbering.fill_in(offer));
        card.findings.extend(offers);
        let decisions = with_offers.decisions(picked);
        let statuses = decisions.iter().filter_map(|decided| match decided {
            Decided::Stands(change) => Some((change.finding.as_str(), change.status)),
            Decided::Resolved(_) => None,
        });
        let statuses: Vec<(&str, Status)> = statuses.collect();
        with_statuses(&with_offers.here.card, &statuses)
    }

    /// The picked findings of the source that the copy does not have, as offers; a
    /// correction names what it corrects here.
    fn offers(&self, picked: &BTreeSet<String>) -> Vec<Finding> {
        let mut wanted = self.difference.clone();
        wanted.new.retain(|f| picked.contains(&f.id));
        wanted.conflicts.retain(|c| picked.contains(&c.there.id));
        let offers = wanted.offers(&self.here.card, &self.source.card, true);
        let of_source = |offer: &Finding| {
            let all = &self.source.card.findings;
            all.iter().find(|f| f.acts() && f.repeats(offer)).cloned()
        };
        offers
            .into_iter()
            .map(|mut offer| {
                let corrected = of_source(&offer).and_then(|f| f.supersedes);
                offer.supersedes = corrected.and_then(|old| self.twin_of(&old));
                offer
            })
            .collect()
    }

    /// The id here of a finding of the source, where it still acts here.
    fn twin_of(&self, of_source: &str) -> Option<String> {
        let there = self
            .source
            .card
            .findings
            .iter()
            .find(|f| f.id == of_source)?;
        let here = self.here.card.findings.iter();
        let mut twins = here.filter(|f| f.acts() && f.repeats(there));
        twins.next().map(|f| f.id.clone())
    }

    /// How picked findings of the source stand there and not here, what makes more
    /// cautious first.
    fn decisions(&self, picked: &BTreeSet<String>) -> Vec<Decided> {
        let there = self.source.card.findings.iter();
        let mut accepted = Vec::new();
        let mut resolved = Vec::new();
        let mut ended = Vec::new();
        for source in there.filter(|f| picked.contains(&f.id)) {
            let Some(id) = self.twin_of(&source.id) else {
                continue;
            };
            let here = self.here.card.findings.iter().find(|f| f.id == id);
            let Some(here) = here else { continue };
            let change = |status: Status| {
                let name = &self.source.department_name;
                let reason = match &source.reason {
                    Some(reason) => format!("{} in the book of {name}: {reason}", source.status),
                    None => format!("{} in the book of {name}", source.status),
                };
                Decided::Stands(StatusChange {
                    finding: id.clone(),
                    status,
                    reason: (status != Status::Accepted).then_some(reason),
                })
            };
            match (here.status, source.status) {
                (Status::Offered, Status::Accepted) => accepted.push(change(Status::Accepted)),
                (Status::Offered, Status::Declined | Status::Withdrawn | Status::Superseded) => {
                    ended.push(change(Status::Declined));
                }
                (Status::Accepted, Status::Withdrawn | Status::Superseded | Status::Declined) => {
                    ended.push(change(Status::Withdrawn));
                }
                _ => {}
            }
            if is_resolved(source) && !is_resolved(here) {
                resolved.push(Decided::Resolved(id.clone()));
            }
        }
        accepted.into_iter().chain(resolved).chain(ended).collect()
    }
}

fn is_resolved(finding: &Finding) -> bool {
    match &finding.report {
        Report::Bare(bare) => bare.resolved.is_some() && finding.acts(),
        Report::Component(_) => false,
    }
}
