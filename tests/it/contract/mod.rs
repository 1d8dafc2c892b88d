//! The card file and the zones document, from outside.

pub mod archive;
mod bad_asks;
mod bad_cards;
mod bad_notes;
mod bad_tables;
mod card_file;
mod table;
mod table_points;
mod zones;

/// The format's own example of a card, with the vehicle's names filled in.
pub const EXAMPLE: &str = include_str!("example-card.json");
