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
    /// Notes beside the card are drawn.
    pub notes: bool,
    /// Whole mm on the view's picture: where a note that is being written points,
    /// and the tail of its arrow.
    pub pin: Option<[i32; 2]>,
    pub tail: Option<[i32; 2]>,
    /// Of a picture; a drawing in SVG has none.
    pub width_px: u32,
}

impl Wanted {
    /// A view of a car on its wheels, with its notes.
    pub const fn plain(view: View) -> Self {
        Self {
            view,
            look: Look::Light,
            turn: Turn::None,
            flip: false,
            notes: true,
            pin: None,
            tail: None,
            width_px: WIDTH_PX,
        }
    }

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
        let notes = choice("notes", &["show", "hide"]);
        let pin = read_spot(query, "pin", &mut errors);
        let tail = read_spot(query, "tail", &mut errors);
        let width_px = read_width(query, &mut errors);
        if !errors.is_empty() {
            return Err(errors);
        }
        Ok(Self {
            view: view.map_or(View::FrameLeft, |at| View::ALL[at]),
            look: look.map_or(Look::Light, |at| Look::ALL[at]),
            turn: turn.map_or(Turn::None, |at| Turn::ALL[at]),
            flip: flip == Some(1),
            notes: notes != Some(1),
            pin,
            tail,
            width_px,
        })
    }

    /// The name a drawing in SVG is kept under.
    pub fn named(self, page: &str) -> String {
        let Self {
            view,
            turn,
            flip,
            notes,
            pin,
            tail,
            ..
        } = self;
        let look = self.look.word();
        format!("{page} {view} {turn} {flip} {look} {notes} {pin:?} {tail:?}")
    }
}

/// `1200,700`: whole mm on the picture.
fn read_spot(
    query: &[(String, String)],
    name: &str,
    errors: &mut Vec<FieldError>,
) -> Option<[i32; 2]> {
    let (_, given) = query
        .iter()
        .find(|(n, text)| n == name && !text.is_empty())?;
    let spot = given.split_once(',').and_then(|(a, b)| {
        let mm = |text: &str| {
            text.parse()
                .ok()
                .filter(|mm| (-10_000..=10_000).contains(mm))
        };
        Some([mm(a)?, mm(b)?])
    });
    if spot.is_none() {
        let accepted = "two whole numbers of mm, -10000 to 10000, with a comma".to_owned();
        errors.push(refused(name, accepted, given));
    }
    spot
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
