//! How strongly a word typed meets a word of a name, 0 to 1.

use super::query::Query;
use crate::domain::vehicle::Vehicle;
use std::collections::HashMap;

/// Strengths already computed, by word of a name, one a query word: five
/// thousand cards share a few hundred names.
pub struct Dictionary {
    known: Vec<HashMap<String, f64>>,
}

impl Dictionary {
    pub fn for_query(query: &Query) -> Self {
        Self {
            known: vec![HashMap::new(); query.tokens.len()],
        }
    }

    /// The strongest of a vehicle's words for the query's word `at`; the first
    /// of equals.
    pub fn best(&mut self, at: usize, typed: &str, names: &[String]) -> Option<(f64, String)> {
        let mut best: Option<(f64, &String)> = None;
        for name in names {
            let strength = match self.known[at].get(name) {
                Some(strength) => *strength,
                None => {
                    let strength = strength(typed, name);
                    self.known[at].insert(name.clone(), strength);
                    strength
                }
            };
            if strength > 0.0 && best.is_none_or(|(b, _)| strength > b) {
                best = Some((strength, name));
            }
        }
        best.map(|(strength, name)| (strength, name.clone()))
    }
}

/// Words of make and model in small letters; a hyphenated name also whole.
pub fn words_of(vehicle: &Vehicle) -> Vec<String> {
    let mut words = Vec::with_capacity(4);
    for name in [&vehicle.make, &vehicle.model].into_iter().flatten() {
        let lower = name.to_lowercase();
        let parts = lower
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty());
        let before = words.len();
        words.extend(parts.map(str::to_owned));
        if words.len() - before > 1 {
            let whole = lower.chars().filter(|c| c.is_alphanumeric());
            words.push(whole.collect());
        }
    }
    words
}

/// Slips allowed in a word of so many letters.
const fn slips(letters: usize) -> usize {
    match letters {
        0..=2 => 0,
        3..=5 => 1,
        _ => 2,
    }
}

/// 1 for the word itself, 0.75 to 0.95 for its beginning, less with slips.
fn strength(typed: &str, name: &str) -> f64 {
    if typed == name {
        return 1.0;
    }
    let letters = typed.chars().count();
    let whole = name.chars().count();
    if name.starts_with(typed) {
        return 0.75 + 0.2 * letters as f64 / whole as f64;
    }
    let digit = |c: char| c.is_ascii_digit();
    if typed.contains(digit) || name.contains(digit) {
        return 0.0;
    }
    let allowed = slips(letters);
    if allowed == 0 {
        return 0.0;
    }
    let slip = |other: &str, full: f64| {
        let distance = strsim::osa_distance(typed, other);
        let near = strsim::jaro_winkler(typed, other);
        (distance <= allowed).then_some(full * near)
    };
    if whole.abs_diff(letters) <= allowed
        && let Some(strength) = slip(name, 0.9)
    {
        return strength;
    }
    // Still being typed, with a slip: compare with as much of the name.
    if whole > letters && letters >= 4 {
        let begun: String = name.chars().take(letters).collect();
        return slip(&begun, 0.75).unwrap_or(0.0);
    }
    0.0
}
