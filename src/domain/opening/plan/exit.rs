//! The fastest way out from each step of an opening: what has been opened by
//! then, else the immediate way.

use crate::domain::frame::Side;

/// What is open after some steps, in words, and by which step.
#[derive(Debug, Clone, Default)]
pub struct Opened(Option<(usize, String)>);

impl Opened {
    /// Step `n` opens `what`; the latest counts.
    pub fn by(&mut self, n: usize, what: &str) {
        self.0 = Some((n, what.to_owned()));
    }

    /// The fastest way out now. `immediate`: the immediate way in words, if it is
    /// another opening than this one.
    pub fn now(&self, immediate: Option<&str>) -> String {
        match (&self.0, immediate) {
            (Some((n, what)), _) => format!("{what}, open since step {n}"),
            (None, Some(way)) => format!("nothing is open yet; quickest: {way}"),
            (None, None) => "nothing is open yet; this is the quickest way".to_owned(),
        }
    }
}

/// An opening and its side in words.
pub fn way(name: &str, side: Option<Side>) -> String {
    match side {
        Some(Side::Left) => format!("{name}, left"),
        Some(Side::Right) => format!("{name}, right"),
        Some(Side::Centre) | None => name.to_owned(),
    }
}
