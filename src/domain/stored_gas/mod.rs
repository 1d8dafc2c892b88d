//! The energy a cylinder's gas gives up when it bursts, for trainers: two
//! textbook figures of an ideal gas. MPa absolute and cm³ in (their product is
//! joules), J out.
//!
//! Sources: Brode and isentropic expansion, "Understanding Explosions",
//! AIChE/CCPS 2003, App. B, eq. B-1 and B-2; the latter also ASME PCC-2,
//! Appendix 501-II.

mod fill;

pub use fill::IdealGas;

use crate::domain::finding::Gas;
use fill::gases_of;
use std::fmt;

/// Standard atmosphere, MPa: what a burst cylinder's gas expands to.
pub const ATMOSPHERE_MPA: f64 = 0.101_325;

/// The formulas in words for people.
pub const FORMULAS: &str = "Brode: (P₁ − P₀)V/(γ − 1). Isentropic expansion: P₁V/(γ − 1) · [1 − (P₀/P₁)^((γ − 1)/γ)]. \
     P₁ taken as absolute, P₀ = 0.101 MPa.";

/// Where the figures hold, in words for people; departures by CoolProp.
pub const VALIDITY: &str = "Ideal gas at 20 °C, an estimate. Above about 5 MPa a real gas departs from it, either way; \
     at 60 MPa helium gives about a fifth less, argon and hydrogen two fifths, nitrogen half.";

/// What must stand beside the figures of a gas that burns.
pub const PRESSURE_ALONE: &str = "It is the pressure alone: what burning gives is not in it.";

/// What must stand beside every figure.
pub const SAYS_NOTHING: &str = "This says nothing about how far fragments reach.";

/// A figure of a cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GasFigure {
    Pressure,
    Volume,
    Gas,
}

impl GasFigure {
    /// The figure in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pressure => "pressure",
            Self::Volume => "volume",
            Self::Gas => "gas",
        }
    }
}

/// Why no stored energy can be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoEnergy {
    #[error("{} not recorded", .0.iter().map(|f| f.name()).collect::<Vec<_>>().join(", "))]
    Missing(Vec<GasFigure>),
    #[error("no figure is held for “{0}”; known are {known}", known = known_gases())]
    UnknownGas(String),
    #[error("{0} is liquid or dense in a cylinder, and these formulas are for a gas")]
    Liquid(&'static str),
    #[error("{0} MPa absolute is no pressure above the atmosphere’s 0.101 MPa")]
    NoPressure(f64),
    #[error("{0} cm³ is no volume; a number above 0 is accepted")]
    NoVolume(f64),
}

fn known_gases() -> String {
    let names: Vec<&str> = IdealGas::ALL.iter().map(|g| g.name()).collect();
    names.join(", ")
}

/// A figure in J; two where the gas is a mixture, whose γ lies between those
/// of its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Energy {
    pub least_j: f64,
    pub most_j: f64,
}

impl fmt::Display for Energy {
    /// `4.2 kJ`, or `4.0 to 6.9 kJ` for a mixture.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (scale, unit) = match self.most_j {
            j if j < 1e3 => (1.0, "J"),
            j if j < 1e6 => (1e3, "kJ"),
            _ => (1e6, "MJ"),
        };
        let [least, most] = [self.least_j, self.most_j].map(|j| two_figures(j / scale));
        if least == most {
            write!(f, "{most} {unit}")
        } else {
            write!(f, "{least} to {most} {unit}")
        }
    }
}

/// One decimal below ten, whole above: the estimate bears no more.
fn two_figures(value: f64) -> String {
    if value < 10.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

/// What a cylinder's gas gives up, by two formulas. The truth of an ideal gas
/// expanding slowly is the isentropic one; Brode's is always the larger.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredEnergy {
    pub gases: Vec<IdealGas>,
    pub brode: Energy,
    pub isentropic: Energy,
}

