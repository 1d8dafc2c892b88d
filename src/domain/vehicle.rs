//! What car a card is about, and which variant of it is asked for.

use super::body::StyleId;
use serde::{Deserialize, Serialize};

/// Model years of a card, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(from = "[i32; 2]", into = "[i32; 2]")]
pub struct Years {
    pub first: i32,
    pub last: i32,
}

impl Years {
    /// Model years a card can name.
    pub const ALLOWED: std::ops::RangeInclusive<i32> = 1900..=2100;

    pub fn contains(self, year: i32) -> bool {
        (self.first..=self.last).contains(&year)
    }
}

impl From<[i32; 2]> for Years {
    fn from([first, last]: [i32; 2]) -> Self {
        Self { first, last }
    }
}

impl From<Years> for [i32; 2] {
    fn from(y: Years) -> Self {
        [y.first, y.last]
    }
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name { $(#[serde(rename = $word)] $variant),+ }

        impl $name {
            /// Every value, in the order they are offered.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word used in files, in the API and in the store.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// The value a word stands for.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}
pub(crate) use words;

words! {
    /// What drives the car.
    Drive { Petrol = "petrol", Diesel = "diesel", Hybrid = "hybrid", Battery = "battery", Gas = "gas", Hydrogen = "hydrogen" }
}

words! {
    /// Which side the steering wheel is on.
    WheelSide { Left = "left", Right = "right" }
}

words! {
    /// What roof the car has.
    Roof { Fixed = "fixed", Sunroof = "sunroof", Glass = "glass", Folding = "folding" }
}

/// A vehicle as a card names it. What is `None` is unknown, never a default.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    pub make: Option<String>,
    pub model: Option<String>,
    pub years: Option<Years>,
    pub body_style: StyleId,
    pub drive: Option<Drive>,
    pub wheel: Option<WheelSide>,
    pub roof: Option<Roof>,
    /// Market, for example `US` or `EU`; free text, compared as written.
    pub region: Option<String>,
    /// How long the restraint system may stay live after isolation, from the
    /// vehicle's own documents; never a class default.
    pub hold_time_s: Option<u32>,
}

impl Vehicle {
    /// A vehicle of which only the body style is known.
    pub const fn of_style(body_style: StyleId) -> Self {
        Self {
            make: None,
            model: None,
            years: None,
            body_style,
            drive: None,
            wheel: None,
            roof: None,
            region: None,
            hold_time_s: None,
        }
    }

    /// The same vehicle in the variant asked for: what is known of that stands
    /// in, field by field. Its years stay.
    pub fn as_variant(&self, variant: &Variant) -> Self {
        Self {
            drive: variant.drive.or(self.drive),
            wheel: variant.wheel.or(self.wheel),
            roof: variant.roof.or(self.roof),
            region: variant.region.clone().or_else(|| self.region.clone()),
            ..self.clone()
        }
    }
}

/// The variant of the car: of one looked at (`observed`), or of the one asked
/// for. Unknown fields are `None`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Variant {
    pub year: Option<i32>,
    pub drive: Option<Drive>,
    pub wheel: Option<WheelSide>,
    pub roof: Option<Roof>,
    pub region: Option<String>,
}
