//! What a department's plans stand on: its tools, the order rules it has switched
//! off, its own openings.

mod page;
mod read;

pub use page::{change_department, show_department};
