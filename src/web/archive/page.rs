//! The two pages of an archive: the one that asks for it, and the one that shows
//! what it brings.

use super::brings::{NotesBrought, PartRow};
use super::photos;
use super::take::Brought;
use crate::contract::archive::{Conflict, Difference, Standing};
use crate::domain::body::{FittedBody, fit, style};
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Report};
use crate::store::{Incoming, StoredCard};
use crate::web::findings::{effect, in_words, learnt};
use crate::web::no_cut_table::ChangeRow;
use crate::web::say;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;

/// Known cards whose findings are shown one by one; the others are counted.
const MOST_CARDS: usize = 40;
/// Conflicts of one card that stand open on the page.
const OPEN_CONFLICTS: usize = 3;
/// Findings of one card that are shown one by one.
const MOST_FINDINGS: usize = 60;

/// Asks for an archive.
#[derive(Template, WebTemplate)]
#[template(path = "archive/archive.html")]
pub struct ArchivePage {
    /// What else is wrong with the one sent, one line a fault.
    pub more: Vec<String>,
    /// Whether every card of the department can be sent from here.
    pub may_send: bool,
    pub typed: Typed,
}

/// Shows what an archive brings.
#[derive(Template, WebTemplate)]
#[template(path = "archive/brought.html")]
pub struct BroughtPage {
    pub name: String,
    pub origin: String,
    pub made: String,
    pub seen: String,
    pub new: Vec<NewCard>,
    pub changed: Vec<ChangedCard>,
    /// Changed cards that are taken in and not shown one by one.
    pub more: usize,
    /// Known cards to which it brings nothing.
    pub same: Vec<SameCard>,
    pub conflicts: usize,
    /// Photos of notes.
    pub photos: usize,
    /// Whether taking over details takes no-cut away somewhere.
    pub shrinks: bool,
    pub may_decide: bool,
    pub moved: Option<&'static str>,
    pub typed: Typed,
}

/// A card the book does not have.
pub struct NewCard {
    pub title: String,
    pub style: String,
    pub parts: usize,
    pub bare: usize,
}

/// A card the book has, and what the archive brings to it.
pub struct ChangedCard {
    pub title: String,
    pub href: String,
    pub known: usize,
    pub new: Vec<Row>,
    pub more: usize,
    pub conflicts: Vec<ConflictRow>,
    pub notes: Vec<String>,
    pub changes: Result<Vec<ChangeRow>, String>,
    pub remarks: Option<NotesBrought>,
    pub parts: Vec<PartRow>,
}

/// A card to which the archive brings nothing.
pub struct SameCard {
    pub title: String,
    pub href: String,
    pub notes: Vec<String>,
}

/// One finding.
pub struct Row {
    pub id: String,
    pub said: String,
    pub learnt: String,
    /// It no longer acts there, so it is not taken in.
    pub set_aside: Option<&'static str>,
}

impl ChangedCard {
    /// Conflicts that stand open, and those that are folded away.
    pub fn open_and_folded(&self) -> (&[ConflictRow], &[ConflictRow]) {
        let open = self.conflicts.len().min(OPEN_CONFLICTS);
        self.conflicts.split_at(open)
    }
}

/// One number, two statements.
pub struct ConflictRow {
    pub here: Row,
    pub there: Row,
    /// Field, what it has here, what it has there.
    pub differences: Vec<(String, String, String)>,
}

impl BroughtPage {
    pub(super) fn new(
        brought: &Brought,
        may_decide: bool,
        typed: Typed,
        moved: Option<&'static str>,
    ) -> Self {
        let manifest = &brought.archive.manifest;
        let mut page = Self {
            name: brought.sent.name.clone(),
            origin: manifest.origin.name.clone(),
            made: say::moment(manifest.made_at),
            seen: brought.seen(),
            new: Vec::new(),
            changed: Vec::new(),
            more: 0,
            same: Vec::new(),
            conflicts: 0,
            photos: photos::count(&brought.archive, &brought.incoming),
            shrinks: false,
            may_decide,
            moved,
            typed,
        };
        for (place, one) in brought.incoming.iter().enumerate() {
            page.add(place, one);
        }
        page
    }

    fn add(&mut self, place: usize, one: &Incoming) {
        let Some((stored, difference)) = &one.here else {
            self.new.push(NewCard::of(&one.archived.card));
            return;
        };
        self.conflicts += difference.conflicts.len();
        if difference.is_nothing_new() {
            self.same.push(SameCard {
                title: say::title(&stored.card.vehicle),
                href: format!("/cards/{}", stored.id),
                notes: notes(difference),
            });
        } else if self.changed.len() >= MOST_CARDS {
            self.more += 1;
        } else {
            let card = ChangedCard::of(one, (stored, difference), (place, &self.typed));
            self.shrinks |= card.parts.iter().any(PartRow::shrinks);
            self.changed.push(card);
        }
    }
}

/// What the archive has otherwise and is not taken over.
fn notes(difference: &Difference) -> Vec<String> {
    let stays = |s: &Standing| {
        let Standing { id, here, there } = s;
        format!("{id} is {here} here and {there} there: stays as it is")
    };
    difference.standing.iter().map(stays).collect()
}

impl ChangedCard {
    fn of(
        one: &Incoming,
        (stored, difference): (&StoredCard, &Difference),
        at: (usize, &Typed),
    ) -> Self {
        let (card, other) = (&stored.card, &one.archived.card);
        let (here, there) = (body_of(&stored.card), body_of(&one.archived.card));
        let new = |f: &Finding| Row::of(f, there.as_ref());
        let conflict = |c: &Conflict| {
            let mut row = ConflictRow {
                here: Row::of(&c.here, here.as_ref()),
                there: Row::of(&c.there, there.as_ref()),
                differences: c.differences(),
            };
            // The sentences say it already.
            if row.here.said != row.there.said {
                let is_said = |field: &str| field == "kind" || field.starts_with("place");
                row.differences.retain(|(field, ..)| !is_said(field));
            }
            row
        };
        let changes = |after: Card| effect(&stored.card, &after).map_err(|e| e.to_string());
        Self {
            title: say::title(&stored.card.vehicle),
            href: format!("/cards/{}", stored.id),
            known: difference.known,
            new: difference.new.iter().take(MOST_FINDINGS).map(new).collect(),
            more: difference.new.len().saturating_sub(MOST_FINDINGS),
            conflicts: difference.conflicts.iter().map(conflict).collect(),
            notes: notes(difference),
            changes: one.after(false).map_or(Ok(Vec::new()), changes),
            remarks: NotesBrought::of(&difference.remarks, other, at),
            parts: PartRow::all(card, other, &difference.details, at),
        }
    }
}

impl NewCard {
    fn of(card: &Card) -> Self {
        let is_bare = |f: &&Finding| matches!(f.report, Report::Bare(_));
        let bare = card.findings.iter().filter(is_bare).count();
        Self {
            title: say::title(&card.vehicle),
            style: say::style_name(&card.vehicle).to_owned(),
            parts: card.findings.len() - bare,
            bare,
        }
    }
}

impl Row {
    fn of(finding: &Finding, body: Option<&FittedBody>) -> Self {
        Self {
            id: finding.id.clone(),
            said: body.map_or_else(String::new, |body| in_words(finding, body)),
            learnt: learnt(finding),
            set_aside: (!finding.acts()).then(|| finding.status.word()),
        }
    }
}

/// The body of a card; it was fitted when the card was read.
fn body_of(card: &Card) -> Option<FittedBody> {
    fit(style(card.vehicle.body_style), &card.measured).ok()
}
