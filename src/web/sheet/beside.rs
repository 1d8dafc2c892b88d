//! What of a card's notes no line of words holds: arrows and places on pictures of
//! the car, and photos. They are printed on further sides.

use super::asked::NotesAsked;
use crate::domain::annotation::{Annotation, Photo, Picture, Remark};
use crate::sketch::{View, svg};
use crate::web::drawing::{self, Wanted};
use crate::web::notes::words as note_words;
use crate::web::reading::Reading;

/// Pictures and photos for which one side has room.
const PICTURES_OF_A_SIDE: usize = 2;
const PHOTOS_OF_A_SIDE: usize = 6;

/// What stands on one further side; each names the card and carries its cautions.
pub enum FurtherSide {
    /// Notes in words for which the first sheet has no room.
    Lines(Vec<String>),
    Pictures(Vec<String>),
    Photos(Vec<PrintedPhoto>),
}

/// A photo as it is printed.
pub struct PrintedPhoto {
    pub href: String,
    pub alt: String,
    pub width_px: u32,
    pub height_px: u32,
    /// The note or reply it hangs on.
    pub of: String,
    pub signed: String,
}

/// The further sides: `lines` are notes without room elsewhere; `photos` is the
/// address below which photos are.
pub fn sides(
    reading: &Reading,
    asked: NotesAsked,
    lines: Vec<String>,
    photos: &str,
) -> Vec<FurtherSide> {
    let mut sides = Vec::new();
    if !lines.is_empty() {
        sides.push(FurtherSide::Lines(lines));
    }
    if asked == NotesAsked::Show {
        let pictures = in_sides(pictures(reading), PICTURES_OF_A_SIDE);
        sides.extend(pictures.map(FurtherSide::Pictures));
        let photos = in_sides(printed(reading, photos), PHOTOS_OF_A_SIDE);
        sides.extend(photos.map(FurtherSide::Photos));
    }
    sides
}

fn in_sides<T>(all: Vec<T>, room: usize) -> impl Iterator<Item = Vec<T>> {
    let mut rest = all.into_iter();
    std::iter::from_fn(move || {
        let side: Vec<T> = rest.by_ref().take(room).collect();
        (!side.is_empty()).then_some(side)
    })
}

/// The pictures that a note which shows is put on, each drawn once.
fn pictures(reading: &Reading) -> Vec<String> {
    let is_on = |picture: &Picture| {
        let mut shown = reading.card.annotations.iter().filter(|a| a.shows());
        shown.any(|a| a.target.picture() == Some(*picture))
    };
    let on = Picture::ALL.iter().filter(|p| is_on(p));
    let views = on.filter_map(|picture| View::from_word(picture.word()));
    let draw = |view| {
        let scene = drawing::view(reading, Wanted::plain(view), None);
        svg::write_inline(&scene.snapped().ruled())
    };
    views.map(draw).collect()
}

fn printed(reading: &Reading, photos: &str) -> Vec<PrintedPhoto> {
    let remarks = reading.card.annotations.iter();
    let remarks = remarks.flat_map(Annotation::shown_remarks);
    let of = |remark: &Remark| -> Vec<PrintedPhoto> {
        let photo = |p: &Photo| PrintedPhoto {
            href: format!("{photos}/{}", p.name),
            alt: p.alt.clone(),
            width_px: p.width_px,
            height_px: p.height_px,
            of: remark.id.clone(),
            signed: note_words::signed(remark),
        };
        remark.photos.iter().map(photo).collect()
    };
    remarks.flat_map(of).collect()
}
