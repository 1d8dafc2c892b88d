//! A new card, and the details of one: vehicle, how to tell it, power off,
//! glass. Two people at once: the second sees both versions, nothing is lost.

mod drawing;
mod edit;
mod new;
pub mod read;

pub use edit::{edit_details, update_details};
pub use new::{create_card, new_card};

use crate::domain::body::Pane;
use crate::domain::card::{Glass, PowerSource};
use crate::domain::vehicle::{Drive, Roof, WheelSide};
use crate::web::form::{Choice, Field};
use crate::web::typed::Typed;

/// What the choices of the form are called.
pub struct Choices;

impl Choices {
    pub fn drives() -> Vec<Choice> {
        Drive::ALL
            .iter()
            .map(|d| Choice::new(d.word(), d.word()))
            .collect()
    }

    pub fn wheels() -> Vec<Choice> {
        WheelSide::ALL
            .iter()
            .map(|w| Choice::new(w.word(), w.word()))
            .collect()
    }

    pub fn roofs() -> Vec<Choice> {
        Roof::ALL
            .iter()
            .map(|r| Choice::new(r.word(), r.word()))
            .collect()
    }

    pub fn glass() -> Vec<Choice> {
        let known = Glass::ALL.iter().filter(|g| **g != Glass::Unknown);
        known.map(|g| Choice::new(g.word(), g.word())).collect()
    }
}

/// One source of power on the form.
pub struct PowerRow {
    pub name: &'static str,
    pub where_: Field,
    pub how: Field,
    pub open: bool,
}

/// One pane on the form.
pub struct PaneRow {
    pub name: String,
    pub field: Field,
}

fn power_rows(typed: &Typed) -> Vec<PowerRow> {
    let row = |what: &PowerSource| {
        let where_ = typed.field(&read::power_where(*what));
        let how = typed.field(&read::power_how(*what));
        PowerRow {
            name: power_name(*what),
            open: *what == PowerSource::Main12v
                || !where_.value.is_empty()
                || !how.value.is_empty(),
            where_,
            how,
        }
    };
    PowerSource::ALL.iter().map(row).collect()
}

fn pane_rows(typed: &Typed, panes: &[Pane]) -> Vec<PaneRow> {
    let row = |pane: &Pane| PaneRow {
        name: pane.name.clone(),
        field: typed.field(&read::glass_of(&pane.id)),
    };
    panes.iter().map(row).collect()
}

const fn power_name(what: PowerSource) -> &'static str {
    match what {
        PowerSource::Main12v => "12 V battery",
        PowerSource::Second12v => "Second 12 V battery",
        PowerSource::HighVoltage => "High voltage",
        PowerSource::FortyEightVolt => "48 V",
        PowerSource::KeyAway => "Key away from the car",
        PowerSource::ChargerOut => "Charger out",
    }
}
