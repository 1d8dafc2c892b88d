//! Millimetres as text: whole millimetres, inches to eighths or sixteenths.
//!
//! A figure that bounds a gap or a keep-out is rounded to the side that keeps
//! a blade further off; [`Rounding`] says which.

use super::{MM_PER_HAND, MM_PER_INCH, Unit};

/// What a printed inch is divided into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    Eighth,
    Sixteenth,
}

impl Grain {
    const fn parts(self) -> u32 {
        match self {
            Self::Eighth => 8,
            Self::Sixteenth => 16,
        }
    }
}

/// Which way a printed figure may differ from the computed one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    Nearest,
    /// To the lower figure: a gap's end, a no-cut's beginning.
    Down,
    /// To the higher figure: a gap's beginning, a no-cut's end.
    Up,
}

impl Rounding {
    fn apply(self, value: f64) -> f64 {
        // A hair, so that 16.375 in stored as 415.925 mm stays 16⅜ either way.
        const HAIR: f64 = 1e-6;
        match self {
            Self::Nearest => value.round(),
            Self::Down => (value + HAIR).floor(),
            Self::Up => (value - HAIR).ceil(),
        }
    }
}

/// Whole millimetres: `415 mm`.
pub fn millimetres(mm: f64, rounding: Rounding) -> String {
    format!("{} mm", rounding.apply(mm) + 0.0)
}

/// Inches with a fraction: `16⅜ in`, `16 5/16 in`, `-⅛ in`.
pub fn inches(mm: f64, grain: Grain, rounding: Rounding) -> String {
    let parts = rounding.apply(mm / MM_PER_INCH * f64::from(grain.parts()));
    let sign = if parts < 0.0 { "-" } else { "" };
    // Bounded by the reader's longest length; `as` saturates in any case.
    format!(
        "{sign}{} in",
        mixed(parts.abs() as u64, u64::from(grain.parts()))
    )
}

/// `415 mm (16⅜ in)`, both rounded the same way.
pub fn with_inches(mm: f64, rounding: Rounding) -> String {
    format!(
        "{} ({})",
        millimetres(mm, rounding),
        inches(mm, Grain::Eighth, rounding)
    )
}

/// A length in one unit, to the nearest printed step.
pub fn length(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Mm => millimetres(mm, Rounding::Nearest),
        Unit::Inch => inches(mm, Grain::Sixteenth, Rounding::Nearest),
        Unit::Hand => format!("{} hands", tidy(mm / MM_PER_HAND, 1)),
    }
}

/// Text for an input that holds a stored length. It reads back as the same
/// length within 0.001 mm, so that saving an untouched form changes nothing;
/// where the member's unit cannot say it, it is written in mm.
pub fn entry_text(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Mm => tidy(mm, 3),
        Unit::Inch => match on_tape(mm) {
            Some((sign, parts)) => format!("{sign}{}", mixed_plain(parts, 64)),
            None => format!("{} mm", tidy(mm, 3)),
        },
        Unit::Hand => tidy(mm / MM_PER_HAND, 5),
    }
}

/// Sixty-fourths of an inch, where the length is a whole number of them.
fn on_tape(mm: f64) -> Option<(&'static str, u64)> {
    let parts = (mm / MM_PER_INCH * 64.0).round();
    let exact = (parts / 64.0 * MM_PER_INCH - mm).abs() < 1e-3;
    exact.then_some((if parts < 0.0 { "-" } else { "" }, parts.abs() as u64))
}

fn reduced(parts: u64, of: u64) -> (u64, u64, u64) {
    let (whole, mut top, mut bottom) = (parts / of, parts % of, of);
    while top > 0 && top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    (whole, top, bottom)
}

fn mixed_plain(parts: u64, of: u64) -> String {
    match reduced(parts, of) {
        (whole, 0, _) => whole.to_string(),
        (0, top, bottom) => format!("{top}/{bottom}"),
        (whole, top, bottom) => format!("{whole} {top}/{bottom}"),
    }
}

