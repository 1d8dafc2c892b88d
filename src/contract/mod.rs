//! The JSON that files, the API and the command line share, with its field
//! checks: to the domain and back.
//!
//! - [`card_file`] `pillarbook-card/1`: reading names every invalid field.
//! - [`field_error`] the one shape of what is wrong with a field.

pub mod card_file;
mod day;
pub mod field_error;
mod json;
mod locate;
pub mod path;
mod reader;
mod words;

pub use field_error::FieldError;
pub use path::Path;
