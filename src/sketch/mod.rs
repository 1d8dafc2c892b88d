//! A card as a scene, and the scene as SVG or PNG.
//!
//! - [`draw`] and [`ruler`] resolve zones into a [`scene::Scene`];
//! - [`svg`] writes it as a file of its own or inline in a page, [`png`] as a
//!   picture;
//! - [`look`] holds the colours and the style sheet, [`mark`] what is drawn by
//!   its meaning, [`text`] how wide words are.
//!
//! The side frame and the rulers lead; the picture of the car supports them.

mod bar;
mod caution;
pub mod figures;
mod frame;
pub mod look;
pub mod mark;
mod name;
pub mod note;
pub mod place;
pub mod png;
mod ruler;
mod ruling;
pub mod scene;
mod strip;
pub mod svg;
pub mod text;
mod view;
mod working;

use crate::domain::body::FittedBody;
use crate::domain::frame::Side;
use crate::domain::vehicle::words;
use crate::domain::zone::{SpanZones, Zones};
pub use caution::CAUTIONS;
pub use look::{Look, page_style_sheet};
pub use note::NoteMark;
use scene::Scene;
pub use view::{Person, Room, Who, spot_at};
pub use working::{Doing, Work};

words! {
    /// What a sketch shows.
    View {
        FrameLeft = "frame-left", FrameRight = "frame-right",
        Left = "left", Right = "right", Top = "top", Front = "front",
    }
}

words! {
    /// How far a view is turned, clockwise, to how the car lies.
    Turn { None = "0", Quarter = "90", Half = "180", ThreeQuarters = "270" }
}

/// What a sketch says besides the zones.
#[derive(Debug, Clone, Default)]
pub struct Options<'a> {
    pub look: Look,
    /// The car in words; written as given, shortened where it has no room.
    pub title: Option<&'a str>,
    /// The variant asked for, in words; `None` for the card's own.
    pub variant: Option<&'a str>,
    /// The day the zones stand for.
    pub date: Option<time::Date>,
    /// The card's revision; `None` for a bare file.
    pub revision: Option<u64>,
    /// Where a touch on a bar leads; `{span}` stands for the span's id.
    pub links: Option<&'a str>,
    /// No card stands behind it: the template of a body style.
    pub generic: bool,
    /// At least one dimension of this car was measured.
    pub fitted: bool,
    /// Views only.
    pub turn: Turn,
    /// Views only: mirrored, after the turn, for a car on its roof or side.
    pub flip: bool,
    /// A ruler carries the cautions itself; a page that shows them beside it
    /// may leave them out. Frames and views always carry them.
    pub cautions: bool,
    /// Figures of a frame in inches; rulers have both in any case.
    pub inches: bool,
    /// Rulers and views: the drawing carries its spans' stations, so that a page
    /// can tell where it was touched.
    pub touch: bool,
    /// What a plan does, drawn over the zones with its steps' numbers.
    pub works: &'a [Work],
    /// Views only: room to keep from bags that may still fire.
    pub rooms: &'a [Room],
    /// Views only: where patient and caregiver are.
    pub people: &'a [Person],
    /// Notes beside the card, where each is on the drawing; none where a plan is drawn.
    pub notes: &'a [NoteMark],
    /// A frame that stands beside another on one sheet leaves key and cautions
    /// to that one.
    pub beside_another: bool,
}

#[expect(
    clippy::derivable_impls,
    reason = "the words macro declares the variants"
)]
impl Default for Turn {
    fn default() -> Self {
        Self::None
    }
}

/// One view of a card.
pub fn draw(zones: &Zones, body: &FittedBody, view: View, options: &Options) -> Scene {
    match view {
        View::FrameLeft => side_frame(zones, Side::Left, options),
        View::FrameRight => side_frame(zones, Side::Right, options),
        View::Left | View::Right | View::Top | View::Front => {
            view::draw(zones, body, view, options)
        }
    }
}

/// The bars of one side put together as they stand.
pub fn side_frame(zones: &Zones, side: Side, options: &Options) -> Scene {
    frame::draw(zones, side, options)
}

/// One span straightened into a large bar, with its figures from both ends.
pub fn ruler(zones: &Zones, span: &SpanZones, options: &Options) -> Scene {
    ruler::draw(zones, span, options)
}

/// One span as a short bar, with what a plan does on it.
pub fn strip(zones: &Zones, span: &SpanZones, options: &Options) -> Scene {
    strip::draw(zones, span, options)
}
