//! The force band to shear a reinforced section, and how a tool's rated force
//! stands to it. MPa and mm in, kN out.
//!
//! F = τ·A with A = thickness × perimeter × layers. τ lies between 0.577 UTS
//! (von Mises) and 0.8 UTS (blanking practice; both policy of the design from
//! engineers' handbooks). It is an estimate of a class of force, no promise:
//! see [`OF_THE_BAND`] and [`OF_A_TOOL`].

use super::result::ToolFit;
use crate::domain::finding::Steel;
use std::fmt;

/// Shear strength over tensile strength, lower: von Mises, 1/√3.
pub const LOWER_SHARE: f64 = 0.577;

/// Shear strength over tensile strength, upper: blanking practice.
pub const UPPER_SHARE: f64 = 0.8;

/// What the band itself takes for granted, in words for people.
pub const OF_THE_BAND: &[&str] = &[
    "An estimate: the whole edge shears at once; a pivoting cutter crushes first.",
    "Sections severed in one stroke need their forces together.",
];

/// What its comparison with a tool takes for granted besides.
pub const OF_A_TOOL: &[&str] = &[
    "A rated force holds in the notch, not at the tips.",
    "A designation letter is no promise for press-hardened steel.",
];

impl ToolFit {
    /// The fit in words for people.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::EstimateFits => "estimate fits: the rated force reaches the upper figure",
            Self::Near => "near: the rated force lies between the two figures",
            Self::MayStall => "may stall: the rated force does not reach the lower figure",
            Self::Unknown => "unknown: a figure is missing",
        }
    }

    /// For putting plans in order, lower first. What is unknown stands with
    /// the worst that is known, never before it.
    pub const fn rank(self) -> u8 {
        match self {
            Self::EstimateFits => 0,
            Self::Near => 1,
            Self::MayStall | Self::Unknown => 2,
        }
    }

    /// The worse of two. A tool known to stall is said, whatever else is unknown.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        let known_to_stall = |f| f == Self::MayStall;
        if known_to_stall(self) || known_to_stall(other) {
            return Self::MayStall;
        }
        if other.rank() > self.rank() {
            other
        } else {
            self
        }
    }
}

/// A figure of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SteelFigure {
    Strength,
    Thickness,
    Layers,
    Perimeter,
}

impl SteelFigure {
    /// The figure in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Strength => "tensile strength",
            Self::Thickness => "thickness",
            Self::Layers => "layers",
            Self::Perimeter => "perimeter",
        }
    }
}

/// Why a section has no force band: what nobody has recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{} not recorded", names(.0))]
pub struct MissingSteel(pub Vec<SteelFigure>);

fn names(figures: &[SteelFigure]) -> String {
    let names: Vec<&str> = figures.iter().map(|f| f.name()).collect();
    match names.as_slice() {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => names.concat(),
    }
}

/// Force in kN that shears an area of `area_mm2` at a shear strength of `shear_mpa`.
pub fn shear_force_kn(shear_mpa: f64, area_mm2: f64) -> f64 {
    shear_mpa * area_mm2 / 1000.0
}

/// Between which forces a section shears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForceBand {
    pub lower_kn: f64,
    pub upper_kn: f64,
}

impl ForceBand {
    /// The band of a section.
    ///
    /// # Errors
    /// A figure is not recorded, or is none a section can have (zero,
    /// negative, not finite): nothing is put in its place.
    pub fn of(steel: &Steel) -> Result<Self, MissingSteel> {
        let usable = |v: Option<f64>| v.filter(|v| v.is_finite() && *v > 0.0);
        let uts = usable(steel.uts_mpa);
        let thickness = usable(steel.thickness_mm);
        let layers = usable(steel.layers.map(f64::from));
        let perimeter = usable(steel.perimeter_mm);
        let (Some(uts), Some(thickness), Some(layers), Some(perimeter)) =
            (uts, thickness, layers, perimeter)
        else {
            let given = [
                (SteelFigure::Strength, uts),
                (SteelFigure::Thickness, thickness),
                (SteelFigure::Layers, layers),
                (SteelFigure::Perimeter, perimeter),
            ];
            let missing = given.iter().filter(|(_, v)| v.is_none());
            return Err(MissingSteel(missing.map(|(figure, _)| *figure).collect()));
        };
        let area_mm2 = thickness * perimeter * layers;
        Ok(Self {
            lower_kn: shear_force_kn(LOWER_SHARE * uts, area_mm2),
            upper_kn: shear_force_kn(UPPER_SHARE * uts, area_mm2),
        })
    }

    /// How a rated force in kN stands to the band; `None` is unknown.
    pub fn fit(self, rated_kn: Option<f64>) -> ToolFit {
        match rated_kn.filter(|kn| kn.is_finite() && *kn > 0.0) {
            None => ToolFit::Unknown,
            Some(kn) if self.upper_kn <= kn => ToolFit::EstimateFits,
            Some(kn) if self.lower_kn > kn => ToolFit::MayStall,
            Some(_) => ToolFit::Near,
        }
    }
}

impl fmt::Display for ForceBand {
    /// `415 to 576 kN`: the lower figure rounded down, the upper one up.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (lower, upper) = (self.lower_kn.floor(), self.upper_kn.ceil());
        write!(f, "{lower} to {upper} kN")
    }
}