impl StoredEnergy {
    /// The stored energy of a cylinder.
    ///
    /// # Errors
    /// A figure is missing or impossible, the gas is not known, or the fill is
    /// liquid or dense.
    pub fn of(gas: &Gas) -> Result<Self, NoEnergy> {
        let label = gas.gas.as_deref().map(str::trim).filter(|g| !g.is_empty());
        // A liquid fill is said before what is missing: more figures would not help.
        let gases = label.map(gases_of).transpose()?;
        let (Some(p1), Some(v), Some(gases)) = (gas.pressure_mpa, gas.volume_cm3, gases) else {
            let given = [
                (GasFigure::Pressure, gas.pressure_mpa.is_some()),
                (GasFigure::Volume, gas.volume_cm3.is_some()),
                (GasFigure::Gas, label.is_some()),
            ];
            let missing = given.iter().filter(|(_, there)| !there);
            return Err(NoEnergy::Missing(missing.map(|(f, _)| *f).collect()));
        };
        if !(p1.is_finite() && p1 > ATMOSPHERE_MPA) {
            return Err(NoEnergy::NoPressure(p1));
        }
        if !(v.is_finite() && v > 0.0) {
            return Err(NoEnergy::NoVolume(v));
        }
        Ok(Self {
            brode: over(&gases, |gamma| brode_j(p1, v, gamma)),
            isentropic: over(&gases, |gamma| isentropic_j(p1, v, gamma)),
            gases,
        })
    }
}

/// What several findings say of one cylinder: the largest of each figure, and
/// every gas named, as if they were mixed.
pub fn worst<'a>(findings: impl IntoIterator<Item = &'a Gas>) -> Gas {
    let larger = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (one, other) => one.or(other),
    };
    let join = |so_far: Option<String>, other: Option<&str>| match (so_far, other) {
        (Some(names), Some(name)) if names.split(" / ").any(|n| n == name) => Some(names),
        (Some(names), Some(name)) => Some(format!("{names} / {name}")),
        (names, name) => names.or(name.map(str::to_owned)),
    };
    findings
        .into_iter()
        .fold(Gas::default(), |so_far, gas| Gas {
            pressure_mpa: larger(so_far.pressure_mpa, gas.pressure_mpa),
            volume_cm3: larger(so_far.volume_cm3, gas.volume_cm3),
            gas: join(so_far.gas, gas.gas.as_deref().map(str::trim)),
        })
}

/// The least and the most of a figure over the gases of a fill. Both formulas
/// fall as γ rises, so a mixture lies between its parts.
fn over(gases: &[IdealGas], figure: impl Fn(f64) -> f64) -> Energy {
    let figures = gases.iter().map(|g| figure(g.gamma()));
    let none = Energy {
        least_j: f64::INFINITY,
        most_j: 0.0,
    };
    figures.fold(none, |e, j| Energy {
        least_j: e.least_j.min(j),
        most_j: e.most_j.max(j),
    })
}

/// Brode: heating at constant volume, J.
pub fn brode_j(p1_mpa: f64, volume_cm3: f64, gamma: f64) -> f64 {
    (p1_mpa - ATMOSPHERE_MPA) * volume_cm3 / (gamma - 1.0)
}

