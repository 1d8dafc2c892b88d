//! Stations as a drawing prints them. A boundary is rounded so that the more
//! dangerous neighbour grows: never does a printed figure shrink a no-cut zone
//! or widen a gap.

use crate::domain::units::{self, Grain, Rounding};
use crate::domain::zone::Class;
use std::cmp::Ordering;

/// How far a class is from harmless; printed boundaries favour the higher one.
const fn danger(class: Class) -> u8 {
    match class {
        Class::NoCut => 3,
        Class::Expected => 2,
        Class::Unproven => 1,
        Class::Bare => 0,
    }
}

/// How the boundary between a stretch and its neighbour toward the head rounds.
pub fn boundary(below: Class, above: Class) -> Rounding {
    match danger(below).cmp(&danger(above)) {
        Ordering::Greater => Rounding::Up,
        Ordering::Less => Rounding::Down,
        Ordering::Equal => Rounding::Nearest,
    }
}

/// The same bound seen from the other end.
pub const fn turned(rounding: Rounding) -> Rounding {
    match rounding {
        Rounding::Down => Rounding::Up,
        Rounding::Up => Rounding::Down,
        Rounding::Nearest => Rounding::Nearest,
    }
}

/// Whole millimetres without their unit.
pub fn mm(value_mm: f64, rounding: Rounding) -> String {
    bare(units::millimetres(value_mm.max(0.0), rounding))
}

/// Inches in eighths without their unit: `16⅜`.
pub fn inches(value_mm: f64, rounding: Rounding) -> String {
    bare(units::inches(value_mm.max(0.0), Grain::Eighth, rounding))
}

fn bare(mut text: String) -> String {
    if let Some(space) = text.rfind(' ') {
        text.truncate(space);
    }
    text
}

/// Two stations with the way each of them rounds.
#[derive(Debug, Clone, Copy)]
pub struct Range {
    pub from_mm: f64,
    pub to_mm: f64,
    pub from_rounds: Rounding,
    pub to_rounds: Rounding,
}

impl Range {
    /// Where a blade may be placed: printed no wider than it is.
    pub const fn inward(from_mm: f64, to_mm: f64) -> Self {
        Self {
            from_mm,
            to_mm,
            from_rounds: Rounding::Up,
            to_rounds: Rounding::Down,
        }
    }

    /// What a blade must keep off: printed no narrower than it is.
    pub const fn outward(from_mm: f64, to_mm: f64) -> Self {
        Self {
            from_mm,
            to_mm,
            from_rounds: Rounding::Down,
            to_rounds: Rounding::Up,
        }
    }

    /// The same range from the head.
    pub fn from_head(self, length_mm: f64) -> Self {
        Self {
            from_mm: length_mm - self.to_mm,
            to_mm: length_mm - self.from_mm,
            from_rounds: turned(self.to_rounds),
            to_rounds: turned(self.from_rounds),
        }
    }

    /// `415–605`.
    pub fn mm(self) -> String {
        joined(
            mm(self.from_mm, self.from_rounds),
            mm(self.to_mm, self.to_rounds),
        )
    }

    /// `16⅜–23¾`.
    pub fn inches(self) -> String {
        joined(
            inches(self.from_mm, self.from_rounds),
            inches(self.to_mm, self.to_rounds),
        )
    }
}

/// A gap under a millimetre or an eighth may round to one figure.
fn joined(from: String, to: String) -> String {
    if from == to {
        from
    } else {
        format!("{from}–{to}")
    }
}

/// The word of a class on a drawing.
pub const fn word(class: Class) -> &'static str {
    match class {
        Class::NoCut => "NO CUT",
        Class::Expected => "EXPECT",
        Class::Unproven => "UNSEEN",
        Class::Bare => "BARE",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printed_no_cut_never_ends_short_of_the_computed_one() {
        assert_eq!(mm(330.24, boundary(Class::NoCut, Class::Bare)), "331");
        assert_eq!(mm(330.24, boundary(Class::Bare, Class::NoCut)), "330");
        assert_eq!(mm(370.0, boundary(Class::NoCut, Class::Unproven)), "370");
    }

    #[test]
    fn a_gap_stays_inside_itself_from_either_end_and_in_either_unit() {
        // 414.64 mm is 16.324 in, 605.36 mm 23.833 in; from a head at 1043.25 mm
        // 437.89 mm (17.240 in) and 628.61 mm (24.748 in).
        let gap = Range::inward(414.64, 605.36);
        assert_eq!(
            (gap.mm(), gap.inches()),
            ("415–605".into(), "16⅜–23¾".into())
        );
        let head = gap.from_head(1043.25);
        assert_eq!(
            (head.mm(), head.inches()),
            ("438–628".into(), "17¼–24⅝".into())
        );
    }

    #[test]
    fn a_gap_that_rounds_to_one_place_is_one_figure() {
        assert_eq!(Range::inward(500.0, 500.0).mm(), "500");
    }
}
