//! Sketches: what they say, that nothing lies on anything else, that an
//! independent reader takes them, and that they survive a photocopier.

mod frames;
mod inline;
mod notes;
mod photocopy;
mod sample;
mod views;
mod working;
