//! `/audit`: who did what when to which card, for officers and keepers. It is
//! read here and in the API, and changed nowhere.

mod file;
mod filter;
mod page;
mod words;

pub use file::download_audit;
pub use filter::{CARD_ID, MEMBER_ID, asked_filter};
pub use page::list_audit;
pub use words::{Names, said};
