//! The page of a strip session: what is asked next, what was entered, and what
//! it would do to the card.

use super::draft::{Draft, Entry, Stated};
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Place, Report};
use crate::domain::units::{Rounding, Unit, length};
use crate::domain::zone::{SpanZones, Zones};
use crate::sketch::{self, Options};
use crate::store::Revision;
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::findings::choices::EntryChoices;
use crate::web::no_cut_table::{self, ChangeRow};
use crate::web::own_card::{CardHead, zones_of};
use crate::web::say;
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;

/// Asks for what stands over the whole session.
#[derive(Template, WebTemplate)]
#[template(path = "strip/begin.html")]
pub struct BeginPage {
    pub head: CardHead,
    pub typed: Typed,
    /// A session under way is being changed, not begun.
    pub version: Revision,
}

/// The session under way.
#[derive(Template, WebTemplate)]
#[template(path = "strip/session.html")]
pub struct SessionPage {
    pub head: CardHead,
    pub version: Revision,
    pub draft: Draft,
    pub unit: &'static str,
    pub typed: Typed,
    pub choices: EntryChoices,
    pub entries: Vec<EntryRow>,
    pub bare: usize,
    /// Whether nobody else could confirm them.
    pub alone: bool,
    pub preview: Result<Preview, String>,
}

/// One entry in the list.
pub struct EntryRow {
    pub number: usize,
    pub index: usize,
    pub span: String,
    pub said: String,
    pub stations: String,
    pub told: bool,
    /// Whether "same on the other side" can be said of it.
    pub can_mirror: bool,
}

/// What the session would do to the card.
pub struct Preview {
    pub defs: String,
    pub rulers: Vec<String>,
    pub changes: Vec<ChangeRow>,
    pub warnings: Vec<String>,
}

impl SessionPage {
    pub fn new(
        head: CardHead,
        card: &Card,
        body: &FittedBody,
        (draft, version): (Draft, Revision),
        typed: Typed,
    ) -> Self {
        let unit = draft.session.unit;
        Self {
            choices: EntryChoices::of(body, card, unit, &typed),
            entries: rows(&draft, body, unit),
            bare: draft.entries.iter().filter(|e| e.is_bare()).count(),
            alone: false,
            preview: preview(&draft, card, &head.on_a_drawing(body.fitted))
                .map_err(|e| e.to_string()),
            unit: unit.word(),
            head,
            version,
            draft,
            typed,
        }
    }
}

fn rows(draft: &Draft, body: &FittedBody, unit: Unit) -> Vec<EntryRow> {
    let row = |(index, entry): (usize, &Entry)| {
        let span = body.span(&entry.span);
        EntryRow {
            number: index + 1,
            index,
            span: span.map_or_else(|| entry.span.clone(), |s| s.name.to_string()),
            said: said(entry, unit),
            stations: match entry.points {
                Some(ends) => format!("beside it; {}", say::place(&Place::Points(ends), body)),
                None => format!(
                    "{} to {} from the foot",
                    figures::both(entry.from_mm, Rounding::Nearest),
                    figures::both(entry.to_mm, Rounding::Nearest)
                ),
            },
            told: entry.mirror_of.is_some(),
            can_mirror: draft.clone().mirror(index, body).is_ok(),
        }
    };
    draft.entries.iter().enumerate().map(row).collect()
}

fn said(entry: &Entry, unit: Unit) -> String {
    match &entry.stated {
        Stated::Bare { depth } => format!("bare, {depth}"),
        Stated::Part {
            kind,
            same_as,
            radius_mm,
            bag,
            ..
        } => {
            let mut said = kind.name().to_owned();
            if let Some(radius) = radius_mm {
                said += &format!(", {} across", length(2.0 * radius, unit));
            }
            if let Some(bag) = bag {
                said += &format!(", {} bag", bag.word().replace('-', " "));
            }
            if let Some(part) = same_as {
                said += &format!(", the same as {part}");
            }
            said
        }
    }
}

fn preview(draft: &Draft, card: &Card, options: &Options) -> Result<Preview, AppError> {
    let (before, after) = (zones_of(card)?, zones_of(&draft.on(card))?);
    let touched = |span: &&SpanZones| draft.entries.iter().any(|e| e.span == span.id);
    let rulers = after.spans.iter().filter(touched);
    let known = |text: &String| !before.warnings.iter().any(|w| w.text == *text);
    Ok(Preview {
        defs: sketch::svg::inline_defs(),
        rulers: rulers.map(|span| ruler(&after, span, options)).collect(),
        changes: no_cut_table::rows(&before, &after),
        warnings: after
            .warnings
            .iter()
            .map(|w| w.text.clone())
            .filter(known)
            .map(|text| by_entry(&text, &draft.findings(card), card))
            .collect(),
    })
}

/// A warning with the entry it is about: the numbers it names are given out only
/// when the session is saved.
fn by_entry(text: &str, entered: &[Finding], card: &Card) -> String {
    let on_card = |id: &str| {
        card.findings.iter().any(|f| {
            f.id == id || matches!(&f.report, Report::Component(part) if part.component == id)
        })
    };
    let meant = |word: &str| {
        let of_entry = |f: &Finding| {
            f.id == word || matches!(&f.report, Report::Component(part) if part.component == word)
        };
        let nth = entered
            .iter()
            .position(of_entry)
            .filter(|_| !on_card(word))?;
        Some(format!("entry {}", nth + 1))
    };
    text.split_inclusive(|c: char| !c.is_alphanumeric())
        .map(|piece| {
            let word = piece.trim_end_matches(|c: char| !c.is_alphanumeric());
            let rest = &piece[word.len()..];
            meant(word).map_or_else(|| piece.to_owned(), |entry| entry + rest)
        })
        .collect()
}

fn ruler(zones: &Zones, span: &SpanZones, options: &Options) -> String {
    sketch::svg::write_inline(&sketch::ruler(zones, span, options))
}
