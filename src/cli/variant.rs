//! The variant of the car asked for.

use crate::domain::vehicle::{Drive, Roof, Variant, WheelSide, Years};
use clap::Args;

/// What is left out falls back to the card's vehicle.
#[derive(Debug, Clone, Args)]
pub struct VariantArgs {
    /// Model year of the car asked about
    #[arg(long, value_parser = model_year)]
    year: Option<i32>,
    /// petrol, diesel, hybrid, battery, gas, hydrogen
    #[arg(long, value_parser = |word: &str| one_of(word, Drive::ALL, Drive::word))]
    drive: Option<Drive>,
    /// Side of the steering wheel: left, right
    #[arg(long, value_parser = |word: &str| one_of(word, WheelSide::ALL, WheelSide::word))]
    wheel: Option<WheelSide>,
    /// fixed, sunroof, glass, folding
    #[arg(long, value_parser = |word: &str| one_of(word, Roof::ALL, Roof::word))]
    roof: Option<Roof>,
    /// Market, as cards name it
    #[arg(long)]
    region: Option<String>,
}

impl From<&VariantArgs> for Variant {
    fn from(args: &VariantArgs) -> Self {
        Self {
            year: args.year,
            drive: args.drive,
            wheel: args.wheel,
            roof: args.roof,
            region: args.region.clone(),
        }
    }
}

fn model_year(text: &str) -> Result<i32, String> {
    let year = text
        .parse()
        .ok()
        .filter(|year| Years::ALLOWED.contains(year));
    year.ok_or_else(|| {
        format!(
            "a year from {} to {}",
            Years::ALLOWED.start(),
            Years::ALLOWED.end()
        )
    })
}

/// The value of a word, or the words that would be accepted.
pub fn one_of<T: Copy>(given: &str, all: &[T], word: fn(T) -> &'static str) -> Result<T, String> {
    let found = all.iter().find(|value| word(**value) == given).copied();
    found.ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|value| word(*value)).collect();
        format!("one of {}", words.join(", "))
    })
}
