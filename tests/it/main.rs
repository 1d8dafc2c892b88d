//! One test binary; a folder an area.

mod architecture;
mod contract;
mod core;
mod demo;
mod reference;
mod store;
mod support;
