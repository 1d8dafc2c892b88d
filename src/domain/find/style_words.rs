//! The trade's words for body styles, and splitting what was typed into words.

use crate::domain::body::StyleId::{self, *};
use std::collections::BTreeSet;

/// A word or a short phrase typed, in small letters.
pub struct Phrase {
    pub text: String,
}

const PICKUPS: &[StyleId] = &[PickupCrew, PickupRegular, PickupExtended];

/// Word, and the styles it can mean, likeliest first.
const WORDS: &[(&str, &[StyleId])] = &[
    ("sedan", &[Sedan]),
    ("saloon", &[Sedan]),
    ("notchback", &[Sedan, Coupe]),
    ("limousine", &[Sedan]),
    ("4-door", &[Sedan]),
    ("coupe", &[Coupe]),
    ("coupé", &[Coupe]),
    ("2-door", &[Coupe, Convertible]),
    ("hatch", &[Hatch5, Hatch3]),
    ("hatchback", &[Hatch5, Hatch3]),
    ("liftback", &[Hatch5, Hatch3]),
    ("3-door", &[Hatch3]),
    ("hatch-3", &[Hatch3]),
    ("5-door", &[Hatch5, Estate, Suv]),
    ("hatch-5", &[Hatch5]),
    ("estate", &[Estate]),
    ("wagon", &[Estate]),
    ("touring", &[Estate]),
    ("break", &[Estate]),
    ("suv", &[Suv]),
    ("crossover", &[Suv]),
    ("4x4", &[Suv, PickupCrew]),
    ("offroader", &[Suv]),
    ("minivan", &[Minivan]),
    ("mpv", &[Minivan]),
    ("people-carrier", &[Minivan]),
    ("minibus", &[Minivan]),
    ("convertible", &[Convertible]),
    ("cabriolet", &[Convertible]),
    ("cabrio", &[Convertible]),
    ("roadster", &[Convertible]),
    ("drophead", &[Convertible]),
    ("soft-top", &[Convertible]),
    ("pickup", PICKUPS),
    ("pick-up", PICKUPS),
    ("truck", PICKUPS),
    ("ute", PICKUPS),
    ("cab", PICKUPS),
    ("regular-cab", &[PickupRegular]),
    ("single-cab", &[PickupRegular]),
    ("standard-cab", &[PickupRegular]),
    ("extended-cab", &[PickupExtended]),
    ("extra-cab", &[PickupExtended]),
    ("crew-cab", &[PickupCrew]),
    ("double-cab", &[PickupCrew]),
    ("van", &[CargoVan, Minivan]),
    ("panel-van", &[CargoVan]),
    ("cargo-van", &[CargoVan]),
    ("delivery-van", &[CargoVan]),
];

const NUMBERS: &[(&str, &str)] = &[("two", "2"), ("three", "3"), ("four", "4"), ("five", "5")];

/// Splits at whatever is neither letter nor digit, and puts two-word phrases
/// (`crew cab`, `3 door`, `3dr`) back together.
pub fn split(typed: &str) -> Vec<Phrase> {
    let lower = typed.chars().take(400).collect::<String>().to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    let mut phrases = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let pair = words.get(at + 1).and_then(|next| joined(words[at], next));
        at += if pair.is_some() { 2 } else { 1 };
        let text = pair.unwrap_or_else(|| doors(words[at - 1]));
        phrases.push(Phrase { text });
    }
    phrases
}

/// Two words that are one in the table.
fn joined(a: &str, b: &str) -> Option<String> {
    let number = NUMBERS.iter().find(|(word, _)| *word == a);
    let a = number.map_or(a, |(_, digit)| digit);
    let b = if matches!(b, "dr" | "doors") {
        "door"
    } else {
        b
    };
    let pair = format!("{a}-{b}");
    WORDS.iter().any(|(word, _)| *word == pair).then_some(pair)
}

/// `3dr` and `3door` as `3-door`.
fn doors(word: &str) -> String {
    let number = word
        .strip_suffix("dr")
        .or_else(|| word.strip_suffix("door"));
    match number {
        Some(n @ ("2" | "3" | "4" | "5")) => format!("{n}-door"),
        _ => word.to_owned(),
    }
}

/// Styles one word can mean: exactly, else as the beginning of a word of three
/// letters or more, else with one slip in a word of five letters or more.
pub fn styles_of(word: &str) -> Vec<StyleId> {
    let exact = WORDS.iter().find(|(known, _)| *known == word);
    if let Some((_, styles)) = exact {
        return styles.to_vec();
    }
    let letters = word.chars().count();
    let begun = |known: &str| letters >= 3 && known.starts_with(word);
    let slip = |known: &str| {
        letters >= 5 && known.chars().count() >= 5 && strsim::osa_distance(known, word) == 1
    };
    let mut styles = styles_where(begun);
    if styles.is_empty() {
        styles = styles_where(slip);
    }
    styles
}

fn styles_where(meant: impl Fn(&str) -> bool) -> Vec<StyleId> {
    let mut styles = Vec::new();
    for (_, of_word) in WORDS.iter().filter(|(known, _)| meant(known)) {
        for style in *of_word {
            if !styles.contains(style) {
                styles.push(*style);
            }
        }
    }
    styles
}

/// Styles that everything typed can mean: those that all style words share,
/// else those of the first that says any.
pub fn styles_meant(typed: &str) -> Vec<StyleId> {
    let sets = split(typed).into_iter().take(super::MOST_WORDS);
    let mut sets = sets.map(|p| styles_of(&p.text)).filter(|s| !s.is_empty());
    let Some(first) = sets.next() else {
        return Vec::new();
    };
    let mut common = first.clone();
    for set in sets {
        let set: BTreeSet<StyleId> = set.into_iter().collect();
        common.retain(|style| set.contains(style));
    }
    if common.is_empty() { first } else { common }
}
