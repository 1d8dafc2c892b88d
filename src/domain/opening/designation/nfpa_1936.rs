//! The cutter rating of NFPA 1936: the largest piece of each of five test
//! materials that was cut twelve times, sixty cuts on one set of blades.
//!
//! Five cells of the table are confirmed in the trade press (A4, B5, C6, D3,
//! E4); the others are from memory, some of them uncertain. Inches, as there.

use super::DesignationError;
use std::fmt;

/// A test material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TestClass {
    RoundBar,
    FlatBar,
    Pipe,
    SquareTube,
    Angle,
}

impl TestClass {
    pub const ALL: [Self; 5] = [
        Self::RoundBar,
        Self::FlatBar,
        Self::Pipe,
        Self::SquareTube,
        Self::Angle,
    ];

    /// The letter of the rating.
    pub const fn letter(self) -> char {
        match self {
            Self::RoundBar => 'A',
            Self::FlatBar => 'B',
            Self::Pipe => 'C',
            Self::SquareTube => 'D',
            Self::Angle => 'E',
        }
    }
}

/// How well a cell of the table is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Read in the trade press.
    Confirmed,
    FromMemory,
    /// From memory, and doubtful.
    Uncertain,
}

impl Standing {
    /// What follows the piece in words; nothing where it is confirmed.
    const fn suffix(self) -> &'static str {
        match self {
            Self::Confirmed => "",
            Self::FromMemory => " (from memory)",
            Self::Uncertain => " (from memory, uncertain)",
        }
    }
}

/// A test piece, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    pub class: TestClass,
    /// Diameter, thickness, nominal bore, side or leg.
    pub first_in: f64,
    /// Width of a flat bar, wall of a tube, thickness of an angle.
    pub second_in: Option<f64>,
    pub standing: Standing,
}

const ROUND_BAR: [f64; 9] = [0.375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.25, 1.5, 1.75];
const PIPE: [f64; 9] = [0.375, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5];
const FLAT_BAR: [[f64; 2]; 9] = [
    [0.25, 0.5],
    [0.25, 1.0],
    [0.25, 2.0],
    [0.25, 3.0],
    [0.25, 4.0],
    [0.375, 3.0],
    [0.375, 4.0],
    [0.375, 5.0],
    [0.375, 6.0],
];
const SQUARE_TUBE: [[f64; 2]; 9] = [
    [0.5, 0.08],
    [0.75, 0.08],
    [1.0, 0.08],
    [1.25, 0.12],
    [1.5, 0.12],
    [1.75, 0.12],
    [2.0, 0.145],
    [2.5, 0.187],
    [3.0, 0.187],
];
const ANGLE: [[f64; 2]; 9] = [
    [0.5, 0.125],
    [1.0, 0.125],
    [1.25, 0.1875],
    [1.5, 0.1875],
    [1.5, 0.25],
    [1.75, 0.25],
    [2.0, 0.25],
    [2.5, 0.25],
    [3.0, 0.375],
];

/// The piece of a level from 1 to 9; `None` for any other.
pub fn piece(class: TestClass, level: u8) -> Option<Piece> {
    let row = usize::from(level).checked_sub(1)?;
    let (first_in, second_in) = match class {
        TestClass::RoundBar => (*ROUND_BAR.get(row)?, None),
        TestClass::Pipe => (*PIPE.get(row)?, None),
        TestClass::FlatBar => FLAT_BAR.get(row).map(|[a, b]| (*a, Some(*b)))?,
        TestClass::SquareTube => SQUARE_TUBE.get(row).map(|[a, b]| (*a, Some(*b)))?,
        TestClass::Angle => ANGLE.get(row).map(|[a, b]| (*a, Some(*b)))?,
    };
    let standing = match (class.letter(), level) {
        ('A', 4) | ('B', 5) | ('C', 6) | ('D', 3) | ('E', 4) => Standing::Confirmed,
        ('D', 6 | 8 | 9) | ('E', 7 | 9) => Standing::Uncertain,
        _ => Standing::FromMemory,
    };
    Some(Piece {
        class,
        first_in,
        second_in,
        standing,
    })
}

