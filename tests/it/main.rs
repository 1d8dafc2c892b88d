//! One test binary; a folder an area.

mod core;
