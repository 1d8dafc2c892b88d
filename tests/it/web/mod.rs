//! Pages, asked of the router itself: no port, no sleep.

mod details;
mod findings;
mod measurements;
mod site;
mod strip;