impl fmt::Display for Piece {
    /// `flat bar 1/4 × 4 in (6.4 × 102 mm)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let first = fraction(self.first_in);
        let second = self.second_in.map(fraction).unwrap_or_default();
        match self.class {
            TestClass::RoundBar => write!(f, "round bar {first} in")?,
            TestClass::FlatBar => write!(f, "flat bar {first} × {second} in")?,
            TestClass::Pipe => write!(f, "schedule 40 pipe, nominal {first} in")?,
            TestClass::SquareTube => write!(f, "square tube {first} in, wall {second} in")?,
            TestClass::Angle => write!(f, "angle {first} × {second} in")?,
        }
        match (self.class, self.second_in) {
            (TestClass::Pipe, _) => {}
            (_, None) => write!(f, " ({} mm)", mm(self.first_in))?,
            (_, Some(second)) => write!(f, " ({} × {} mm)", mm(self.first_in), mm(second))?,
        }
        f.write_str(self.standing.suffix())
    }
}

/// `1-1/2`, `3/16`, or a decimal where no sixteenth says it.
fn fraction(inches: f64) -> String {
    let sixteenths = inches * 16.0;
    if sixteenths.fract() != 0.0 {
        return inches.to_string();
    }
    let (whole, mut part, mut of) = (inches.trunc(), sixteenths % 16.0, 16.0);
    while part != 0.0 && part % 2.0 == 0.0 {
        (part, of) = (part / 2.0, of / 2.0);
    }
    match (whole == 0.0, part == 0.0) {
        (_, true) => whole.to_string(),
        (true, false) => format!("{part}/{of}"),
        (false, false) => format!("{whole}-{part}/{of}"),
    }
}

/// Millimetres, to a tenth below ten.
fn mm(inches: f64) -> String {
    let mm = inches * crate::domain::units::MM_PER_INCH;
    if mm < 10.0 {
        // Halves away from zero, as a tape is read: 6.35 is 6.4.
        format!("{:.1}", (mm * 10.0).round() / 10.0)
    } else {
        format!("{mm:.0}")
    }
}

/// A rating: the level of each class, from 1 to 9.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NfpaRating {
    levels: [u8; 5],
    /// A sixth class that some plates carry (from memory).
    sixth: Option<u8>,
}

impl NfpaRating {
    /// The level of a class.
    pub const fn level(&self, class: TestClass) -> u8 {
        self.levels[class as usize]
    }

    /// The largest piece of each class that the test cut.
    pub fn pieces(&self) -> impl Iterator<Item = (u8, Piece)> + '_ {
        TestClass::ALL.into_iter().filter_map(|class| {
            let level = self.level(class);
            piece(class, level).map(|p| (level, p))
        })
    }

    pub(super) fn words(&self) -> Vec<String> {
        let mut words: Vec<String> = self
            .pieces()
            .map(|(level, piece)| format!("{}{level}: {piece}", piece.class.letter()))
            .collect();
        words.extend(
            self.sixth
                .map(|level| format!("F{level}: what this class cuts is not known here")),
        );
        words
    }
}

impl fmt::Display for NfpaRating {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let classes = TestClass::ALL.iter();
        let mut parts: Vec<String> = classes
            .map(|c| format!("{}{}", c.letter(), self.level(*c)))
            .collect();
        parts.extend(self.sixth.map(|level| format!("F{level}")));
        f.write_str(&parts.join("/"))
    }
}

pub(super) fn rating(plain: &str, typed: &str) -> Result<NfpaRating, DesignationError> {
    let mut found: [Option<u8>; 6] = [None; 6];
    let parts = plain.split(['/', '-', ',', ' ']).filter(|p| !p.is_empty());
    for part in parts {
        let mut letters = part.chars();
        let class @ 'A'..='F' = letters.next().unwrap_or_default() else {
            return Err(DesignationError::Unreadable(typed.trim().to_owned()));
        };
        let level = match letters.as_str().parse() {
            Ok(level @ 1..=9) => level,
            _ => {
                let level = letters.as_str().to_owned();
                return Err(DesignationError::Level { class, level });
            }
        };
        let place = &mut found[class as usize - 'A' as usize];
        if place.replace(level).is_some() {
            return Err(DesignationError::ClassTwice(class));
        }
    }
    let mut levels = [0; 5];
    for (class, level) in TestClass::ALL.iter().zip(&mut levels) {
        let missing = DesignationError::ClassMissing(class.letter());
        *level = found[*class as usize].ok_or(missing)?;
    }
    Ok(NfpaRating {
        levels,
        sixth: found[5],
    })
}