/// How a rated force stands to everything reinforced at one cut: the worst
/// counts. No reinforcement on record is unknown: a bare place says nothing
/// about its steel.
pub fn fit_at_cut<'a>(
    rated_kn: Option<f64>,
    reinforcements: impl IntoIterator<Item = &'a Steel>,
) -> ToolFit {
    reinforcements
        .into_iter()
        .map(|steel| ForceBand::of(steel).map_or(ToolFit::Unknown, |band| band.fit(rated_kn)))
        .reduce(ToolFit::worse)
        .unwrap_or(ToolFit::Unknown)
}

/// What several findings say of one section: of each figure the largest, as
/// for a component's thickness. A figure that none gives stays unknown.
pub fn largest<'a>(findings: impl IntoIterator<Item = &'a Steel>) -> Steel {
    let larger = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (one, other) => one.or(other),
    };
    findings
        .into_iter()
        .fold(Steel::default(), |so_far, steel| Steel {
            uts_mpa: larger(so_far.uts_mpa, steel.uts_mpa),
            thickness_mm: larger(so_far.thickness_mm, steel.thickness_mm),
            layers: so_far.layers.max(steel.layers),
            perimeter_mm: larger(so_far.perimeter_mm, steel.perimeter_mm),
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An invented pillar: 1,500 MPa, 2 layers of 1.2 mm, 300 mm around: A = 720 mm².
    fn pillar() -> Steel {
        Steel {
            uts_mpa: Some(1500.0),
            thickness_mm: Some(1.2),
            layers: Some(2),
            perimeter_mm: Some(300.0),
        }
    }

    #[test]
    fn the_band_lies_between_the_two_shares_of_the_tensile_strength() {
        let band = ForceBand::of(&pillar()).unwrap();
        // 0.577 · 1500 · 720 = 623,160 N; 0.8 · 1500 · 720 = 864,000 N.
        assert!((band.lower_kn - 623.16).abs() < 1e-9);
        assert!((band.upper_kn - 864.0).abs() < 1e-9);
        assert_eq!(band.to_string(), "623 to 864 kN");
    }

    #[test]
    fn a_rated_force_is_compared_with_both_figures() {
        let band = ForceBand::of(&pillar()).unwrap();
        for (kn, fit) in [
            (Some(1000.0), ToolFit::EstimateFits),
            (Some(864.1), ToolFit::EstimateFits),
            (Some(863.9), ToolFit::Near),
            (Some(623.2), ToolFit::Near),
            (Some(623.1), ToolFit::MayStall),
            (None, ToolFit::Unknown),
            (Some(0.0), ToolFit::Unknown),
            (Some(-900.0), ToolFit::Unknown),
            (Some(f64::NAN), ToolFit::Unknown),
        ] {
            assert_eq!(band.fit(kn), fit, "{kn:?}");
        }
    }

    #[test]
    fn a_missing_figure_is_named_and_leaves_the_band_unknown() {
        let steel = Steel {
            layers: None,
            perimeter_mm: None,
            ..pillar()
        };
        let missing = ForceBand::of(&steel).unwrap_err();
        assert_eq!(missing.to_string(), "layers and perimeter not recorded");
        for zero in [
            Steel {
                uts_mpa: Some(0.0),
                ..pillar()
            },
            Steel {
                thickness_mm: Some(f64::NAN),
                ..pillar()
            },
            Steel {
                layers: Some(0),
                ..pillar()
            },
            Steel {
                perimeter_mm: Some(-300.0),
                ..pillar()
            },
        ] {
            assert_eq!(ForceBand::of(&zero).unwrap_err().0.len(), 1, "{zero:?}");
            assert_eq!(fit_at_cut(Some(5000.0), [&zero]), ToolFit::Unknown);
        }
    }

    #[test]
    fn the_worst_of_several_counts_and_an_unknown_never_improves_it() {
        let unknown = Steel::default();
        let weak = Steel {
            uts_mpa: Some(300.0),
            ..pillar()
        };
        assert_eq!(fit_at_cut(Some(700.0), [&weak]), ToolFit::EstimateFits);
        assert_eq!(fit_at_cut(Some(700.0), [&weak, &pillar()]), ToolFit::Near);
        assert_eq!(
            fit_at_cut(Some(500.0), [&pillar(), &weak]),
            ToolFit::MayStall
        );
        assert_eq!(fit_at_cut(Some(700.0), [&weak, &unknown]), ToolFit::Unknown);
        assert_eq!(
            fit_at_cut(Some(500.0), [&unknown, &pillar()]),
            ToolFit::MayStall
        );
        assert_eq!(fit_at_cut(Some(500.0), []), ToolFit::Unknown);
        for known in [ToolFit::EstimateFits, ToolFit::Near, ToolFit::MayStall] {
            assert!(known.worse(ToolFit::Unknown).rank() >= known.rank());
            assert!(ToolFit::Unknown.rank() >= known.rank());
        }
    }

    #[test]
    fn the_worse_of_two_does_not_depend_on_their_order() {
        for a in ToolFit::ALL {
            for b in ToolFit::ALL {
                assert_eq!(a.worse(*b), b.worse(*a));
                assert!(a.worse(*b).rank() >= a.rank().max(b.rank()));
            }
        }
    }

    #[test]
    fn findings_on_one_section_join_to_the_largest_of_each_figure() {
        let other = Steel {
            uts_mpa: Some(1300.0),
            thickness_mm: Some(1.6),
            layers: None,
            perimeter_mm: None,
        };
        let joined = largest([&pillar(), &other, &Steel::default()]);
        assert_eq!(joined.uts_mpa, Some(1500.0));
        assert_eq!(joined.thickness_mm, Some(1.6));
        assert_eq!(joined.layers, Some(2));
        assert_eq!(joined.perimeter_mm, Some(300.0));
        assert_eq!(largest([]), Steel::default());
    }
}
