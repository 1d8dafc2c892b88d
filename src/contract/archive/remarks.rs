//! What an archived card's notes bring: notes and replies that are new, photos on
//! known ones, and what stands otherwise. A remark is known where the card has one
//! of the same words about the same, by the same person on the same day, under
//! whatever number: nothing noted is ever edited.

use crate::domain::annotation::{Annotation, MOST_PHOTOS, Photo, Remark, Standing, Target};

/// What the notes of an archived card bring.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Remarks {
    /// Notes and replies that the book has already.
    pub known: usize,
    /// New notes with their replies, as the archive has them.
    pub notes: Vec<Annotation>,
    /// New replies, by the number here of the note they answer.
    pub replies: Vec<(String, Remark)>,
    /// New photos, by the number here of the remark they hang on.
    pub photos: Vec<(String, Photo)>,
    /// Photos for which a known remark has no room.
    pub no_room: usize,
    /// Known remarks that stand otherwise there: number here, here, there.
    pub standing: Vec<(String, Standing, Standing)>,
}

/// Remarks as a book takes them in.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Brought {
    pub notes: Vec<Annotation>,
    /// By the number here of the note they answer.
    pub replies: Vec<(String, Remark)>,
    /// By the number here of the remark they hang on.
    pub photos: Vec<(String, Photo)>,
    /// Notes and replies that are not for everybody there, or are about a place or
    /// a finding that the card here does not have.
    pub left_out: usize,
}

impl Remarks {
    /// Compares notes. `gone`: photos that were taken out of the card here, which
    /// come in no more, by the remark they hung on. `finding_here`: the number here
    /// of a finding of the archive.
    pub(super) fn between(
        here: &[Annotation],
        there: &[Annotation],
        gone: &[(String, Photo)],
        finding_here: &dyn Fn(&str) -> Option<String>,
    ) -> Self {
        let mut found = Self::default();
        let mut free: Vec<&Annotation> = here.iter().collect();
        for note in there {
            let target = target_here(&note.target, finding_here);
            let is = |h: &&Annotation| {
                says_same(&h.note, &note.note) && target.as_ref() == Some(&h.target)
            };
            match take(&mut free, is, |h| h.note.id == note.note.id) {
                Some(twin) => found.beside(twin, note, gone),
                None => found.notes.push(note.clone()),
            }
        }
        found
    }

    fn beside(&mut self, here: &Annotation, there: &Annotation, gone: &[(String, Photo)]) {
        self.remark(&here.note, &there.note, gone);
        let mut free: Vec<&Remark> = here.replies.iter().collect();
        for reply in &there.replies {
            match take(&mut free, |h| says_same(h, reply), |h| h.id == reply.id) {
                Some(twin) => self.remark(twin, reply, gone),
                None => self.replies.push((here.note.id.clone(), reply.clone())),
            }
        }
    }

    fn remark(&mut self, here: &Remark, there: &Remark, gone: &[(String, Photo)]) {
        self.known += 1;
        if here.standing != there.standing {
            let stands = (here.id.clone(), here.standing, there.standing);
            self.standing.push(stands);
        }
        let taken_out = gone.iter().filter(|(id, _)| *id == here.id);
        let mut known: Vec<&Photo> = here.photos.iter().collect();
        known.extend(taken_out.map(|(_, photo)| photo));
        let mut room = MOST_PHOTOS.saturating_sub(here.photos.len());
        for photo in &there.photos {
            if take(&mut known, |k| shows_same(k, photo), |_| true).is_some() {
                continue;
            }
            if room == 0 {
                self.no_room += 1;
            } else {
                room -= 1;
                self.photos.push((here.id.clone(), photo.clone()));
            }
        }
    }

    /// Whether there is nothing that could be taken in.
    pub fn is_nothing_new(&self) -> bool {
        self.notes.is_empty() && self.replies.is_empty() && self.photos.is_empty()
    }

    /// New notes and replies.
    pub fn count(&self) -> usize {
        let of_notes = self.notes.iter().flat_map(Annotation::remarks).count();
        of_notes + self.replies.len()
    }

