//! The JSON that files, the API and the command line share, with its field
//! checks: to the domain and back.
//!
//! - [`card_file`] `pillarbook-card/1`: reading names every invalid field.
//! - [`from_file`] from the text of a card file to its zones.
//! - [`zones`] `pillarbook-zones/1`.
//! - [`archive`] `pillarbook-archive/1`: card files and what belongs to them.
//! - [`table`] findings from a spreadsheet, one a row.
//! - [`plan`] an ask, a department's own openings, and the plan.
//! - [`field_error`] the one shape of what is wrong with a field, [`problem`]
//!   the document that carries them (RFC 9457).

pub mod archive;
pub mod body_style;
pub mod card_file;
mod day;
pub mod field_error;
mod figure;
pub mod from_file;
mod json;
mod locate;
pub mod notes;
pub mod path;
pub mod plan;
pub mod problem;
mod reader;
pub mod status_change;
pub mod table;
pub mod variant;
mod words;
pub mod zone_error;
pub mod zones;

pub use field_error::FieldError;
pub use from_file::{FileZones, zones_of_file};
pub use path::Path;
pub use problem::Problem;
pub use zone_error::zone_errors;
pub use zones::ZonesFile;
