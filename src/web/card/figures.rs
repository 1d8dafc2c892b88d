//! What a component's recorded figures come to: the force to shear a
//! reinforcement, and for trainers the energy of a cylinder's gas. Neither is
//! on the printed sheet.

use crate::domain::finding::{ComponentReport, Finding, Gas, Report, Steel};
use crate::domain::opening::steel::{ForceBand, OF_THE_BAND, largest};
use crate::domain::stored_gas::{
    FORMULAS, IdealGas, PRESSURE_ALONE, SAYS_NOTHING, StoredEnergy, VALIDITY, worst,
};
use crate::domain::zone::Component;
use crate::web::reading::Reading;

/// An estimate and what it takes for granted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    pub text: String,
    /// Empty where there is no estimate.
    pub granted: String,
}

/// The force to shear a section; `None` where nobody gave a figure of its steel.
pub fn force(reading: &Reading, component: &Component) -> Option<Figure> {
    let steel = largest(reports(reading, component).map(|r| &r.steel));
    if steel == Steel::default() {
        return None;
    }
    Some(match ForceBand::of(&steel) {
        Ok(band) => Figure {
            text: format!(
                "Force to shear it, estimate: {band}{}.",
                section(&steel).unwrap_or_default()
            ),
            granted: OF_THE_BAND.join(" "),
        },
        Err(missing) => Figure {
            text: format!("Force to shear it: unknown, {missing}."),
            granted: String::new(),
        },
    })
}

/// `, from 1500 MPa, 2 layers of 1.8 mm, 310 mm around`
fn section(steel: &Steel) -> Option<String> {
    let layers = match steel.layers? {
        1 => "1 layer".to_owned(),
        n => format!("{n} layers"),
    };
    Some(format!(
        ", from {} MPa, {layers} of {} mm, {} mm around",
        steel.uts_mpa?, steel.thickness_mm?, steel.perimeter_mm?
    ))
}

/// The energy of a cylinder's gas; `None` where nobody gave a figure of it.
pub fn stored_gas(reading: &Reading, component: &Component) -> Option<Figure> {
    let gas = worst(reports(reading, component).map(|r| &r.gas));
    if gas == Gas::default() {
        return None;
    }
    Some(match StoredEnergy::of(&gas) {
        Ok(energy) => Figure {
            text: format!(
                "{} by isentropic expansion, {} by Brode{}, γ {}. {SAYS_NOTHING}",
                energy.isentropic,
                energy.brode,
                content(&gas).unwrap_or_default(),
                gammas(&energy)
            ),
            granted: granted(&energy),
        },
        Err(no_energy) => Figure {
            text: format!("Unknown: {no_energy}. {SAYS_NOTHING}"),
            granted: String::new(),
        },
    })
}

/// `, from 60 MPa, 50 cm³, helium`; litres from one litre on.
fn content(gas: &Gas) -> Option<String> {
    let volume = match gas.volume_cm3? {
        cm3 if cm3 < 1000.0 => format!("{cm3} cm³"),
        cm3 => format!("{} L", cm3 / 1000.0),
    };
    Some(format!(
        ", from {} MPa, {volume}, {}",
        gas.pressure_mpa?,
        gas.gas.as_deref()?
    ))
}

/// `1.67`, or `1.40 to 1.67` for a mixture.
fn gammas(energy: &StoredEnergy) -> String {
    let mut all: Vec<f64> = energy.gases.iter().map(|g| g.gamma()).collect();
    all.sort_by(f64::total_cmp);
    match (all.first(), all.last()) {
        (Some(low), Some(high)) if low < high => format!("{low:.2} to {high:.2}"),
        (Some(one), _) => format!("{one:.2}"),
        _ => String::new(),
    }
}

fn granted(energy: &StoredEnergy) -> String {
    let burns = energy.gases.iter().copied().any(IdealGas::burns);
    let alone = if burns { PRESSURE_ALONE } else { "" };
    [FORMULAS, VALIDITY, alone]
        .into_iter()
        .filter(|said| !said.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// What the findings that act say of a component.
fn reports<'a>(
    reading: &'a Reading,
    component: &'a Component,
) -> impl Iterator<Item = &'a ComponentReport> {
    let findings = component
        .findings
        .iter()
        .filter_map(|id| reading.finding(id));
    findings
        .filter(|f: &&Finding| f.acts())
        .filter_map(|f| match &f.report {
            Report::Component(report) => Some(report),
            Report::Bare(_) => None,
        })
}
