//! Notes as the pages show them.

use super::acts::{Way, ways};
use super::words;
use crate::domain::annotation::{Annotation, Asker, Remark, Standing};
use crate::domain::role::Roles;
use crate::store::StoredCard;
use crate::web::say;
use std::collections::BTreeSet;

/// A note or a reply.
pub struct RemarkRow {
    pub id: String,
    pub text: String,
    pub signed: String,
    /// Said of where it stands, unless it simply stands.
    pub flag: Option<&'static str>,
    pub offered: bool,
    pub settled: Option<String>,
    pub photos: Vec<PhotoRow>,
    /// What who looks may do with it.
    pub ways: Vec<Way>,
    /// Whether who looks wrote it.
    pub own: bool,
}

/// A note with its replies.
pub struct NoteRow {
    pub note: RemarkRow,
    pub about: String,
    pub href: String,
    /// Where it is drawn.
    pub sketch: Option<String>,
    pub replies: Vec<RemarkRow>,
}

pub struct PhotoRow {
    pub name: String,
    pub alt: String,
    pub href: String,
}

/// Who looks at a card's notes.
pub struct Viewer<'a> {
    /// Ids of the remarks they wrote.
    pub own: BTreeSet<String>,
    /// What they may do in the card's department; nothing in another's.
    pub roles: &'a Roles,
    /// Whether the card is their department's.
    pub at_home: bool,
}

impl Viewer<'_> {
    /// What was never accepted, or was taken back, is for its department and
    /// for who wrote it.
    pub fn sees(&self, remark: &Remark) -> bool {
        remark.standing.is_for_all() || self.at_home || self.own.contains(&remark.id)
    }
}

fn flag(standing: Standing) -> Option<&'static str> {
    (standing != Standing::Open).then(|| standing.word())
}

impl RemarkRow {
    fn of(remark: &Remark, is_reply: bool, card: &str, viewer: &Viewer<'_>) -> Self {
        let own = viewer.own.contains(&remark.id);
        let asker = Asker {
            is_author: own,
            roles: viewer.roles,
        };
        let photo = |p: &crate::domain::annotation::Photo| PhotoRow {
            name: p.name.clone(),
            alt: p.alt.clone(),
            href: format!("/cards/{card}/photos/{}", p.name),
        };
        Self {
            id: remark.id.clone(),
            text: remark.text.clone(),
            signed: words::signed(remark),
            flag: flag(remark.standing),
            offered: remark.standing == Standing::Offered,
            settled: remark.settled.as_ref().map(|s| {
                let reason = s
                    .reason
                    .as_ref()
                    .map_or(String::new(), |r| format!(": {r}"));
                let done = match remark.standing {
                    Standing::Open => "opened",
                    standing => standing.word(),
                };
                format!("{done} by {} on {}{reason}", s.by, say::day(s.on))
            }),
            photos: remark.photos.iter().map(photo).collect(),
            ways: ways(remark, is_reply, asker),
            own,
        }
    }
}

impl NoteRow {
    pub fn of(annotation: &Annotation, stored: &StoredCard, viewer: &Viewer<'_>) -> Self {
        let card = stored.id.as_str();
        let note = &annotation.note;
        let picture = annotation.target.picture();
        let sketch = picture.filter(|_| annotation.shows());
        let replies = annotation.replies.iter().filter(|r| viewer.sees(r));
        Self {
            about: words::about(&annotation.target, &stored.card),
            href: format!("/cards/{card}/notes/{}", note.id),
            sketch: sketch.map(|p| format!("/cards/{card}/sketch/{p}")),
            note: RemarkRow::of(note, false, card, viewer),
            replies: replies
                .map(|r| RemarkRow::of(r, true, card, viewer))
                .collect(),
        }
    }
}