    /// The photos it brings, one remark after another.
    pub fn photos_mut(&mut self) -> impl Iterator<Item = Vec<&mut Photo>> {
        let of_notes = self.notes.iter_mut().flat_map(|noted| {
            let replies = noted.replies.iter_mut();
            std::iter::once(&mut noted.note).chain(replies)
        });
        let of_replies = self.replies.iter_mut().map(|(_, reply)| reply);
        let of_remarks = of_notes.chain(of_replies);
        let hung = self.photos.iter_mut().map(|(_, photo)| photo);
        of_remarks
            .map(|remark| remark.photos.iter_mut().collect())
            .chain(std::iter::once(hung.collect()))
    }

    /// Leaves out the photos that are not kept by it.
    pub fn keep_photos(&mut self, kept: impl Fn(&Photo) -> bool) {
        let replies = self.replies.iter_mut().map(|(_, reply)| reply);
        let notes = self.notes.iter_mut().flat_map(|noted| {
            let replies = noted.replies.iter_mut();
            std::iter::once(&mut noted.note).chain(replies)
        });
        notes.chain(replies).for_each(|r| r.photos.retain(&kept));
        self.photos.retain(|(_, photo)| kept(photo));
    }

    /// As the book takes them in: as offers, those that are for everybody; with
    /// `own` each as it stands there. `finding_here` as in `Self::between`, with
    /// what was just taken in; `fits`: whether the card has what a note is about.
    pub fn brought(
        &self,
        own: bool,
        finding_here: &dyn Fn(&str) -> Option<String>,
        fits: &dyn Fn(&Target) -> bool,
    ) -> Brought {
        let mut all = Brought {
            photos: self.photos.clone(),
            ..Brought::default()
        };
        for noted in &self.notes {
            let target = target_here(&noted.target, finding_here).filter(|t| fits(t));
            let Some((target, note)) = target.zip(taken(&noted.note, own)) else {
                all.left_out += noted.remarks().count();
                continue;
            };
            let replies: Vec<Remark> = noted.replies.iter().filter_map(|r| taken(r, own)).collect();
            all.left_out += noted.replies.len() - replies.len();
            all.notes.push(Annotation {
                target,
                note,
                replies,
            });
        }
        for (to, reply) in &self.replies {
            match taken(reply, own) {
                Some(reply) => all.replies.push((to.clone(), reply)),
                None => all.left_out += 1,
            }
        }
        all
    }
}

fn taken(remark: &Remark, own: bool) -> Option<Remark> {
    if own {
        return Some(remark.clone());
    }
    remark.standing.is_for_all().then(|| Remark {
        standing: Standing::Offered,
        settled: None,
        ..remark.clone()
    })
}

/// What a note is about by the numbers here; `None` where that is a finding the
/// book does not have.
fn target_here(target: &Target, finding_here: &dyn Fn(&str) -> Option<String>) -> Option<Target> {
    match target {
        Target::Finding(id) => finding_here(id).map(Target::Finding),
        other => Some(other.clone()),
    }
}

fn says_same(a: &Remark, b: &Remark) -> bool {
    (&a.text, &a.by, &a.department, a.on) == (&b.text, &b.by, &b.department, b.on)
}

/// The same photo, under whatever name it is kept: by its bytes where they are
/// known of both.
fn shows_same(a: &Photo, b: &Photo) -> bool {
    if let (Some(a), Some(b)) = (&a.sha256, &b.sha256) {
        return a == b;
    }
    (&a.alt, a.width_px, a.height_px) == (&b.alt, b.width_px, b.height_px)
}

/// Takes the one that is meant out of what is left, the preferred one first.
fn take<'a, T>(
    free: &mut Vec<&'a T>,
    is: impl Fn(&&'a T) -> bool,
    prefer: impl Fn(&'a T) -> bool,
) -> Option<&'a T> {
    let preferred = free.iter().position(|one| is(one) && prefer(one));
    let at = preferred.or_else(|| free.iter().position(&is))?;
    Some(free.remove(at))
}
