//! Openings and plans: the safety properties on random cards and asks, and the
//! worked examples of single openings.

mod ask;
mod confirmed;
mod demo;
mod made;
mod operations;
mod panel;
mod properties;
mod restraint;
