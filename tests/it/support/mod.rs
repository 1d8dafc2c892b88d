//! What several areas of the tests share.

pub mod authenticator;
pub mod card_file;
pub mod cards;
