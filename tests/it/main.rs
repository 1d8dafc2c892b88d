//! One test binary; a folder an area.

mod api;
mod architecture;
mod cli;
mod contract;
mod core;
mod demo;
mod opening;
mod photo;
mod properties;
mod reference;
mod security;
mod sketch;
mod store;
mod support;
mod web;
