//! How a drawing is asked for, on a page, alone and over the API: the same
//! words, the same checks. What is left out is the left frame of a car on its
//! wheels, in light.

use crate::contract::{FieldError, Path as FieldPath};
use crate::sketch::png::WIDTHS;
use crate::sketch::{Look, Turn, View};
use serde_json::Value;

/// Width of a picture unless asked otherwise, in pixels.
const WIDTH_PX: u32 = 1080;

/// A drawing as understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    pub view: View,
    pub look: Look,
    pub turn: Turn,
    pub flip: bool,
    /// Of a picture; a drawing in SVG has none.
    pub width_px: u32,
}

impl Wanted {
    /// Reads a query.
    ///
    /// # Errors
    /// Every parameter that cannot be accepted.
    pub fn of(query: &[(String, String)]) -> Result<Self, Vec<FieldError>> {
        let mut errors = Vec::new();
        let mut choice = |name: &str, words: &[&str]| {
            let (_, given) = query
                .iter()
                .find(|(n, text)| n == name && !text.is_empty())?;
            let found = words.iter().position(|word| word == given);
            if found.is_none() {
                errors.push(refused(name, words.join(", "), given));
            }
            found
        };
        let views: Vec<&str> = View::ALL.iter().map(|view| view.word()).collect();
        let turns: Vec<&str> = Turn::ALL.iter().map(|turn| turn.word()).collect();
        let looks: Vec<&str> = Look::ALL.iter().map(|look| look.word()).collect();
        let view = choice("view", &views);
        let look = choice("look", &looks);
        let turn = choice("turn", &turns);
        let flip = choice("flip", &["no", "yes"]);
        let width_px = read_width(query, &mut errors);
        if !errors.is_empty() {
            return Err(errors);
        }
        Ok(Self {
            view: view.map_or(View::FrameLeft, |at| View::ALL[at]),
            look: look.map_or(Look::Light, |at| Look::ALL[at]),
            turn: turn.map_or(Turn::None, |at| Turn::ALL[at]),
            flip: flip == Some(1),
            width_px,
        })
    }

    /// The name a drawing in SVG is kept under.
    pub fn named(self, page: &str) -> String {
        let Self {
            view, turn, flip, ..
        } = self;
        format!("{page} {view} {turn} {flip} {}", self.look.word())
    }
}

fn read_width(query: &[(String, String)], errors: &mut Vec<FieldError>) -> u32 {
    let width = query
        .iter()
        .find(|(name, text)| name == "width" && !text.is_empty());
    let Some((_, given)) = width else {
        return WIDTH_PX;
    };
    let width_px = given.parse().ok().filter(|width| WIDTHS.contains(width));
    if width_px.is_none() {
        let accepted = format!("pixels from {} to {}", WIDTHS.start(), WIDTHS.end());
        errors.push(refused("width", accepted, given));
    }
    width_px.unwrap_or(WIDTH_PX)
}

/// A parameter that is not offered, with what is.
pub fn refused(name: &str, accepted: String, given: &str) -> FieldError {
    let path = FieldPath::document().field(name);
    FieldError::new(
        path,
        "this is not offered here",
        accepted,
        Some(&Value::from(given)),
    )
}
