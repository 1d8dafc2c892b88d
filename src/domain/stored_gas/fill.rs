//! What fills a cylinder, as its label names it: gases with their ratio of
//! specific heats, mixtures of them, and fills that are liquid or dense.
//!
//! γ at 20 °C and 1 atm: Lange's Handbook as quoted by a fluid mechanics text
//! (N₂, air; He and Ar as the ideal 5/3), hydrogen and methane from memory;
//! `tests/reference/stored_gas.py` holds all of them against CoolProp.

use super::NoEnergy;

/// A gas whose ratio of specific heats is held here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum IdealGas {
    Helium,
    Argon,
    Nitrogen,
    Air,
    Hydrogen,
    Methane,
}

impl IdealGas {
    pub const ALL: &'static [Self] = &[
        Self::Helium,
        Self::Argon,
        Self::Nitrogen,
        Self::Air,
        Self::Hydrogen,
        Self::Methane,
    ];

    /// Ratio of specific heats at 20 °C and 1 atm.
    pub const fn gamma(self) -> f64 {
        match self {
            Self::Helium | Self::Argon => 5.0 / 3.0,
            Self::Nitrogen | Self::Air => 1.40,
            Self::Hydrogen => 1.41,
            Self::Methane => 1.31,
        }
    }

    /// The gas in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Helium => "helium",
            Self::Argon => "argon",
            Self::Nitrogen => "nitrogen",
            Self::Air => "air",
            Self::Hydrogen => "hydrogen",
            Self::Methane => "methane",
        }
    }

    pub const fn burns(self) -> bool {
        matches!(self, Self::Hydrogen | Self::Methane)
    }

    /// As labels write it.
    fn from_label(word: &str) -> Option<Self> {
        Some(match word {
            "helium" | "he" => Self::Helium,
            "argon" | "ar" => Self::Argon,
            "nitrogen" | "n2" => Self::Nitrogen,
            "air" | "compressed air" => Self::Air,
            "hydrogen" | "h2" | "gh2" | "cgh2" => Self::Hydrogen,
            "methane" | "ch4" | "natural gas" | "cng" => Self::Methane,
            _ => return None,
        })
    }
}

/// Fills that are liquid or dense in the cylinder, as labels write them.
const LIQUID: &[(&str, &str)] = &[
    ("co2", "carbon dioxide"),
    ("carbon dioxide", "carbon dioxide"),
    ("n2o", "nitrous oxide"),
    ("nitrous oxide", "nitrous oxide"),
    ("propane", "propane"),
    ("butane", "butane"),
    ("lpg", "liquefied petroleum gas"),
    ("lng", "liquefied natural gas"),
];

/// The gases a label names: `He`, `argon/helium 95:5`, `N₂ + Ar`.
pub(super) fn gases_of(label: &str) -> Result<Vec<IdealGas>, NoEnergy> {
    let plain = label.to_lowercase().replace('₂', "2").replace('₄', "4");
    let plain = plain.replace(" and ", "+");
    let mut gases = Vec::new();
    let mut unknown = plain.trim().is_empty();
    for part in plain.split(['/', '+', ',', '&', ';', '-', '(', ')']) {
        let words: Vec<&str> = part.split_whitespace().filter(|w| !is_share(w)).collect();
        let name = words.join(" ");
        if let Some((_, liquid)) = LIQUID.iter().find(|(word, _)| *word == name) {
            return Err(NoEnergy::Liquid(liquid));
        }
        match IdealGas::from_label(&name) {
            Some(gas) => gases.push(gas),
            None => unknown |= !name.is_empty(),
        }
    }
    if unknown || gases.is_empty() {
        return Err(NoEnergy::UnknownGas(label.to_owned()));
    }
    gases.sort_unstable();
    gases.dedup();
    Ok(gases)
}

/// A share of a mixture, such as `95%` or `95:5`.
fn is_share(word: &str) -> bool {
    word.chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '%' | ':' | '.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_read_as_they_are_written() {
        for (label, gases) in [
            ("helium", vec![IdealGas::Helium]),
            (" Ar ", vec![IdealGas::Argon]),
            ("N₂", vec![IdealGas::Nitrogen]),
            ("Argon/Helium 95:5", vec![IdealGas::Helium, IdealGas::Argon]),
            (
                "60% N2 and 40% Ar",
                vec![IdealGas::Argon, IdealGas::Nitrogen],
            ),
            ("CNG", vec![IdealGas::Methane]),
        ] {
            assert_eq!(gases_of(label).unwrap(), gases, "{label}");
        }
    }
}
