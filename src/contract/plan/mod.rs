//! The plan document: what is asked, what a department has set, and the answer.
//!
//! - [`request`] from the text of `{"card": …, "ask": …}`, or a card and an ask
//!   apart, to a plan: what the command line and the API do alike.
//! - `ask` reads an ask; `department` a department's own openings and rules.
//! - `view` and `asked` are the answer.

mod ask;
mod asked;
mod department;
pub mod request;
mod view;

pub use asked::AskFile;
pub use department::{DepartmentFile, settings_of_text};
pub use request::{
    AskError, AskRequestFile, PlanRequestFile, ask_of_request, ask_of_text, plan_of_ask,
    plan_of_text,
};
pub use view::PlanFile;
