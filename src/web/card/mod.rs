//! A card, in the order a crew needs it: which car, power off, drive, glass,
//! doors, the side frame, its rulers worst first, the sketch, the parts, what
//! nobody has looked at, the history, the evidence.

mod figures;
mod first;
mod page;
mod parts;
mod ruler;
mod span;
mod unseen;

pub use first::{First, Line};
pub use page::{CardPage, show_card, show_style};
pub use parts::{PartRow, parts};
pub use ruler::{RulerRow, best_gap, gap_word, length_of, said_of};
pub use span::{SpanPage, show_card_span, show_style_span};
pub use unseen::{UnseenRow, unseen};
