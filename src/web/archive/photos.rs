//! Photos of notes in an archive: read out of their place for one that is sent,
//! and taken in under names drawn here for one that comes.

use crate::contract::archive::{Archive, Contents, WriteError, Writer, photo_file};
use crate::domain::annotation::{Annotation, Photo};
use crate::photo::{self, PhotoError};
use crate::secret;
use crate::store::{Incoming, PhotoFiles, PhotoFilesError, PhotoSize, Store};
use crate::web::notes::{remove_now, taking};
use std::collections::BTreeSet;
use std::error::Error;
use std::fs::File;
use std::io::Seek;
use time::OffsetDateTime;

/// Characters of a name that the program draws: 128 bits in hex.
const NAME_LENGTH: usize = 32;

/// Why cards are not packed.
#[derive(Debug, thiserror::Error)]
pub enum PackError {
    #[error(transparent)]
    Photos(#[from] PhotoFilesError),
    #[error(transparent)]
    Write(#[from] WriteError),
    #[error("packing stopped")]
    Stopped(#[from] tokio::task::JoinError),
}

/// Packs cards with the photos of their notes into a file of no name, one photo at a
/// time in memory. Gives it at its beginning.
///
/// # Errors
/// It is more than one archive holds, or the place of photos does not answer.
pub async fn pack(photos: &PhotoFiles, contents: Contents) -> Result<File, PackError> {
    let annotations = contents.cards.iter().flat_map(|c| &c.card.annotations);
    let names: BTreeSet<String> = photos_of(annotations).map(|p| p.name.clone()).collect();
    let mut writer = apart(move || {
        let mut writer = Writer::begin(tempfile::tempfile()?, contents.made_at, contents.origin);
        let mut cards = contents.cards.iter();
        cards.try_for_each(|card| writer.card(card))?;
        Ok(writer)
    })
    .await?;
    for name in names {
        // A photo that was removed leaves its name.
        if let Some(bytes) = photos.read(&name, PhotoSize::Full).await? {
            writer = apart(move || {
                writer.file(&photo_file(&name), &bytes)?;
                Ok(writer)
            })
            .await?;
        }
    }
    apart(move || {
        let mut file = writer.finish()?;
        file.rewind()?;
        Ok(file)
    })
    .await
}

/// Packs and writes on a thread that answers nobody.
async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, WriteError> + Send + 'static,
) -> Result<T, PackError> {
    Ok(tokio::task::spawn_blocking(work).await??)
}

fn photos_of<'a>(
    annotations: impl Iterator<Item = &'a Annotation>,
) -> impl Iterator<Item = &'a Photo> {
    annotations
        .flat_map(Annotation::remarks)
        .flat_map(|remark| &remark.photos)
}

/// How many photos an archive brings.
pub fn count(archive: &Archive, incoming: &[Incoming]) -> usize {
    let mut incoming = incoming.to_vec();
    let photos = incoming.iter_mut().flat_map(photos_mut).flatten();
    photos
        .filter(|photo| archive.files.holds(&photo_file(&photo.name)))
        .count()
}

/// The photos that are taken in with a card, one remark after another.
fn photos_mut(one: &mut Incoming) -> Vec<Vec<&mut Photo>> {
    match &mut one.here {
        Some(_) if !one.take.remarks => Vec::new(),
        Some((_, difference)) => difference.remarks.photos_mut().collect(),
        None => {
            let notes = one.archived.card.annotations.iter_mut();
            let remarks = notes.flat_map(|noted| {
                let replies = noted.replies.iter_mut();
                std::iter::once(&mut noted.note).chain(replies)
            });
            remarks.map(|r| r.photos.iter_mut().collect()).collect()
        }
    }
}

/// Keeps the photos of an archive's notes and gives their notes the names they are
/// kept under. What is no photo is left behind.
///
/// # Errors
/// Where the place of photos does not answer; nothing is left there.
pub async fn bring(
    (store, photos): (&Store, &PhotoFiles),
    archive: &Archive,
    incoming: &mut [Incoming],
) -> Result<BTreeSet<String>, PhotoFilesError> {
    let mut kept = BTreeSet::new();
    for of_remark in incoming.iter_mut().flat_map(photos_mut) {
        let names = draw_names(of_remark.len());
        for (photo, name) in of_remark.into_iter().zip(names) {
            match keep((store, photos), archive, photo, name).await {
                Ok(true) => drop(kept.insert(photo.name.clone())),
                Ok(false) => {}
                Err(error) => {
                    forget((store, photos), &kept).await;
                    return Err(error);
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
    (store, photos): (&Store, &PhotoFiles),
    archive: &Archive,
    photo: &mut Photo,
    name: String,
) -> Result<bool, PhotoFilesError> {
    let file = photo_file(&photo.name);
    photo.name = name;
    let files = archive.files.clone();
    let taken = taking(move || match files.read(&file) {
        Ok(Some(bytes)) => photo::take_again(&bytes),
        Ok(None) | Err(_) => Err(PhotoError::Empty),
    });
    let taken = taken.await;
    let Ok(Ok(taken)) = taken else {
        return Ok(false);
    };
    (photo.width_px, photo.height_px) = (taken.width_px, taken.height_px);
    photo.sha256 = Some(taken.sha256);
    // Whatever fails from here on, the files are not forgotten.
    let now = OffsetDateTime::now_utc();
    if let Err(error) = store.expect_photo_file(&photo.name, now).await {
        tracing::warn!(
            error = &error as &dyn Error,
            "a photo on its way is not noted"
        );
    }
    photos
        .keep(&photo.name, taken.full.into(), taken.small.into())
        .await?;
    Ok(true)
}

/// Removes photos that no card came to hold.
pub async fn forget((store, photos): (&Store, &PhotoFiles), kept: &BTreeSet<String>) {
    for name in kept {
        remove_now(store, photos, name).await;
    }
}
