//! What answers the words typed: cards, or the generic card of a body style.

use crate::domain::body::{self, StyleId};
use crate::domain::find::look_up;
use crate::domain::vehicle::Vehicle;
use crate::domain::vin::Vin;
use crate::store::CardSummary;
use crate::web::say;

/// Most cards listed for one search.
pub const LIMIT: usize = 20;

/// A card as a row of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardRow {
    pub href: String,
    pub title: String,
    pub facts: String,
    pub stand: String,
    /// Why it was found; empty for a recent card.
    pub why: String,
}

/// A body style as a row of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StyleRow {
    pub href: String,
    pub name: String,
    pub shape: String,
}

/// A VIN as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VinRow {
    pub vin: String,
    pub text: String,
    pub warnings: Vec<String>,
}

/// Everything that answers one search.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Results {
    pub typed: String,
    pub vin: Option<VinRow>,
    pub cards: Vec<CardRow>,
    pub styles: Vec<StyleRow>,
}

impl CardRow {
    pub fn of(summary: &CardSummary) -> Self {
        let findings = usize::try_from(summary.finding_count).unwrap_or_default();
        Self {
            href: format!("/cards/{}", summary.id),
            title: say::title(&summary.vehicle),
            facts: facts(&summary.vehicle),
            stand: format!(
                "{} · revision {} · {} · {}",
                summary.department_name,
                summary.revision,
                say::day(summary.updated_at.date()),
                say::count(findings, "finding", "findings"),
            ),
            why: String::new(),
        }
    }
}

fn facts(vehicle: &Vehicle) -> String {
    let drive = vehicle.drive.map_or("drive unknown", say::drive);
    format!("{} · {drive}", say::style_name(vehicle))
}

impl StyleRow {
    pub fn of(id: StyleId) -> Self {
        let style = body::style(id);
        Self {
            href: format!("/body-styles/{id}"),
            name: style.name.clone(),
            shape: style.shape.clone(),
        }
    }
}

impl VinRow {
    fn of(vin: &Vin) -> Self {
        let years: Vec<String> = vin.years.iter().map(ToString::to_string).collect();
        let text = match (vin.well_formed, vin.year, years.as_slice()) {
            (false, _, _) => "not a VIN as it stands".to_owned(),
            (true, Some(year), _) => format!("model year {year}"),
            (true, None, []) => "model year unknown".to_owned(),
            (true, None, _) => format!("model year {}", years.join(" or ")),
        };
        Self {
            vin: vin.vin.clone(),
            text,
            warnings: vin.warnings.iter().map(ToString::to_string).collect(),
        }
    }
}

impl Results {
    /// Looks through every card the department may read.
    pub fn of(typed: &str, summaries: &[CardSummary]) -> Self {
        let typed = typed.trim();
        let vehicles: Vec<&Vehicle> = summaries.iter().map(|s| &s.vehicle).collect();
        let (vin, found) = look_up(typed, &vehicles, LIMIT);
        let card = |m: &crate::domain::find::Match| {
            summaries.get(m.index).map(|s| CardRow {
                why: m.why.clone(),
                ..CardRow::of(s)
            })
        };
        let styles = if found.styles.is_empty() && found.matches.is_empty() {
            StyleId::ALL
        } else {
            found.styles.as_slice()
        };
        Self {
            typed: typed.to_owned(),
            cards: found.matches.iter().filter_map(card).collect(),
            styles: styles.iter().map(|s| StyleRow::of(*s)).collect(),
            vin: vin.as_ref().map(VinRow::of),
        }
    }
}
