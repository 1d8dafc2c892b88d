//! Openings and plans: the safety properties on random cards and asks, and the
//! worked examples of single openings.

mod ask;
mod demo;
mod made;
mod properties;
