//! Drawings of a card: inline in pages, on a page of their own, and alone.

mod notes;
mod page;
mod policy;
mod wanted;

pub use notes::{marks, spot_touched};
pub use page::{alone, show_card_drawing, show_card_sketch, show_style_drawing, show_style_sketch};
pub use policy::policy;
pub use wanted::{Wanted, refused};

use super::figures::{self, First};
use super::reading::Reading;
use crate::domain::frame::Side;
use crate::domain::zone::SpanZones;
use crate::sketch::{self, Options, View, scene::Scene, svg};

/// The side frame of one side, its bars leading to their rulers.
pub fn frame(reading: &Reading, side: Side) -> String {
    let links = reading.link("/spans/{span}");
    let title = reading.title();
    let options = Options {
        links: Some(&links),
        ..options(reading, &title)
    };
    svg::write_inline(&sketch::side_frame(&reading.zones, side, &options))
}

/// Both side frames for one sheet. The left one has the members across the car
/// too; the right one carries the key and the cautions for both.
pub fn frames_on_a_sheet(reading: &Reading, with_notes: bool) -> [String; 2] {
    let title = reading.title();
    let mut right = reading.zones.clone();
    right.spans.retain(|s| s.side == Side::Right);
    let notes = match with_notes {
        true => marks(&reading.card),
        false => Vec::new(),
    };
    let options = Options {
        notes: &notes,
        ..options(reading, &title)
    };
    let left = Options {
        beside_another: true,
        ..options.clone()
    };
    let mut frames = [
        sketch::side_frame(&reading.zones, Side::Left, &left),
        sketch::side_frame(&right, Side::Right, &options),
    ];
    // Of one height, both come out in one scale.
    let tallest = frames.iter().map(|f| f.height).fold(0.0, f64::max);
    frames.each_mut().map(|frame| {
        frame.height = tallest;
        svg::write_inline(&frame.snapped().ruled())
    })
}

/// One span's ruler. The page names the car and carries the cautions beside it.
pub fn ruler(reading: &Reading, span: &SpanZones) -> String {
    let options = Options {
        title: None,
        ..options(reading, "")
    };
    svg::write_inline(&sketch::ruler(&reading.zones, span, &options))
}

/// Any view, turned and flipped to how the car lies.
pub fn view(reading: &Reading, wanted: Wanted, links: Option<&str>) -> Scene {
    let title = reading.title();
    let notes = notes::wanted(&reading.card, wanted);
    let options = Options {
        notes: &notes,
        look: wanted.look,
        links,
        touch: links.is_some(),
        turn: wanted.turn,
        flip: wanted.flip,
        cautions: true,
        ..options(reading, &title)
    };
    sketch::draw(&reading.zones, &reading.body, wanted.view, &options)
}

/// What every drawing of a reading says: which car, which variant, as of when.
pub fn options<'a>(reading: &'a Reading, title: &'a str) -> Options<'a> {
    Options {
        title: Some(title),
        inches: figures::first() == First::Inches,
        variant: reading.said_variant.as_deref(),
        date: reading.stand.as_ref().map(|s| s.date),
        revision: reading
            .stand
            .as_ref()
            .and_then(|s| u64::try_from(s.revision).ok()),
        generic: reading.is_generic(),
        fitted: reading.body.fitted,
        ..Options::default()
    }
}

/// The view's name on a switch.
pub const fn view_name(view: View) -> &'static str {
    match view {
        View::FrameLeft => "Left frame",
        View::FrameRight => "Right frame",
        View::Left => "Left side",
        View::Right => "Right side",
        View::Top => "From above",
        View::Front => "From the front",
    }
}
