//! What was typed, as words that mean something: a year, a body style, a
//! drive, or part of a name.

use super::MOST_WORDS;
use super::style_words::{Phrase, split, styles_of};
use crate::domain::body::StyleId;
use crate::domain::vehicle::{Drive, Years};

/// One thing typed.
#[derive(Debug, Clone, PartialEq)]
pub enum Token {
    Year {
        year: i32,
        text: String,
    },
    Style {
        styles: Vec<StyleId>,
        text: String,
    },
    Drive {
        drives: &'static [Drive],
        text: String,
    },
    Word {
        text: String,
    },
}

impl Token {
    pub fn text(&self) -> &str {
        match self {
            Self::Year { text, .. }
            | Self::Style { text, .. }
            | Self::Drive { text, .. }
            | Self::Word { text } => text,
        }
    }
}

/// Everything typed into the box.
#[derive(Debug, Clone, PartialEq)]
pub struct Query {
    pub tokens: Vec<Token>,
}

impl Query {
    pub fn read(typed: &str) -> Self {
        let tokens = split(typed).into_iter().take(MOST_WORDS).map(token);
        Self {
            tokens: tokens.collect(),
        }
    }
}

fn token(phrase: Phrase) -> Token {
    let text = phrase.text;
    if let Some(year) = year(&text) {
        return Token::Year { year, text };
    }
    if let Some(drives) = drives(&text) {
        return Token::Drive { drives, text };
    }
    let styles = styles_of(&text);
    if styles.is_empty() {
        Token::Word { text }
    } else {
        Token::Style { styles, text }
    }
}

fn year(text: &str) -> Option<i32> {
    let year = text.parse().ok().filter(|_| text.len() == 4)?;
    Years::ALLOWED.contains(&year).then_some(year)
}

fn drives(text: &str) -> Option<&'static [Drive]> {
    Some(match text {
        "petrol" | "gasoline" => &[Drive::Petrol],
        "diesel" => &[Drive::Diesel],
        "hybrid" | "phev" | "hev" => &[Drive::Hybrid],
        "electric" | "ev" | "bev" | "battery" => &[Drive::Battery],
        "cng" | "lpg" | "lng" => &[Drive::Gas],
        "hydrogen" | "fcev" => &[Drive::Hydrogen],
        // American for petrol, and gas fuel as well.
        "gas" => &[Drive::Gas, Drive::Petrol],
        _ => return None,
    })
}
