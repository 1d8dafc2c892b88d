//! Openings: checking a planned way in against the zones, cut by cut.
//!
//! [`template`] is the form of an opening as data (the catalogue's, and a
//! department's own); an opening made for one car and one side is a list of
//! [`step`]s; what a crew asks is an [`ask`], the answer a [`result`].

pub mod ask;
pub mod catalogue;
pub mod check;
pub mod contradiction;
pub mod designation;
pub mod expand;
pub mod order;
pub mod panel;
pub mod place;
#[cfg(test)]
mod place_tests;
pub mod plan;
pub mod restraint;
pub mod result;
pub mod room;
pub mod steel;
pub mod step;
pub mod template;
pub mod tool;
#[cfg(test)]
mod tool_tests;

pub use ask::*;
pub use contradiction::{Contradiction, contradictions};
pub use designation::{Designation, DesignationError};
pub use result::*;
pub use tool::{Tool, ToolError};