/// Isentropic expansion to the atmosphere, J.
pub fn isentropic_j(p1_mpa: f64, volume_cm3: f64, gamma: f64) -> f64 {
    let left = (ATMOSPHERE_MPA / p1_mpa).powf((gamma - 1.0) / gamma);
    p1_mpa * volume_cm3 / (gamma - 1.0) * (1.0 - left)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cylinder(pressure_mpa: f64, volume_cm3: f64, gas: &str) -> Gas {
        Gas {
            pressure_mpa: Some(pressure_mpa),
            volume_cm3: Some(volume_cm3),
            gas: Some(gas.to_owned()),
        }
    }

    #[test]
    fn a_small_helium_cylinder_holds_about_four_kilojoules() {
        let energy = StoredEnergy::of(&cylinder(60.0, 50.0, "He")).unwrap();
        assert_eq!(energy.brode.to_string(), "4.5 kJ");
        assert_eq!(energy.isentropic.to_string(), "4.1 kJ");
    }

    #[test]
    fn a_mixture_gives_a_band_that_holds_each_of_its_parts() {
        let of = |gas| StoredEnergy::of(&cylinder(30.0, 100.0, gas)).unwrap();
        let (mixed, argon, nitrogen) = (of("Ar/N2"), of("argon"), of("nitrogen"));
        assert_eq!(mixed.brode.least_j, argon.brode.least_j);
        assert_eq!(mixed.brode.most_j, nitrogen.brode.most_j);
        assert_eq!(mixed.isentropic.least_j, argon.isentropic.least_j);
        assert_eq!(mixed.isentropic.most_j, nitrogen.isentropic.most_j);
        assert!(mixed.isentropic.to_string().contains(" to "));
    }

    #[test]
    fn liquid_fills_are_refused_even_in_a_mixture_or_without_figures() {
        for label in [
            "CO2",
            "co₂",
            "Carbon dioxide",
            "N2O",
            "nitrous oxide",
            "Ar/CO2",
            "CO2 + pyro",
        ] {
            let error = StoredEnergy::of(&cylinder(6.0, 50.0, label)).unwrap_err();
            assert!(matches!(error, NoEnergy::Liquid(_)), "{label}: {error}");
        }
        let only_named = Gas {
            gas: Some("CO2".to_owned()),
            ..Gas::default()
        };
        assert!(matches!(
            StoredEnergy::of(&only_named),
            Err(NoEnergy::Liquid(_))
        ));
    }

    #[test]
    fn what_is_unknown_stays_unknown_and_is_named() {
        let error = StoredEnergy::of(&cylinder(30.0, 50.0, "propellant")).unwrap_err();
        assert!(error.to_string().contains("“propellant”"), "{error}");
        assert!(error.to_string().contains("helium, argon"), "{error}");
        for label in ["Ar + powder", "50%", "/"] {
            let error = StoredEnergy::of(&cylinder(30.0, 50.0, label)).unwrap_err();
            assert_eq!(error, NoEnergy::UnknownGas(label.to_owned()));
        }
        let bare = StoredEnergy::of(&Gas::default()).unwrap_err();
        assert_eq!(bare.to_string(), "pressure, volume, gas not recorded");
        let blank = cylinder(30.0, 50.0, "  ");
        assert_eq!(
            StoredEnergy::of(&blank),
            Err(NoEnergy::Missing(vec![GasFigure::Gas]))
        );
    }

    #[test]
    fn figures_no_cylinder_can_have_are_refused() {
        for p in [0.1, 0.0, -20.0, f64::NAN, f64::INFINITY] {
            let error = StoredEnergy::of(&cylinder(p, 50.0, "He")).unwrap_err();
            assert!(matches!(error, NoEnergy::NoPressure(_)), "{p}: {error}");
        }
        for v in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let error = StoredEnergy::of(&cylinder(20.0, v, "He")).unwrap_err();
            assert!(matches!(error, NoEnergy::NoVolume(_)), "{v}: {error}");
        }
    }

    #[test]
    fn findings_on_one_cylinder_join_to_its_worst() {
        let joined = worst([
            &cylinder(60.0, 40.0, "He"),
            &Gas::default(),
            &cylinder(50.0, 55.0, "N2"),
            &cylinder(50.0, 55.0, "He"),
        ]);
        assert_eq!(joined, cylinder(60.0, 55.0, "He / N2"));
        let liquid = worst([&cylinder(6.0, 40.0, "He"), &cylinder(6.0, 40.0, "CO2")]);
        assert!(matches!(
            StoredEnergy::of(&liquid),
            Err(NoEnergy::Liquid(_))
        ));
        assert_eq!(worst([]), Gas::default());
    }

    #[test]
    fn brode_is_always_the_larger_and_both_fall_as_gamma_rises() {
        for p in [0.11, 0.5, 5.0, 60.0, 250.0] {
            for (low, high) in [(1.31, 1.4), (1.4, 1.41), (1.41, 5.0 / 3.0)] {
                assert!(isentropic_j(p, 100.0, low) < brode_j(p, 100.0, low));
                assert!(isentropic_j(p, 100.0, high) < isentropic_j(p, 100.0, low));
                assert!(brode_j(p, 100.0, high) < brode_j(p, 100.0, low));
            }
        }
    }
}
