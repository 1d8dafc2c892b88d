//! Findings one by one: a new one, a correction, and where one stands. Nothing
//! is edited away: a correction supersedes, a withdrawal keeps its reason, and
//! what would shrink a no-cut is shown in mm before it is done.

mod act;
pub mod beside;
mod check;
pub mod choices;
mod entry;
mod entry_page;
mod list;
pub mod number;
pub mod read;
pub mod session;
mod standing;

pub use check::note_same;
pub use entry::{correct_finding, create_finding, new_finding, update_finding};
pub use list::{learnt, list_findings};
pub use standing::{change_standing, show_finding};

use crate::domain::body::{FittedBody, fit, style};
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Place, Report};
use crate::domain::units::Rounding;
use crate::store::StoredCard;
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::no_cut_table::{self, ChangeRow};
use crate::web::own_card::zones_of;
use crate::web::say;
use crate::web::typed::{Asked, Typed};

/// Said by the member where a no-cut would shrink.
pub const SEEN: Asked<'static> = Asked::new("shrink_seen", "What it takes away");

/// How a member says that they saw what a change takes away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seeing {
    /// Nobody else is there to look at it.
    pub alone: bool,
}

impl Seeing {
    /// What the tick says.
    pub const fn tick(self) -> &'static str {
        match self.alone {
            true => {
                "I have looked at what it takes away. There is no second person here: I do it single-handed."
            }
            false => "I have looked at what it takes away.",
        }
    }

    const fn refusal(self) -> &'static str {
        match self.alone {
            true => {
                "this takes no-cut away, and there is no second person here: look at the table, then tick that you do it single-handed"
            }
            false => "this takes no-cut away: look at the table, then tick that you have",
        }
    }
}

/// The body of a card.
///
/// # Errors
/// [`AppError::CannotCompute`] with the reason in words.
pub fn body_of(stored: &StoredCard) -> Result<FittedBody, AppError> {
    fit(style(stored.card.vehicle.body_style), &stored.card.measured)
        .map_err(|e| AppError::CannotCompute(e.to_string()))
}

fn finding_of<'a>(stored: &'a StoredCard, id: &str) -> Result<&'a Finding, AppError> {
    let mut all = stored.card.findings.iter();
    all.find(|f| f.id == id)
        .ok_or(AppError::NotFound("finding"))
}

/// What a change of the card does to its no-cut.
pub fn effect(before: &Card, after: &Card) -> Result<Vec<ChangeRow>, AppError> {
    Ok(no_cut_table::rows(&zones_of(before)?, &zones_of(after)?))
}

/// Refuses what would shrink a no-cut unless the member has said they saw it.
pub fn ask_if_shrinking(typed: &mut Typed, rows: &[ChangeRow], seeing: Seeing) {
    if rows.iter().any(|r| r.shrinks) && !typed.chosen(SEEN.name, "yes") {
        typed.refuse(SEEN, seeing.refusal());
    }
}

/// A finding in one line: what, where.
pub fn in_words(finding: &Finding, body: &FittedBody) -> String {
    let named = |id: &str| {
        body.span(id)
            .map_or_else(|| id.to_owned(), |s| s.name.to_string())
    };
    let along = |span: &str, from: f64, to: f64| {
        format!(
            "{}, {} to {} from the foot",
            named(span),
            figures::both(from, Rounding::Nearest),
            figures::both(to, Rounding::Nearest)
        )
    };
    match &finding.report {
        Report::Bare(b) => format!("Bare, {}: {}", b.depth, along(&b.span, b.from_mm, b.to_mm)),
        Report::Component(part) => match &part.place {
            Place::OnSpan {
                span,
                from_mm,
                to_mm,
            } => {
                format!("{}: {}", part.kind.name(), along(span, *from_mm, *to_mm))
            }
            place @ Place::Points(_) => {
                format!("{}: {}", part.kind.name(), say::place(place, body))
            }
        },
    }
}
