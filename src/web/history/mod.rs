//! The history of a card: each revision, and what it changed in mm.

mod change;
mod page;

pub use change::{GapChange, SpanChange, changes};
pub use page::{HistoryPage, RevisionPage, RevisionRow, show_history, show_revision};
