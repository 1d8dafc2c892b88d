//! A department's tools: rated force, blade half-width, opening, mass and what
//! the plate says. kN, mm, kg; what is not known is `None` and stays unknown.

use super::ask::AskedTool;
use super::designation::Designation;
use super::template::ToolKind;

/// Newtons in a pound-force (exact), for figures that read like one.
const NEWTONS_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;

/// Kilograms in a pound (exact).
const KG_PER_POUND: f64 = 0.453_592_37;

/// A tool of a department.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    pub name: String,
    pub kind: ToolKind,
    /// Rated force, kN: of a cutter in the notch of its blades.
    pub force_kn: Option<f64>,
    pub blade_half_width_mm: Option<f64>,
    /// Opening at the tips of cutter or spreader, stroke of a ram, mm.
    pub opening_mm: Option<f64>,
    pub mass_kg: Option<f64>,
    pub designation: Option<Designation>,
}

/// What a figure of a tool may be: above `0`, up to `most`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    pub least: f64,
    pub most: f64,
    pub unit: &'static str,
}

impl Range {
    fn holds(self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }
}

/// Ranges beyond which a figure is a slip of the pen (common practice, no
/// source; wide on purpose).
pub const FORCE: Range = Range {
    least: 1.0,
    most: 4_999.0,
    unit: "kN",
};
pub const BLADE_HALF_WIDTH: Range = Range {
    least: 1.0,
    most: 200.0,
    unit: "mm",
};
pub const OPENING: Range = Range {
    least: 10.0,
    most: 3_000.0,
    unit: "mm",
};
pub const MASS: Range = Range {
    least: 0.2,
    most: 100.0,
    unit: "kg",
};

/// Characters of a name.
pub const NAME_MOST: usize = 80;

/// What is wrong with a tool's field.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ToolError {
    #[error("a tool needs a name; 1 to {NAME_MOST} characters are accepted")]
    Name,
    #[error(
        "{value} {unit}; a number from {least} to {most} {unit} is accepted{}",
        hint.as_ref().map(|h| format!("; did you mean {h}?")).unwrap_or_default(),
        unit = range.unit, least = range.least, most = range.most
    )]
    OutOfRange {
        field: &'static str,
        value: f64,
        range: Range,
        /// What a slip of the unit would have meant: `500 kN`.
        hint: Option<String>,
    },
    #[error("a {} has no {what}; leave it empty", kind.name())]
    NotOfThisKind {
        field: &'static str,
        kind: ToolKind,
        what: &'static str,
    },
}

impl ToolError {
    /// The field at fault.
    pub const fn field(&self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::OutOfRange { field, .. } | Self::NotOfThisKind { field, .. } => field,
        }
    }
}

impl ToolKind {
    /// The kind in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Combination => "combination tool",
            Self::Hand => "hand tool",
            _ => self.word(),
        }
    }

    /// Whether it parts metal between two blades, so that the force band of a
    /// section is compared with its rated force.
    pub const fn shears(self) -> bool {
        matches!(self, Self::Cutter | Self::Combination)
    }

    /// Whether a rated force belongs to it.
    pub const fn has_force(self) -> bool {
        matches!(
            self,
            Self::Cutter | Self::Combination | Self::Spreader | Self::Ram
        )
    }

    /// What must be said wherever it is named at a cut.
    pub const fn caution(self) -> Option<&'static str> {
        match self {
            Self::Saw => Some("A saw’s stroke points at the people inside."),
            _ => None,
        }
    }
}

impl Tool {
    /// A tool of which only name and kind are known.
    pub fn named(name: impl Into<String>, kind: ToolKind) -> Self {
        Self {
            name: name.into(),
            kind,
            force_kn: None,
            blade_half_width_mm: None,
            opening_mm: None,
            mass_kg: None,
            designation: None,
        }
    }

