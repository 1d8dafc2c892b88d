//! Pages and `/api/v1`.
//!
//! [`routes`] is the table of contents: every address and what answers it. A
//! request passes [`boundary`] (id, log line, headers, the error page), then
//! [`origin`] (no other site's page), [`who`] (who asks, and whether they may),
//! then its handler. Each feature
//! has a folder with its page structs, queries and handlers side by side; its
//! templates stand under `templates/<feature>/`.

pub mod api;
pub mod archive;
pub mod asset;
pub mod audit;
pub mod boundary;
pub mod card;
pub mod department;
mod details;
pub mod drawing;
pub mod error;
pub mod figures;
pub mod find;
pub mod findings;
pub mod form;
pub mod health;
pub mod history;
pub mod keys;
pub mod leaving;
pub mod lineage;
pub mod measurements;
pub mod metrics;
pub mod no_cut_table;
mod notes;
pub mod origin;
pub mod own_card;
pub mod page_cache;
pub mod passkeys;
pub mod people;
pub mod plan;
pub mod reading;
mod review;
pub mod routes;
pub mod say;
pub mod server;
pub mod set_up;
pub mod sharing;
pub mod sheet;
pub mod sign_in;
pub mod site;
mod spreadsheet;
pub mod state;
pub mod strip;
pub mod typed;
pub mod variant;
mod waiting;
pub mod who;

pub use error::AppError;
pub use routes::router;
pub use server::{ServeError, bind, serve};
pub use state::{AppState, Service};
