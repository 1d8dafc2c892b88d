//! One find box: year, make, model and body style in any order, with typing
//! slips, while still being typed. Pure and deterministic.
//!
//! Every word typed is compared with every card's words; a card's score is the
//! mean of its words' strengths, and `why` says in words what was met and what
//! was not. A digit is never taken for a slip: `T5` is not `T6`.

mod query;
mod strength;
mod style_words;

pub use style_words::styles_meant;

use super::body::StyleId;
use super::vehicle::Vehicle;
use query::{Query, Token};
use strength::Dictionary;

/// Words typed beyond this many are left out.
pub const MOST_WORDS: usize = 12;

/// Scores below this are not shown: fewer than half of the words were met.
const LEAST_SCORE: f64 = 0.5;

/// One vehicle that answers what was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// Which of the vehicles given, counted from 0.
    pub index: usize,
    /// 0 to 1, to 0.01.
    pub score: f64,
    /// What was met and what was not, in words.
    pub why: String,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Best first; ties by make, model, years, then the order given.
    pub matches: Vec<Match>,
    /// Body styles that the words can mean, likeliest first.
    pub styles: Vec<StyleId>,
}

impl Found {
    /// The body style whose generic card to show where no card matches.
    pub fn generic(&self) -> Option<StyleId> {
        self.styles.first().copied()
    }
}

/// Finds the vehicles that answer `typed`, at most `limit`.
pub fn find(typed: &str, vehicles: &[&Vehicle], limit: usize) -> Found {
    let query = Query::read(typed);
    let styles = styles_meant(typed);
    if query.tokens.is_empty() {
        return Found {
            matches: Vec::new(),
            styles,
        };
    }
    let mut dictionary = Dictionary::for_query(&query);
    let mut matches: Vec<Match> = vehicles
        .iter()
        .enumerate()
        .filter_map(|(index, vehicle)| score(index, vehicle, &query, &mut dictionary))
        .collect();
    matches.sort_by(|a, b| {
        let names = |m: &Match| {
            let v = vehicles[m.index];
            (
                v.make.clone(),
                v.model.clone(),
                v.years.map(<[i32; 2]>::from),
            )
        };
        b.score
            .total_cmp(&a.score)
            .then_with(|| names(a).cmp(&names(b)))
            .then(a.index.cmp(&b.index))
    });
    matches.truncate(limit);
    Found { matches, styles }
}

/// How well one word typed is met by a vehicle, and what to say of it.
struct Met {
    strength: f64,
    said: String,
    /// Whether it was met by a name or a style: a year alone is on many cards.
    identifies: bool,
}

fn score(
    index: usize,
    vehicle: &Vehicle,
    query: &Query,
    dictionary: &mut Dictionary,
) -> Option<Match> {
    let names = strength::words_of(vehicle);
    let met: Vec<Met> = query
        .tokens
        .iter()
        .enumerate()
        .map(|(at, token)| meet(at, token, vehicle, &names, dictionary))
        .collect();
    let sum: f64 = met.iter().map(|m| m.strength).sum();
    let score = sum / met.len() as f64;
    let only_years = query.tokens.iter().all(|t| matches!(t, Token::Year { .. }));
    let identified = met.iter().any(|m| m.identifies && m.strength > 0.0);
    if score < LEAST_SCORE || !(identified || only_years) {
        return None;
    }
    let why = met.iter().map(|m| m.said.as_str());
    Some(Match {
        index,
        score: (score * 100.0).round() / 100.0,
        why: why.collect::<Vec<_>>().join(", "),
    })
}

fn meet(
    at: usize,
    token: &Token,
    vehicle: &Vehicle,
    names: &[String],
    dictionary: &mut Dictionary,
) -> Met {
    let named = dictionary.best(at, token.text(), names);
    let other = match token {
        Token::Year { year, .. } => year_met(*year, vehicle),
        Token::Style { styles, text } => style_met(text, styles, vehicle),
        Token::Drive { drives, text } => drive_met(text, drives, vehicle),
        Token::Word { text } => missing(text),
    };
    match named {
        Some((strength, said)) if strength >= other.strength => Met {
            strength,
            said,
            identifies: true,
        },
        _ => other,
    }
}

fn missing(text: &str) -> Met {
    Met {
        strength: 0.0,
        said: format!("nothing like “{text}”"),
        identifies: false,
    }
}

fn year_met(year: i32, vehicle: &Vehicle) -> Met {
    let (strength, said) = match vehicle.years {
        None => (0.5, format!("years unknown, {year} asked")),
        Some(years) if years.contains(year) => {
            (1.0, format!("{year} is in {}–{}", years.first, years.last))
        }
        Some(years) => {
            let off = (years.first - year).max(year - years.last);
            let strength = if off == 1 { 0.5 } else { 0.0 };
            let said = format!("{year} is outside {}–{}", years.first, years.last);
            (strength, said)
        }
    };
    Met {
        strength,
        said,
        identifies: false,
    }
}

fn style_met(text: &str, styles: &[StyleId], vehicle: &Vehicle) -> Met {
    let style = vehicle.body_style;
    if !styles.contains(&style) {
        return Met {
            strength: 0.0,
            said: format!("{style}, not {text}"),
            identifies: false,
        };
    }
    Met {
        strength: 1.0,
        said: format!("body style {style}"),
        identifies: true,
    }
}

fn drive_met(text: &str, drives: &[super::vehicle::Drive], vehicle: &Vehicle) -> Met {
    let (strength, said) = match vehicle.drive {
        None => (0.5, format!("drive unknown, {text} asked")),
        Some(drive) if drives.contains(&drive) => (1.0, format!("{drive} drive")),
        Some(drive) => (0.0, format!("{drive} drive, not {text}")),
    };
    Met {
        strength,
        said,
        identifies: false,
    }
}

#[cfg(test)]
mod tests;
