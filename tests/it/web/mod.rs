//! Pages, asked of the router itself: no port, no sleep.

mod access;
mod audit;
mod beside;
mod card;
mod department;
mod details;
mod door;
mod everywhere;
mod figures;
mod find;
mod findings;
mod guards;
mod history;
mod inches;
mod kept;
mod keys;
mod measurements;
mod people;
mod plan;
mod reader;
mod sharing;
mod sheet;
mod sign_in;
mod site;
mod strip;
mod variant;
