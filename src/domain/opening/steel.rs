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

/// Of a rated force.
pub const IN_THE_NOTCH: &str = "A rated force holds in the notch, not at the tips.";

/// What its comparison with a tool takes for granted besides.
pub const OF_A_TOOL: &[&str] = &[
    IN_THE_NOTCH,
    "A designation letter is no promise for press-hardened steel.",
];

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

    /// Both sections severed in one stroke.
    fn and(self, other: Self) -> Self {
        Self {
            lower_kn: self.lower_kn + other.lower_kn,
            upper_kn: self.upper_kn + other.upper_kn,
        }
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

/// What the steel at one cut asks of a tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtCut {
    pub fit: ToolFit,
    /// Of the sections whose figures are known, together.
    pub band: Option<ForceBand>,
}

/// How a rated force stands to everything reinforced at one cut. One stroke
/// severs all of it, so the forces add up. `None` among the sections is one of
/// which no estimate can be made: the fit is unknown then, unless what is known
/// stalls the tool already. Nothing on record is unknown: a bare place says
/// nothing about its steel.
pub fn at_cut<'a>(
    rated_kn: Option<f64>,
    sections: impl IntoIterator<Item = Option<&'a Steel>>,
) -> AtCut {
    let mut band: Option<ForceBand> = None;
    let mut all_known = true;
    for section in sections {
        match section.and_then(|steel| ForceBand::of(steel).ok()) {
            Some(more) => band = Some(band.map_or(more, |b| b.and(more))),
            None => all_known = false,
        }
    }
    let known = band.map_or(ToolFit::Unknown, |b| b.fit(rated_kn));
    let fit = match known {
        ToolFit::MayStall => ToolFit::MayStall,
        fit if all_known => fit,
        _ => ToolFit::Unknown,
    };
    AtCut { fit, band }
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
            assert_eq!(at_cut(Some(5000.0), [Some(&zero)]).fit, ToolFit::Unknown);
        }
    }

    #[test]
    fn forces_of_one_stroke_add_up_and_an_unknown_never_improves_them() {
        let unknown = Steel::default();
        let weak = Steel {
            uts_mpa: Some(300.0),
            ..pillar()
        };
        let (weak, strong) = (Some(&weak), Some(&pillar()));
        let fit =
            |kn: f64, sections: &[Option<&Steel>]| at_cut(Some(kn), sections.iter().copied()).fit;
        // 124.6 to 172.8 kN and 623.2 to 864.0 kN by themselves; 747.8 to 1,036.8 together.
        assert_eq!(fit(700.0, &[weak]), ToolFit::EstimateFits);
        assert_eq!(fit(700.0, &[weak, strong]), ToolFit::MayStall);
        assert_eq!(fit(900.0, &[strong, weak]), ToolFit::Near);
        assert_eq!(fit(1_040.0, &[strong, weak]), ToolFit::EstimateFits);
        assert_eq!(fit(700.0, &[weak, Some(&unknown)]), ToolFit::Unknown);
        assert_eq!(fit(500.0, &[None, strong]), ToolFit::MayStall);
        assert_eq!(fit(5_000.0, &[]), ToolFit::Unknown);
        let band = at_cut(None, [strong, weak, None])
            .band
            .expect("two are known");
        assert!((band.upper_kn - 1_036.8).abs() < 1e-9);
    }
}