    /// Everything that is wrong with it; empty when nothing is.
    pub fn faults(&self) -> Vec<ToolError> {
        let mut faults = Vec::new();
        let letters = self.name.trim().chars().count();
        if !(1..=NAME_MOST).contains(&letters) {
            faults.push(ToolError::Name);
        }
        let figures = [
            ("force_kn", self.force_kn, FORCE),
            (
                "blade_half_width_mm",
                self.blade_half_width_mm,
                BLADE_HALF_WIDTH,
            ),
            ("opening_mm", self.opening_mm, OPENING),
            ("mass_kg", self.mass_kg, MASS),
        ];
        for (field, value, range) in figures {
            faults.extend(value.and_then(|v| out_of_range(field, v, range)));
        }
        faults.extend(self.misplaced());
        faults
    }

    /// Fields that a tool of this kind cannot have.
    fn misplaced(&self) -> Vec<ToolError> {
        let kind = self.kind;
        let misplaced = |there: bool, field, what| {
            there.then_some(ToolError::NotOfThisKind { field, kind, what })
        };
        [
            misplaced(
                self.force_kn.is_some() && !kind.has_force(),
                "force_kn",
                "rated force",
            ),
            misplaced(
                self.designation.is_some() && !kind.shears(),
                "designation",
                "cutter’s designation",
            ),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// What does not agree between the plate and the figures, or within the
    /// plate; shown, never refused.
    pub fn contradictions(&self) -> Vec<String> {
        let Some(designation) = &self.designation else {
            return Vec::new();
        };
        let mut said = designation.contradictions();
        if let Designation::Cutter(plate) = designation {
            let figures = [
                (
                    "opening",
                    f64::from(plate.opening_mm),
                    self.opening_mm,
                    "mm",
                ),
                ("mass", plate.mass_kg, self.mass_kg, "kg"),
            ];
            for (what, plate, own, unit) in figures {
                if let Some(own) = own.filter(|own| (own - plate).abs() > 0.01 * plate) {
                    said.push(format!(
                        "The designation gives {what} {plate} {unit}, the tool {own} {unit}."
                    ));
                }
            }
        }
        said
    }

    /// The tool as a plan is asked with it.
    pub fn asked(&self) -> AskedTool {
        AskedTool {
            name: self.name.clone(),
            kind: self.kind,
            force_kn: self.force_kn,
            blade_half_width_mm: self.blade_half_width_mm,
        }
    }
}

fn out_of_range(field: &'static str, value: f64, range: Range) -> Option<ToolError> {
    (!range.holds(value)).then(|| ToolError::OutOfRange {
        field,
        value,
        range,
        hint: hint(field, value, range),
    })
}

/// What a figure out of range would be if its unit had slipped.
fn hint(field: &str, value: f64, range: Range) -> Option<String> {
    // Wider is possible and narrower likely: a hint outside is none.
    let (slips, likely): (&[(f64, &str)], _) = match field {
        "force_kn" => (
            &[
                (1e-3, "from newtons"),
                (NEWTONS_PER_POUND_FORCE / 1000.0, "from pounds-force"),
            ],
            10.0..=2_000.0,
        ),
        "mass_kg" => (
            &[(1e-3, "from grams"), (KG_PER_POUND, "from pounds")],
            1.0..=50.0,
        ),
        "opening_mm" => (&[(25.4, "from inches")], 50.0..=1_500.0),
        _ => (&[(25.4, "from inches")], 5.0..=60.0),
    };
    let meant: Vec<(String, &str)> = slips
        .iter()
        .map(|(factor, from)| (value * factor, *from))
        .filter(|(value, _)| likely.contains(value))
        .map(|(value, from)| (format!("{} {}", tidy(value), range.unit), from))
        .collect();
    match meant.as_slice() {
        [] => None,
        [(figure, _)] => Some(figure.clone()),
        several => {
            let each: Vec<String> = several
                .iter()
                .map(|(figure, from)| format!("{figure} ({from})"))
                .collect();
            Some(each.join(" or "))
        }
    }
}

/// A whole number from 100, one decimal below.
fn tidy(value: f64) -> f64 {
    if value >= 100.0 {
        value.round()
    } else {
        (value * 10.0).round() / 10.0
    }
}
