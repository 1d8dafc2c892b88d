//! A length as typed, into millimetres.
//!
//! Taken: a bare number in the member's unit; mm, cm, m; inches whole, decimal
//! or with a fraction (`16 3/8"`, `16⅜ in`); feet and inches (`5' 3 1/2"`);
//! hands (`3½ h`). A minus sign in front is taken: coordinates have one.

use super::{LONGEST_MM, MM_PER_HAND, MM_PER_INCH, Unit};

const ACCEPTED: &str =
    "a number with mm, cm, m, in or hands, for example 415 mm, 16 3/8 in, 1' 4 3/8\" or 4½ hands";

/// Why a text is no length. Each says what would be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    #[error("enter a length: {ACCEPTED}")]
    Empty,
    #[error("{typed:?} is not a length: enter {ACCEPTED}")]
    NotALength { typed: String },
    #[error(
        "{typed:?} has a comma, which can mean a thousand or a decimal: enter 1250 or 1.25, without a comma"
    )]
    Comma { typed: String },
    #[error(
        "{typed:?} is a fraction without its unit: add in or hands, for example 16 3/8 in; millimetres take a decimal point"
    )]
    FractionWithoutUnit { typed: String },
    #[error(
        "{typed:?} has a fraction that is none on a tape: enter one between 1/2 and 63/64, below one, for example 3/8"
    )]
    BadFraction { typed: String },
    #[error(
        "{typed:?} has a decimal point and a fraction: enter one of them, 16.375 in or 16 3/8 in"
    )]
    DecimalAndFraction { typed: String },
    #[error("{typed:?} has inches of a foot or more after the feet: enter 0 to 11 and a fraction")]
    InchesOfAFoot { typed: String },
    #[error("{typed:?} is longer than any car: enter up to 20 m")]
    TooLong { typed: String },
}

/// Reads a length; `bare` is what a number without a unit is in. In mm.
pub fn parse_length(text: &str, bare: Unit) -> Result<f64, LengthError> {
    let typed = text.trim();
    if typed.is_empty() {
        return Err(LengthError::Empty);
    }
    if typed.contains(',') {
        return Err(LengthError::Comma { typed: cut(typed) });
    }
    let plain = plain(typed);
    let (sign, rest) = match plain.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, plain.as_str()),
    };
    let mm = unsigned(rest, bare).map_err(|fault| fault.about(typed))?;
    if mm > LONGEST_MM {
        return Err(LengthError::TooLong { typed: cut(typed) });
    }
    // 0.0 + keeps "-0" from coming out as minus zero.
    Ok(0.0 + sign * mm)
}

/// What is wrong, before the text it is wrong in is known.
#[derive(Debug, Clone, Copy)]
enum Fault {
    NotALength,
    FractionWithoutUnit,
    BadFraction,
    DecimalAndFraction,
    InchesOfAFoot,
}

impl Fault {
    fn about(self, typed: &str) -> LengthError {
        let typed = cut(typed);
        match self {
            Self::NotALength => LengthError::NotALength { typed },
            Self::FractionWithoutUnit => LengthError::FractionWithoutUnit { typed },
            Self::BadFraction => LengthError::BadFraction { typed },
            Self::DecimalAndFraction => LengthError::DecimalAndFraction { typed },
            Self::InchesOfAFoot => LengthError::InchesOfAFoot { typed },
        }
    }
}

/// The start of what was typed, short enough to stand in a message.
fn cut(typed: &str) -> String {
    typed.chars().take(40).collect()
}

/// One spelling for what keyboards and phones make of quotes, minus and fractions.
fn plain(typed: &str) -> String {
    let mut out = String::with_capacity(typed.len());
    for c in typed.to_lowercase().chars() {
        match c {
            '−' | '–' => out.push('-'),
            '″' | '”' | '“' => out.push('"'),
            '′' | '’' | '‘' => out.push('\''),
            '⁄' => out.push('/'),
            c if c.is_whitespace() => out.push(' '),
            c => match vulgar(c) {
                Some(fraction) => {
                    out.push(' ');
                    out.push_str(fraction);
                }
                None => out.push(c),
            },
        }
    }
    out.replace("''", "\"").trim().to_owned()
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        _ => return None,
    })
}

