//! Photos of notes in an archive: read out of their place for one that is sent,
//! and taken in under names drawn here for one that comes.

use crate::contract::archive::{Archive, Contents, photo_file};
use crate::domain::annotation::{Annotation, Photo};
use crate::photo;
use crate::secret;
use crate::store::{Incoming, PhotoFiles, PhotoFilesError, PhotoSize};
use crate::web::notes::taking;
use std::collections::BTreeSet;

/// Photos that one request takes in: each is decoded, which takes its time.
pub const MOST_AT_ONCE: usize = 100;
/// Characters of a name that the program draws: 128 bits in hex.
const NAME_LENGTH: usize = 32;

/// Puts the photos of every note into an archive's contents.
///
/// # Errors
/// Where the place of photos does not answer.
pub async fn gather(photos: &PhotoFiles, contents: &mut Contents) -> Result<(), PhotoFilesError> {
    let annotations = contents.cards.iter().flat_map(|c| &c.card.annotations);
    let names: BTreeSet<String> = photos_of(annotations).map(|p| p.name.clone()).collect();
    for name in names {
        // A photo that was removed leaves its name.
        if let Some(bytes) = photos.read(&name, PhotoSize::Full).await? {
            contents.files.insert(photo_file(&name), bytes.to_vec());
        }
    }
    Ok(())
}

fn photos_of<'a>(
    annotations: impl Iterator<Item = &'a Annotation>,
) -> impl Iterator<Item = &'a Photo> {
    annotations
        .flat_map(Annotation::remarks)
        .flat_map(|remark| &remark.photos)
}

/// How many photos the new cards of an archive bring.
pub fn count(archive: &Archive, incoming: &[Incoming]) -> usize {
    let new = incoming.iter().filter(|one| one.here.is_none());
    photos_of(new.flat_map(|one| &one.archived.card.annotations))
        .filter(|photo| archive.files.contains_key(&photo_file(&photo.name)))
        .count()
}

/// Keeps the photos of an archive's new cards and gives their notes the names they
/// are kept under. What is no photo is left behind.
///
/// # Errors
/// Where the place of photos does not answer; nothing is left there.
pub async fn bring(
    photos: &PhotoFiles,
    archive: &Archive,
    incoming: &mut [Incoming],
) -> Result<BTreeSet<String>, PhotoFilesError> {
    let mut kept = BTreeSet::new();
    for one in incoming.iter_mut().filter(|one| one.here.is_none()) {
        for annotation in &mut one.archived.card.annotations {
            let replies = annotation.replies.iter_mut();
            for remark in std::iter::once(&mut annotation.note).chain(replies) {
                let names = draw_names(remark.photos.len());
                for (photo, name) in remark.photos.iter_mut().zip(names) {
                    match keep(photos, archive, photo, name).await {
                        Ok(true) => drop(kept.insert(photo.name.clone())),
                        Ok(false) => {}
                        Err(error) => {
                            forget(photos, &kept).await;
                            return Err(error);
                        }
                    }
                }
            }
        }
    }
    Ok(kept)
}

/// Names for the photos of one remark. In order, since photos that came together
/// are shown by name: so they stay in the order they had.
fn draw_names(count: usize) -> Vec<String> {
    let draw = || {
        let mut name = secret::draw();
        name.truncate(NAME_LENGTH);
        name
    };
    let mut names: Vec<String> = std::iter::repeat_with(draw).take(count).collect();
    names.sort();
    names
}

/// Keeps one photo; its name becomes the one it is kept under. Whether there was
/// one to keep.
async fn keep(
    photos: &PhotoFiles,
    archive: &Archive,
    photo: &mut Photo,
    name: String,
) -> Result<bool, PhotoFilesError> {
    let file = photo_file(&photo.name);
    photo.name = name;
    let Some(bytes) = archive.files.get(&file).cloned() else {
        return Ok(false);
    };
    let taken = taking(move || photo::take_again(&bytes)).await;
    let Ok(Ok(taken)) = taken else {
        return Ok(false);
    };
    (photo.width_px, photo.height_px) = (taken.width_px, taken.height_px);
    photos
        .keep(&photo.name, taken.full.into(), taken.small.into())
        .await?;
    Ok(true)
}

/// Removes photos that no card came to hold.
pub async fn forget(photos: &PhotoFiles, kept: &BTreeSet<String>) {
    for name in kept {
        if let Err(error) = photos.remove(name).await {
            tracing::warn!(error = %error, "a photo of no note stays behind");
        }
    }
}
