//! Departments, members, cards, findings, revisions, audit. All SQL lives here.
//!
//! [`contract`] says what the store takes and gives; the back end behind
//! [`Store`] is SQLite, and PostgreSQL can stand beside it: one statement text
//! for both, `$1` placeholders, 64-bit widths, text ids, UTC milliseconds.

pub mod contract;

pub use contract::*;
