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
use super::vehicle::{Drive, Vehicle, Years};
use super::vin::{Vin, looks_like_vin, read_vin};
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

/// What answers a text typed into one box: a VIN as read, with the vehicles of
/// the model year it tells, or else the vehicles its words mean.
pub fn look_up(typed: &str, vehicles: &[&Vehicle], limit: usize) -> (Option<Vin>, Found) {
    if !looks_like_vin(typed) {
        return (None, find(typed, vehicles, limit));
    }
    let vin = read_vin(typed);
    let year = vin.year.map(|year| year.to_string()).unwrap_or_default();
    (Some(vin), find(&year, vehicles, limit))
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
    let mut scored: Vec<(usize, f64)> = vehicles
        .iter()
        .enumerate()
        .filter_map(|(index, v)| Some((index, score(v, &query, &mut dictionary)?)))
        .collect();
    scored.sort_by(|(a, of_a), (b, of_b)| {
        let by_name = || names(vehicles[*a]).cmp(&names(vehicles[*b]));
        of_b.total_cmp(of_a).then_with(by_name).then(a.cmp(b))
    });
    scored.truncate(limit);
    let matches = scored.into_iter().map(|(index, score)| Match {
        index,
        score,
        why: why(vehicles[index], &query, &mut dictionary),
    });
    Found {
        matches: matches.collect(),
        styles,
    }
}

/// What equal scores are sorted by.
fn names(vehicle: &Vehicle) -> (Option<&str>, Option<&str>, Option<[i32; 2]>) {
    let years = vehicle.years.map(<[i32; 2]>::from);
    (vehicle.make.as_deref(), vehicle.model.as_deref(), years)
}

/// How well one word typed is met by a vehicle.
struct Met<'a> {
    strength: f64,
    by: By<'a>,
}

/// What a word was met by, or not.
enum By<'a> {
    Name {
        typed: &'a str,
        name: String,
    },
    Years {
        year: i32,
        years: Option<Years>,
    },
    Style {
        typed: &'a str,
        style: StyleId,
    },
    Drive {
        typed: &'a str,
        drive: Option<Drive>,
    },
    Nothing {
        typed: &'a str,
    },
}

impl Met<'_> {
    /// Whether it tells this car from others: a year alone is on many cards.
    fn identifies(&self) -> bool {
        self.strength > 0.0 && matches!(self.by, By::Name { .. } | By::Style { .. })
    }

    fn said(&self) -> String {
        let met = self.strength > 0.0;
        match &self.by {
            By::Name { typed, name } if name == typed => name.clone(),
            By::Name { typed, name } if name.starts_with(typed) => {
                format!("{name} begins with “{typed}”")
            }
            By::Name { typed, name } => format!("{name} is close to “{typed}”"),
            By::Years { year, years: None } => format!("years unknown, {year} asked"),
            By::Years {
                year,
                years: Some(y),
            } if y.contains(*year) => {
                format!("{year} is in {}–{}", y.first, y.last)
            }
            By::Years {
                year,
                years: Some(y),
            } => {
                format!("{year} is outside {}–{}", y.first, y.last)
            }
            By::Style { style, .. } if met => format!("body style {style}"),
            By::Style { typed, style } => format!("{style}, not {typed}"),
            By::Drive { typed, drive: None } => format!("drive unknown, {typed} asked"),
            By::Drive {
                drive: Some(drive), ..
            } if met => format!("{drive} drive"),
            By::Drive {
                typed,
                drive: Some(drive),
            } => format!("{drive} drive, not {typed}"),
            By::Nothing { typed } => format!("nothing like “{typed}”"),
        }
    }
}

/// A vehicle's score, without words: most vehicles are not shown.
fn score(vehicle: &Vehicle, query: &Query, dictionary: &mut Dictionary) -> Option<f64> {
    let met = meet_all(vehicle, query, dictionary);
    let sum: f64 = met.iter().map(|m| m.strength).sum();
    let score = sum / met.len() as f64;
    let only_years = query.tokens.iter().all(|t| matches!(t, Token::Year { .. }));
    let identified = met.iter().any(Met::identifies);
    (score >= LEAST_SCORE && (identified || only_years)).then_some((score * 100.0).round() / 100.0)
}

fn why(vehicle: &Vehicle, query: &Query, dictionary: &mut Dictionary) -> String {
    let met = meet_all(vehicle, query, dictionary);
    met.iter().map(Met::said).collect::<Vec<_>>().join(", ")
}

fn meet_all<'a>(vehicle: &Vehicle, query: &'a Query, dictionary: &mut Dictionary) -> Vec<Met<'a>> {
    let names = strength::words_of(vehicle);
    let tokens = query.tokens.iter().enumerate();
    tokens
        .map(|(at, token)| {
            let other = meet(token, vehicle);
            match dictionary.best(at, token.text(), &names) {
                Some((strength, name)) if strength >= other.strength => Met {
                    strength,
                    by: By::Name {
                        typed: token.text(),
                        name,
                    },
                },
                _ => other,
            }
        })
        .collect()
}

/// What a word meets besides names.
fn meet<'a>(token: &'a Token, vehicle: &Vehicle) -> Met<'a> {
    match token {
        Token::Year { year, .. } => Met {
            strength: vehicle
                .years
                .map_or(0.5, |years| year_strength(*year, years)),
            by: By::Years {
                year: *year,
                years: vehicle.years,
            },
        },
        Token::Style { styles, text } => Met {
            strength: f64::from(u8::from(styles.contains(&vehicle.body_style))),
            by: By::Style {
                typed: text,
                style: vehicle.body_style,
            },
        },
        Token::Drive { drives, text } => Met {
            strength: vehicle
                .drive
                .map_or(0.5, |drive| f64::from(u8::from(drives.contains(&drive)))),
            by: By::Drive {
                typed: text,
                drive: vehicle.drive,
            },
        },
        Token::Word { text } => Met {
            strength: 0.0,
            by: By::Nothing { typed: text },
        },
    }
}

/// A year just outside may be a car of the next model year.
fn year_strength(year: i32, years: Years) -> f64 {
    match (years.first - year).max(year - years.last) {
        ..=0 => 1.0,
        1 => 0.5,
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests;
