//! How a sheet is asked for: its paper, and how much of the notes is on it.

use crate::contract::variant::query_of_variant;
use crate::domain::annotation::Annotation;
use crate::domain::vehicle::words;
use crate::web::error::AppError;
use crate::web::reading::Reading;
use crate::web::variant::value_of;

words! {
    /// The paper it is for.
    Paper { A4 = "a4", Letter = "letter" }
}

words! {
    /// How much of the notes is printed.
    NotesAsked {
        Show = "show",
        /* without arrows and photos: no further sheet */
        Words = "words",
        Hide = "hide",
    }
}

/// A sheet as it was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetAsked {
    pub paper: Paper,
    pub notes: NotesAsked,
}

/// The same sheet, asked for otherwise; from its own address.
pub struct Way {
    pub href: String,
    pub name: &'static str,
}

impl SheetAsked {
    /// Reads a query; what is left out is A4 with all notes.
    ///
    /// # Errors
    /// What would be accepted.
    pub fn of(query: &[(String, String)]) -> Result<Self, AppError> {
        let paper = Paper::from_word(value_of(query, "paper").unwrap_or("a4"));
        let notes = NotesAsked::from_word(value_of(query, "notes").unwrap_or("show"));
        let refused = |said: &str| AppError::BadRequest(said.to_owned());
        Ok(Self {
            paper: paper.ok_or_else(|| refused("paper: accepted are a4, letter."))?,
            notes: notes.ok_or_else(|| refused("notes: accepted are show, words, hide."))?,
        })
    }

    fn way(self, reading: &Reading, name: &'static str) -> Way {
        let variant = query_of_variant(&reading.variant);
        let join = if variant.is_empty() { "" } else { "&" };
        Way {
            href: format!("{}{join}{variant}", self.query()),
            name,
        }
    }

    /// The query that asks for it, from `?` on.
    pub fn query(self) -> String {
        let notes = match self.notes {
            NotesAsked::Show => "",
            NotesAsked::Words => "&notes=words",
            NotesAsked::Hide => "&notes=hide",
        };
        format!("?paper={}{notes}", self.paper)
    }

    /// The other paper, and more of the notes or less where there are any.
    pub fn ways(self, reading: &Reading) -> Vec<Way> {
        let (paper, name) = match self.paper {
            Paper::A4 => (Paper::Letter, "Letter"),
            Paper::Letter => (Paper::A4, "A4"),
        };
        let other_paper = Self { paper, ..self }.way(reading, name);
        let notes = offered(reading).iter().filter(|(n, _)| *n != self.notes);
        let of_notes = notes.map(|(notes, name)| {
            let notes = *notes;
            Self { notes, ..self }.way(reading, name)
        });
        std::iter::once(other_paper).chain(of_notes).collect()
    }
}

/// How much of this card's notes can be asked for.
fn offered(reading: &Reading) -> &'static [(NotesAsked, &'static str)] {
    let shown = || reading.card.annotations.iter().filter(|a| a.shows());
    let pictured = |a: &Annotation| {
        a.target.picture().is_some() || a.shown_remarks().any(|r| !r.photos.is_empty())
    };
    const HIDE: (NotesAsked, &str) = (NotesAsked::Hide, "Leave the notes out");
    match (shown().next(), shown().any(pictured)) {
        (None, _) => &[],
        (_, true) => &[
            (NotesAsked::Show, "Print the notes with arrows and photos"),
            (NotesAsked::Words, "Print the notes in words alone"),
            HIDE,
        ],
        // Words are all there is of them.
        (_, false) => &[(NotesAsked::Show, "Print the notes"), HIDE],
    }
}
