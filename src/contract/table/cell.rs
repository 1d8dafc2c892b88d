//! One cell to a value: figures with the decimal sign of their sheet, words
//! however they are capitalised.

use super::text::Separator;
use crate::domain::units::{Unit, parse_length};

/// Letters and digits in small letters: how headers and words are compared.
pub(super) fn plain(text: &str) -> String {
    let kept = text.chars().filter(|c| c.is_alphanumeric());
    kept.flat_map(char::to_lowercase).collect()
}

/// The word that a cell means by its word or its name for people; the cell itself
/// where it means none.
pub(super) fn word<T: Copy>(
    cell: &str,
    all: &[T],
    word: fn(T) -> &'static str,
    name: fn(T) -> &'static str,
) -> String {
    let meant = plain(cell);
    let known = all.iter().copied();
    let found = known
        .filter(|_| !meant.is_empty())
        .find(|w| plain(word(*w)) == meant || plain(name(*w)) == meant);
    found.map_or_else(|| cell.to_owned(), |w| word(w).to_owned())
}

/// A length in mm, or why the cell is none.
pub(super) fn length(cell: &str, separator: Separator) -> Result<f64, String> {
    let figure = with_a_point(cell, separator)?;
    parse_length(&figure, Unit::Mm).map_err(|e| e.to_string())
}

/// A number without a unit, or why the cell is none.
pub(super) fn number(cell: &str, separator: Separator) -> Result<f64, String> {
    let figure = with_a_point(cell, separator)?;
    let number = figure.parse().ok().filter(|n: &f64| n.is_finite());
    number.ok_or_else(|| "this is no number: write figures alone".to_owned())
}

/// The figure with a decimal point. Three digits after a single sign can be a
/// thousand as well as decimals: refused where the sheet may mean either.
fn with_a_point(cell: &str, separator: Separator) -> Result<String, String> {
    if !separator.leaves_the_comma() {
        return Ok(cell.to_owned());
    }
    let is_sign = |c: char| c == ',' || c == '.';
    let Some((whole, after)) = cell.split_once(is_sign) else {
        return Ok(cell.to_owned());
    };
    let digits = after.chars().take_while(char::is_ascii_digit).count();
    let in_thousands = digits == 3 && whole.len() <= 4 && whole != "0";
    if after.contains(is_sign) || in_thousands {
        return Err(
            "its comma or point can mean a thousand or a decimal: write 1250 or 1,25, without a sign for thousands"
                .to_owned(),
        );
    }
    Ok(format!("{whole}.{after}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::kind::Kind;

    #[test]
    fn a_comma_is_decimal_only_where_it_separates_no_cells() {
        assert_eq!(length("80,5", Separator::Semicolon), Ok(80.5));
        assert_eq!(length("80.5", Separator::Semicolon), Ok(80.5));
        assert_eq!(length("80,5", Separator::Tab), Ok(80.5));
        assert_eq!(number("0,125", Separator::Semicolon), Ok(0.125));
        assert!(length("80,5", Separator::Comma).is_err());
    }

    #[test]
    fn a_figure_that_can_mean_a_thousand_is_refused() {
        for cell in ["1,250", "1.250", "1.250,5", "12,500", "1,250 mm"] {
            assert!(length(cell, Separator::Semicolon).is_err(), "{cell}");
            assert!(length(cell, Separator::Tab).is_err(), "{cell}");
        }
        assert!(length("1,250", Separator::Comma).is_err());
    }

    #[test]
    fn lengths_keep_their_units() {
        for separator in [Separator::Comma, Separator::Semicolon] {
            assert_eq!(length("3 1/8 in", separator), Ok(79.375));
            assert_eq!(length("4½ hands", separator), Ok(450.0));
        }
        assert!(number("NaN", Separator::Comma).is_err());
        assert!(number("inf", Separator::Comma).is_err());
    }

    #[test]
    fn words_are_known_by_either_name_however_capitalised() {
        let kind = |cell| word(cell, Kind::ALL, Kind::word, Kind::name);
        assert_eq!(kind("Belt Pretensioner"), "pretensioner");
        assert_eq!(kind("GAS CYLINDER"), "gas-cylinder");
        assert_eq!(kind("Stored gas cylinder"), "gas-cylinder");
        assert_eq!(kind("hinge"), "hinge");
    }
}
