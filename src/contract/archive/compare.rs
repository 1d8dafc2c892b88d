//! What an archived card brings to a book: findings that are known, new, or in
//! conflict with what the book has under the same number.
//!
//! A finding is known where the card has one that states the same of the same
//! look, under whatever number. What is new comes as an offer: it can widen a zone
//! and take none away until somebody of the department accepts it.

use super::details::{Part, beside, spread};
use super::remarks::Remarks;
use crate::contract::card_file::FindingFile;
use crate::domain::annotation::Photo;
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Report, Status};
use crate::domain::numbers::FreeNumbers;
use std::collections::BTreeMap;

/// What an archived card brings to the card of the book.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Difference {
    /// Findings that the book has already.
    pub known: usize,
    /// Findings that it does not have, as the archive has them.
    pub new: Vec<Finding>,
    /// The same number on both sides for different statements.
    pub conflicts: Vec<Conflict>,
    /// Known findings that stand otherwise in the archive.
    pub standing: Vec<Standing>,
    /// Parts of the card's details that are not the same.
    pub details: Vec<Part>,
    /// What its notes bring.
    pub remarks: Remarks,
}

/// One number, two statements.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    pub here: Finding,
    pub there: Finding,
}

impl Conflict {
    /// Where the two are not the same: the field of the card file, what it has
    /// here, what it has there; blank where it has none.
    pub fn differences(&self) -> Vec<(String, String, String)> {
        let fields = |finding: &Finding| {
            let file = serde_json::to_value(FindingFile::from(finding));
            let mut file = file.expect("a finding is plain data");
            for decided in DECIDED {
                file[decided].take();
            }
            let mut fields = BTreeMap::new();
            spread("", &file, &mut fields);
            fields
        };
        beside(fields(&self.here), fields(&self.there))
    }
}

/// Fields of a finding that say how it stands or is numbered, not what it states.
const DECIDED: [&str; 6] = [
    "id",
    "component",
    "status",
    "reason",
    "supersedes",
    "resolved",
];

/// One statement that stands otherwise in the archive.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Its number here.
    pub id: String,
    pub here: Status,
    pub there: Status,
}

impl Difference {
    /// Compares an archived card with the book's. `gone`: photos that were taken out
    /// of the book's card, by the remark they hung on.
    pub fn between(here: &Card, there: &Card, gone: &[(String, Photo)]) -> Self {
        let known = |id: &str| finding_here(id, here, there);
        let (notes, others) = (&here.annotations, &there.annotations);
        let mut difference = Self {
            details: Part::between(here, there),
            remarks: Remarks::between(notes, others, gone, &known),
            ..Self::default()
        };
        for finding in &there.findings {
            let twin = twin(finding, here);
            let namesake = here.findings.iter().find(|f| f.id == finding.id);
            match (twin, namesake) {
                (Some(twin), _) => {
                    difference.known += 1;
                    if twin.status != finding.status {
                        difference.standing.push(Standing {
                            id: twin.id.clone(),
                            here: twin.status,
                            there: finding.status,
                        });
                    }
                }
                (None, Some(namesake)) => difference.conflicts.push(Conflict {
                    here: namesake.clone(),
                    there: finding.clone(),
                }),
                (None, None) => difference.new.push(finding.clone()),
            }
        }
        difference
    }

    /// Whether the archive brings nothing that could be taken in.
    pub fn is_nothing_new(&self) -> bool {
        self.new.is_empty()
            && self.conflicts.is_empty()
            && self.details.is_empty()
            && self.remarks.is_nothing_new()
    }

    /// The new findings as the book takes them in: offers, those that act, with
    /// the parts they are about by their numbers here. With `conflicts`, what is
    /// in conflict as well, under a number of its own.
    pub fn offers(&self, here: &Card, there: &Card, conflicts: bool) -> Vec<Finding> {
        let mut parts = Parts::between(here, there);
        let others = self.conflicts.iter().map(|conflict| Finding {
            id: String::new(),
            ..conflict.there.clone()
        });
        let others = others.filter(|_| conflicts);
        let all = self.new.iter().cloned().chain(others);
        all.filter(Finding::acts)
            .map(|finding| parts.offer(finding))
            .collect()
    }
}

/// The number here of a finding of the archive, where the book has it.
pub fn finding_here(id: &str, here: &Card, there: &Card) -> Option<String> {
    let finding = there.findings.iter().find(|f| f.id == id)?;
    twin(finding, here).map(|f| f.id.clone())
}

/// The finding of the book that states the same.
fn twin<'a>(finding: &Finding, here: &'a Card) -> Option<&'a Finding> {
    let mut same = here.findings.iter().filter(|f| f.repeats(finding));
    let first = same.next()?;
    // Under the same number, where several state the same.
    if first.id == finding.id {
        return Some(first);
    }
    Some(same.find(|f| f.id == finding.id).unwrap_or(first))
}

/// Which part of the book each part of the archive is, by the findings both have.
struct Parts {
    here: BTreeMap<String, String>,
    /// Numbers of parts that the book does not have.
    free: FreeNumbers,
}

impl Parts {
    fn between(here: &Card, there: &Card) -> Self {
        let part = |finding: &Finding| match &finding.report {
            Report::Component(report) => Some(report.component.clone()),
            Report::Bare(_) => None,
        };
        let same = there.findings.iter().filter_map(|finding| {
            let twin = twin(finding, here)?;
            Some((part(finding)?, part(twin)?))
        });
        let mut free = FreeNumbers::of('c');
        let parts = here.findings.iter().filter_map(part);
        parts.for_each(|id| free.take(&id));
        Self {
            here: same.collect(),
            free,
        }
    }

    fn offer(&mut self, finding: Finding) -> Finding {
        let mut offer = finding.as_offered();
        offer.supersedes = None;
        if let Report::Component(report) = &mut offer.report {
            let there = std::mem::take(&mut report.component);
            let here = self.here.entry(there).or_insert_with(|| {
                // A part the book has not seen: never one that only shares a number.
                self.free.next_id()
            });
            report.component.clone_from(here);
        }
        offer
    }
}

/// A card of an archive as a new one of the book: findings that act are offers,
/// bare ones too, and what was decided about them elsewhere does not count. With
/// `own` it is the department's own record, and every finding stands as it stood.
pub fn as_new(card: &Card, own: bool) -> Card {
    let mut card = card.clone();
    // A stored card is under its department's policy, and reviewed by its people.
    card.policy = crate::domain::policy::Policy::default();
    if !own {
        card.reviews = Vec::new();
        let offered = |finding: Finding| match finding.acts() {
            true => finding.as_offered(),
            false => finding,
        };
        card.findings = card.findings.into_iter().map(offered).collect();
    }
    card
}
