//! The plan document: what is asked, what a department has set, and the answer.
//!
//! - [`request`] from the text of `{"card": …, "ask": …}`, or a card and an ask
//!   apart, to a plan: what the command line and the API do alike.
//! - `ask` reads an ask; `department` a department's own openings and rules;
//!   `tools` those of either.
//! - `view` and `asked` are the answer.

mod ask;
mod asked;
mod department;
pub mod request;
mod step_place;
mod tools;
mod view;

pub use asked::AskFile;
pub use department::{DepartmentFile, settings_of_text};
pub use request::{
    AskError, AskRequestFile, PlanRequestFile, ask_of_request, ask_of_text, plan_of_ask,
    plan_of_text,
};
pub use tools::{ToolsFile, tools_of_text};
pub use view::PlanFile;

use super::reader::Field;

/// Items of any list.
const MOST_ITEMS: usize = 100;

/// The items of a list, refused as a whole when there are too many.
fn bounded<'a>(list: &Field<'a>) -> Vec<Field<'a>> {
    let items = list.items();
    if items.len() > MOST_ITEMS {
        let message = format!("{} items are too many", items.len());
        list.refuse(message, format!("at most {MOST_ITEMS} items"));
        return Vec::new();
    }
    items
}
