//! Finding a car: one box for words in any order or a VIN, recent cards, and
//! the twelve body styles for a car nobody has recorded.

mod page;
mod results;
mod styles;

pub use page::{FindPage, show_find, show_find_results};
pub use results::{CardRow, Results, StyleRow, VinRow};
pub use styles::{StylesPage, show_styles};
