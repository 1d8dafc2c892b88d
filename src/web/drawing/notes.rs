//! Notes of a card as its drawings show them, and a touch on a drawing as a
//! place on its picture.

use super::{Wanted, options};
use crate::domain::annotation::{Picture, Spot, Standing, Target};
use crate::domain::card::Card;
use crate::sketch::{self, NoteMark, Options, View};
use crate::web::notes::words;
use crate::web::reading::Reading;

/// What a note that is being written is called on its drawing.
const HERE: &str = "here";

/// The notes that show, each with what a drawing's key says of it.
pub fn marks(card: &Card) -> Vec<NoteMark> {
    let shown = card.annotations.iter().filter(|a| a.shows());
    let mark = |a: &crate::domain::annotation::Annotation| NoteMark {
        id: a.note.id.clone(),
        target: a.target.clone(),
        offered: a.note.standing == Standing::Offered,
        said: words::on_a_drawing(&a.note),
    };
    shown.map(mark).collect()
}

/// What one drawing is wanted with.
pub(super) fn wanted(card: &Card, wanted: Wanted) -> Vec<NoteMark> {
    let mut notes = match wanted.notes {
        true => marks(card),
        false => Vec::new(),
    };
    notes.extend(being_written(wanted));
    notes
}

/// Where a note that is being written would be.
fn being_written(wanted: Wanted) -> Option<NoteMark> {
    let picture = Picture::from_word(wanted.view.word())?;
    let mm = |spot: [i32; 2]| spot.map(f64::from);
    let (target, said) = match (wanted.pin?, wanted.tail) {
        (head, Some(tail)) => {
            let target = Target::Arrow {
                picture,
                from_mm: mm(tail),
                to_mm: mm(head),
                label: String::new(),
            };
            (target, "the arrow, not saved yet")
        }
        (at, None) => {
            let at_mm = mm(at);
            let target = Target::Place { picture, at_mm };
            (target, "the place, not saved yet")
        }
    };
    Some(NoteMark {
        id: HERE.to_owned(),
        target,
        offered: true,
        said: said.to_owned(),
    })
}

/// The place on the picture under a touch, in user units of the drawing.
pub fn spot_touched(reading: &Reading, picture: Picture, at: (f64, f64)) -> Option<Spot> {
    let view = View::from_word(picture.word())?;
    let title = reading.title();
    // As the drawing that was touched: on its wheels, with its title.
    let options = Options {
        cautions: true,
        ..options(reading, &title)
    };
    let found = sketch::spot_at(&reading.zones, &reading.body, view, &options, at);
    found.map(|(_, spot)| spot)
}
