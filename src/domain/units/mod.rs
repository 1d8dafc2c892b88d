//! Lengths as people write them, and as pages print them. The store and the
//! API are always millimetres; 1 in = 25.4 mm exactly, a hand is 100 mm.
//!
//! Reading is strict where a guess could move a cut: a comma, a fraction
//! without its unit, or two units in a row is refused with what would do.

mod reading;
mod writing;

pub use reading::{LengthError, parse_length};
pub use writing::{Grain, Rounding, entry_text, inches, length, millimetres, with_inches};

use super::vehicle::words;

/// Millimetres in an inch (international inch, exact).
pub const MM_PER_INCH: f64 = 25.4;

/// Millimetres in a hand: a gloved hand laid flat across the metal.
pub const MM_PER_HAND: f64 = 100.0;

/// The longest length read, in mm; no car or light commercial vehicle is longer.
pub const LONGEST_MM: f64 = 20_000.0;

words! {
    /// The unit a member prefers: what a bare number means, and what leads on pages.
    Unit { Mm = "mm", Inch = "in", Hand = "hands" }
}

impl Unit {
    /// Millimetres in one.
    pub const fn mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Inch => MM_PER_INCH,
            Self::Hand => MM_PER_HAND,
        }
    }

    /// The unit in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm => "millimetres",
            Self::Inch => "inches",
            Self::Hand => "hands of 100 mm",
        }
    }

    /// What to type in this unit.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Mm => "415",
            Self::Inch => "16 3/8",
            Self::Hand => "4 1/2",
        }
    }
}