fn mixed(parts: u64, of: u64) -> String {
    let (whole, top, bottom) = reduced(parts, of);
    let sign = match (top, bottom) {
        (1, 2) => "½",
        (1, 4) => "¼",
        (3, 4) => "¾",
        (1, 8) => "⅛",
        (3, 8) => "⅜",
        (5, 8) => "⅝",
        (7, 8) => "⅞",
        _ => return mixed_plain(parts, of),
    };
    if whole == 0 {
        sign.to_owned()
    } else {
        format!("{whole}{sign}")
    }
}

/// A decimal without trailing noughts, and never `-0`.
fn tidy(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" { "0" } else { text }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units::parse_length;
    use proptest::prelude::*;

    #[test]
    fn figures_read_as_on_a_tape() {
        assert_eq!(inches(415.925, Grain::Eighth, Rounding::Nearest), "16⅜ in");
        assert_eq!(inches(0.0, Grain::Eighth, Rounding::Nearest), "0 in");
        assert_eq!(inches(3.2, Grain::Eighth, Rounding::Nearest), "⅛ in");
        assert_eq!(inches(-12.7, Grain::Eighth, Rounding::Nearest), "-½ in");
        assert_eq!(
            inches(414.3375, Grain::Sixteenth, Rounding::Nearest),
            "16 5/16 in"
        );
        assert_eq!(with_inches(610.0, Rounding::Nearest), "610 mm (24 in)");
        assert_eq!(length(350.0, Unit::Hand), "3.5 hands");
        assert_eq!(millimetres(-0.2, Rounding::Nearest), "0 mm");
    }

    #[test]
    fn a_bound_is_rounded_to_its_own_side() {
        assert_eq!(millimetres(414.64, Rounding::Up), "415 mm");
        assert_eq!(millimetres(605.36, Rounding::Down), "605 mm");
        assert_eq!(inches(414.64, Grain::Eighth, Rounding::Up), "16⅜ in");
        assert_eq!(inches(605.36, Grain::Eighth, Rounding::Down), "23¾ in");
        for rounding in [Rounding::Up, Rounding::Down] {
            assert_eq!(inches(415.925, Grain::Eighth, rounding), "16⅜ in");
        }
    }

    proptest! {
        #[test]
        fn a_stored_length_survives_an_untouched_form(
            mm in -15_000.0..15_000.0_f64, unit in prop::sample::select(Unit::ALL),
        ) {
            let back = parse_length(&entry_text(mm, unit), unit).unwrap();
            prop_assert!((back - mm).abs() <= 0.001, "{} -> {back}", entry_text(mm, unit));
        }

        #[test]
        fn a_sixteenth_reads_back_exactly(parts in -8_000_i32..8_000) {
            let mm = f64::from(parts) / 16.0 * 25.4;
            let text = inches(mm, Grain::Sixteenth, Rounding::Nearest);
            prop_assert!((parse_length(&text, Unit::Mm).unwrap() - mm).abs() < 1e-9);
        }

        #[test]
        fn printed_figures_are_off_by_less_than_their_step_and_to_the_right_side(
            mm in -15_000.0..15_000.0_f64,
        ) {
            let read = |text: String| parse_length(&text, Unit::Mm).unwrap();
            let near = read(inches(mm, Grain::Eighth, Rounding::Nearest));
            let down = read(inches(mm, Grain::Eighth, Rounding::Down));
            let up = read(inches(mm, Grain::Eighth, Rounding::Up));
            prop_assert!((near - mm).abs() <= 25.4 / 16.0 + 1e-9);
            prop_assert!(down <= mm + 1e-4 && mm - down < 25.4 / 8.0 + 1e-4);
            prop_assert!(up >= mm - 1e-4 && up - mm < 25.4 / 8.0 + 1e-4);
        }

        #[test]
        fn reading_never_panics(text in "\\PC{0,60}", unit in prop::sample::select(Unit::ALL)) {
            if let Ok(mm) = parse_length(&text, unit) {
                prop_assert!(mm.is_finite() && mm.abs() <= 20_000.0);
            }
        }
    }
}