fn unsigned(text: &str, bare: Unit) -> Result<f64, Fault> {
    let (first, unit, rest) = amount(text)?;
    if unit != "'" && !matches!(unit, "ft" | "feet" | "foot") {
        return if rest.is_empty() {
            first.in_unit(unit, bare)
        } else {
            Err(Fault::NotALength)
        };
    }
    let feet = first.value();
    if rest.is_empty() {
        return Ok(feet * 12.0 * MM_PER_INCH);
    }
    // `5' 3` is five feet and three inches in everyone's notebook.
    let (inches, unit, rest) = amount(rest)?;
    if !rest.is_empty() || first.fraction.is_some() || feet.fract() != 0.0 {
        return Err(Fault::NotALength);
    }
    if !(unit.is_empty() || is_inch(unit)) {
        return Err(Fault::NotALength);
    }
    if inches.value() >= 12.0 {
        return Err(Fault::InchesOfAFoot);
    }
    Ok((feet * 12.0 + inches.value()) * MM_PER_INCH)
}

fn is_inch(unit: &str) -> bool {
    matches!(unit, "\"" | "in" | "inch" | "inches")
}

/// A number with a fraction or without.
#[derive(Debug, Clone, Copy)]
struct Amount {
    whole: f64,
    fraction: Option<f64>,
}

impl Amount {
    fn value(self) -> f64 {
        self.whole + self.fraction.unwrap_or(0.0)
    }

    fn in_unit(self, unit: &str, bare: Unit) -> Result<f64, Fault> {
        let (mm, metric) = match unit {
            "" => (bare.mm(), bare == Unit::Mm),
            "mm" => (1.0, true),
            "cm" => (10.0, true),
            "m" => (1000.0, true),
            "h" | "hand" | "hands" => (MM_PER_HAND, false),
            unit if is_inch(unit) => (MM_PER_INCH, false),
            _ => return Err(Fault::NotALength),
        };
        if metric && self.fraction.is_some() {
            return Err(Fault::FractionWithoutUnit);
        }
        Ok(self.value() * mm)
    }
}

/// Splits `16 3/8" …` into the amount, its unit, and what follows.
fn amount(text: &str) -> Result<(Amount, &str, &str), Fault> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/' | ' ')))
        .unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    let unit_end = match rest.chars().next() {
        Some('"' | '\'') => 1,
        _ => rest
            .find(|c: char| !c.is_ascii_alphabetic())
            .unwrap_or(rest.len()),
    };
    let (unit, rest) = rest.split_at(unit_end);
    let rest = rest.strip_prefix('.').unwrap_or(rest).trim();
    if unit.is_empty() && !rest.is_empty() {
        return Err(Fault::NotALength);
    }
    let parts: Vec<&str> = digits.split_whitespace().collect();
    let amount = match parts.as_slice() {
        [one] if one.contains('/') => Amount {
            whole: 0.0,
            fraction: Some(fraction(one)?),
        },
        [whole] => Amount {
            whole: number(whole)?,
            fraction: None,
        },
        [whole, part] if part.contains('/') => {
            if whole.contains('.') {
                return Err(Fault::DecimalAndFraction);
            }
            Amount {
                whole: number(whole)?,
                fraction: Some(fraction(part)?),
            }
        }
        _ => return Err(Fault::NotALength),
    };
    Ok((amount, unit, rest))
}

/// Digits with at most one point; no sign, no exponent, no `nan`.
fn number(text: &str) -> Result<f64, Fault> {
    let digits = text.bytes().any(|b| b.is_ascii_digit());
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if !digits || !plain {
        return Err(Fault::NotALength);
    }
    text.parse().map_err(|_| Fault::NotALength)
}

