//! Pillarbook: where restraint-system parts sit behind a vehicle's trim, and
//! where along each pillar, rail and sill a blade may and may not go.
//!
//! The map, from the inside out; nothing points back:
//!
//! - [`domain`] the words and the mathematics. No HTTP, no SQL, no files, no
//!   clock, no randomness.
//! - [`contract`] the JSON that files, the API and the command line share, with
//!   its field checks.
//! - [`sketch`] a card's zones as a scene, and the scene as SVG or PNG.
//! - [`photo`] photos as they are taken in: pixels alone pass.
//! - [`store`] departments, cards, findings, revisions, audit; all SQL.
//! - [`demo`] an invented county to look around in.
//! - [`web`] pages and `/api/v1`.
//! - [`cli`] one file a command.
//! - [`config`] what can be set from outside.
//! - [`secret`] what is drawn at random: sessions, links, keys.

pub mod cli;
pub mod config;
pub mod contract;
pub mod demo;
pub mod domain;
pub mod photo;
pub mod secret;
pub mod sketch;
pub mod store;
pub mod web;
