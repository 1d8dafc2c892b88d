//! What an archive brings to the book, and taking it in: new cards, and new
//! findings of known ones as offers. Each card is one change; where the archive is
//! sent again after a failure between two of them, what was taken in is known.

use super::super::Store;
use super::super::contract::*;
use super::super::error::StoreError;
use super::super::findings::Numbering;
use super::origin::CardOrigin;
use crate::contract::archive::{Archive, ArchivedCard, Difference, Part, as_new, photo_file};
use crate::domain::annotation::{Annotation, Photo, Remark};
use crate::domain::card::Card;
use crate::domain::vehicle::Variant;
use crate::domain::zone::zones;
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// One card of an archive beside the card of the book that it is.
#[derive(Debug, Clone)]
pub struct Incoming {
    pub archived: ArchivedCard,
    /// The book's card, and what the archive brings to it; `None` for a new card.
    pub here: Option<(StoredCard, Difference)>,
    pub take: Take,
}

/// What is taken over of a known card beside its new findings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Take {
    /// Notes, replies and photos.
    pub remarks: bool,
    /// Parts of the details, as the archive has them.
    pub details: Vec<Part>,
}

impl Default for Take {
    fn default() -> Self {
        Self {
            remarks: true,
            details: Vec::new(),
        }
    }
}

impl Incoming {
    /// The book's card with what the archive brings to it; `None` for a new card.
    pub fn after(&self, conflicts: bool) -> Option<Card> {
        let (stored, difference) = self.here.as_ref()?;
        let mut after = self.with_details(&stored.card);
        let mut numbering = Numbering::of(&after.findings);
        let offers = difference.offers(&stored.card, &self.archived.card, conflicts);
        let offers = offers.into_iter().map(|offer| numbering.fill_in(offer));
        after.findings.extend(offers);
        Some(after)
    }

    /// A card with the parts of its details that are taken over.
    pub fn with_details(&self, card: &Card) -> Card {
        let mut card = card.clone();
        for part in &self.take.details {
            part.put(&mut card, &self.archived.card);
        }
        card
    }

    /// Why the book's card cannot hold what the archive brings to it: its body is
    /// another, or measured otherwise. `None` where it can.
    pub fn misfit(&self, conflicts: bool) -> Option<String> {
        let after = self.after(conflicts)?;
        let error = zones(&after, &Variant::default()).err()?;
        Some(format!("card {}: {error}", self.archived.id))
    }
}

/// What became of one card of an archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenIn {
    pub card: CardId,
    pub new_card: bool,
    /// Findings taken in.
    pub findings: usize,
    /// Notes and replies taken in.
    pub notes: usize,
    /// Photos taken in.
    pub photos: usize,
    /// Findings in conflict, and notes that have no place here, that were left out.
    pub left_out: usize,
}

impl TakenIn {
    /// Whether nothing was taken in.
    pub fn is_nothing(&self) -> bool {
        self.findings + self.notes + self.photos == 0
    }
}

impl Store {
    /// What an archive brings to the actor's book, card by card.
    pub async fn compare_archive(
        &self,
        actor: &Actor,
        archive: &Archive,
    ) -> Result<Vec<Incoming>, StoreError> {
        let mut all = Vec::with_capacity(archive.cards.len());
        for archived in &archive.cards {
            let origin = CardOrigin::of(archive, archived);
            let here = self.card_of_origin(actor, &origin).await?;
            let here = match here {
                None => None,
                Some(stored) => {
                    let gone = self.photos_taken_out(&actor.department, &stored.id).await?;
                    let mut difference = Difference::between(&stored.card, &archived.card, &gone);
                    let files = &archive.files;
                    let comes = |photo: &Photo| files.holds(&photo_file(&photo.name));
                    difference.remarks.keep_photos(comes);
                    Some((stored, difference))
                }
            };
            all.push(Incoming {
                archived: archived.clone(),
                here,
                take: Take::default(),
            });
        }
        Ok(all)
    }

    /// Takes in what [`Self::compare_archive`] found, while every card is as it
    /// was then. `own`: the archive is the department's own record, and findings
    /// of new cards stand as they stood, and notes of any card; otherwise, and findings
    /// of known cards in any case, they are offers. `conflicts`: what is in conflict is taken in too,
    /// each as an offer under a number of its own. `brought`: photos of notes
    /// whose bytes are kept already.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where a card moved on meanwhile; cards before it
    /// are taken in.
    pub async fn take_in_archive(
        &self,
        actor: &Actor,
        (archive, incoming): (&Archive, &[Incoming]),
        (own, conflicts): (bool, bool),
        brought: &BTreeSet<String>,
        now: OffsetDateTime,
    ) -> Result<Vec<TakenIn>, StoreError> {
        // Nothing is begun where a card moved on before.
        for (stored, _) in incoming.iter().filter_map(|i| i.here.as_ref()) {
            let current = self.card_revision(&actor.department, &stored.id).await?;
            if let Some(current) = current.filter(|current| *current != stored.revision) {
                return Err(StoreError::Conflict {
                    expected: stored.revision,
                    current,
                });
            }
        }
        let mut all = Vec::with_capacity(incoming.len());
        for one in incoming {
            all.push(match &one.here {
                None => {
                    self.take_in_new((actor, archive), (one, brought), own, now)
                        .await?
                }
                Some((stored, difference)) => {
                    let from = (actor, archive.manifest.origin.name.as_str());
                    let there = &one.archived.card;
                    let offers = difference.offers(&stored.card, there, conflicts);
                    let taking = self.take_in_known(from, (one, brought), &offers, own, now);
                    let mut taken = taking.await?;
                    if !conflicts {
                        taken.left_out += difference.conflicts.len();
                    }
                    taken
                }
            });
        }
        Ok(all)
    }

    async fn take_in_new(
        &self,
        (actor, archive): (&Actor, &Archive),
        (one, brought): (&Incoming, &BTreeSet<String>),
        own: bool,
        now: OffsetDateTime,
    ) -> Result<TakenIn, StoreError> {
        let origin = CardOrigin::of(archive, &one.archived);
        let card = as_new(&one.archived.card, own);
        let findings = card.findings.len();
        let notes = &one.archived.card.annotations;
        let remarks: Vec<&Remark> = notes.iter().flat_map(Annotation::remarks).collect();
        let photos = remarks.iter().flat_map(|r| &r.photos);
        let photos = photos.filter(|p| brought.contains(&p.name)).count();
        let stored = self
            .import_card_from(actor, card, brought, Some(&origin), now)
            .await?;
        Ok(TakenIn {
            card: stored.id,
            new_card: true,
            findings,
            notes: remarks.len(),
            photos,
            left_out: 0,
        })
    }
}