fn fraction(text: &str) -> Result<f64, Fault> {
    let (top, bottom) = text.split_once('/').ok_or(Fault::NotALength)?;
    let read = |t: &str| t.parse::<u32>().map_err(|_| Fault::BadFraction);
    let (top, bottom) = (read(top)?, read(bottom)?);
    if !(2..=64).contains(&bottom) || top == 0 || top >= bottom {
        return Err(Fault::BadFraction);
    }
    Ok(f64::from(top) / f64::from(bottom))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("1250", 1250.0)]
    #[case("1250 mm", 1250.0)]
    #[case("1250.5mm", 1250.5)]
    #[case("125 cm", 1250.0)]
    #[case("1.25 m", 1250.0)]
    #[case("16 3/8\"", 415.925)]
    #[case("16⅜ in", 415.925)]
    #[case("16 ⅜″", 415.925)]
    #[case("16.375in", 415.925)]
    #[case("16.375 in.", 415.925)]
    #[case("3/8 in", 9.525)]
    #[case("⅜\"", 9.525)]
    #[case("5' 3 1/2\"", 1612.9)]
    #[case("5’ 3½”", 1612.9)]
    #[case("5 ft 3 in", 1600.2)]
    #[case("5'", 1524.0)]
    #[case("5' 3", 1600.2)]
    #[case("3 hands", 300.0)]
    #[case("1 hand", 100.0)]
    #[case("3½ h", 350.0)]
    #[case("3.5 Hands", 350.0)]
    #[case("-640", -640.0)]
    #[case("− 640 mm", -640.0)]
    #[case("0", 0.0)]
    fn what_people_write_is_read(#[case] text: &str, #[case] mm: f64) {
        let got = parse_length(text, Unit::Mm).unwrap();
        assert!((got - mm).abs() < 1e-9, "{text}: {got}");
    }

    #[rstest]
    #[case("16 3/8", Unit::Inch, 415.925)]
    #[case("16.5", Unit::Inch, 419.1)]
    #[case("4 1/2", Unit::Hand, 450.0)]
    #[case("415 mm", Unit::Inch, 415.0)]
    fn a_bare_number_is_in_the_members_unit(
        #[case] text: &str,
        #[case] unit: Unit,
        #[case] mm: f64,
    ) {
        assert!((parse_length(text, unit).unwrap() - mm).abs() < 1e-9);
    }

    #[rstest]
    #[case("nan")]
    #[case("inf")]
    #[case("1e3")]
    #[case("12x")]
    #[case("1.2.3")]
    #[case("12 13")]
    #[case("--5")]
    #[case("5\" 3'")]
    #[case("5' 3 mm")]
    #[case("16 in 3")]
    #[case("٣ mm")]
    #[case(".")]
    #[case("<b>")]
    fn what_is_no_length_is_refused(#[case] text: &str) {
        let error = parse_length(text, Unit::Mm).unwrap_err();
        assert!(matches!(error, LengthError::NotALength { .. }), "{error:?}");
        assert!(error.to_string().contains("16 3/8 in"));
    }

    #[test]
    fn each_ambiguity_says_what_would_do() {
        let error = |t: &str| parse_length(t, Unit::Mm).unwrap_err();
        assert_eq!(error("  "), LengthError::Empty);
        assert!(matches!(error("1,250"), LengthError::Comma { .. }));
        assert!(matches!(
            error("16 3/8"),
            LengthError::FractionWithoutUnit { .. }
        ));
        assert!(matches!(
            error("3 1/2 mm"),
            LengthError::FractionWithoutUnit { .. }
        ));
        assert!(matches!(error("3/0 in"), LengthError::BadFraction { .. }));
        assert!(matches!(error("9/8 in"), LengthError::BadFraction { .. }));
        assert!(matches!(
            error("1.5 1/2 in"),
            LengthError::DecimalAndFraction { .. }
        ));
        assert!(matches!(
            error("5' 12\""),
            LengthError::InchesOfAFoot { .. }
        ));
        assert!(matches!(error("21 m"), LengthError::TooLong { .. }));
        let long = "9".repeat(500);
        assert!(matches!(error(&long), LengthError::TooLong { .. }));
    }
}
