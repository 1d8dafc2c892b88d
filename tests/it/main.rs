//! One test binary; a folder an area.

mod contract;
mod core;
