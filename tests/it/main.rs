//! One test binary; a folder an area.

mod architecture;
mod contract;
mod core;
mod reference;
mod store;
mod support;
