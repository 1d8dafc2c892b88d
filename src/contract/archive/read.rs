//! From bytes to an archive, within limits, every file held to the manifest.

use super::manifest::{self, Listed, Manifest};
use super::{
    Archive, ArchiveError, ArchivedCard, MANIFEST, MOST_BYTES, MOST_FILE_BYTES, MOST_FILES,
    MOST_UNPACKED_BYTES, name,
};
use crate::contract::zones_of_file;
use crate::domain::vehicle::Variant;
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// Reads an archive.
///
/// # Errors
/// It is damaged, too large packed or unpacked, names a file in a way that could
/// lead elsewhere, is not as its manifest says, or holds a card that cannot be
/// accepted.
pub fn read(bytes: &[u8]) -> Result<Archive, ArchiveError> {
    if bytes.len() > MOST_BYTES {
        return Err(ArchiveError::TooLarge { bytes: bytes.len() });
    }
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(ArchiveError::Unreadable)?;
    check_names(&mut zip)?;
    let mut files = unpack(&mut zip)?;
    let text = files.remove(MANIFEST).ok_or(ArchiveError::NoManifest)?;
    let manifest = manifest::read(&text).map_err(ArchiveError::Manifest)?;
    hold_to(&manifest, &files)?;
    let mut cards = Vec::with_capacity(manifest.cards.len());
    for listed in &manifest.cards {
        let missing = || ArchiveError::Missing {
            name: listed.file.clone(),
        };
        let text = files.remove(&listed.file).ok_or_else(missing)?;
        // Worked out, so that no card is taken whose parts do not lie on its body.
        let answer = zones_of_file(&text, &Variant::default());
        let read = answer.map_err(|error| ArchiveError::Card {
            name: listed.file.clone(),
            error,
        })?;
        cards.push(ArchivedCard {
            id: listed.id.clone(),
            revision: listed.revision,
            card: read.read.card,
        });
    }
    // A card that the manifest does not name as one would be lost unseen.
    match files.keys().find(|name| name.starts_with("cards/")) {
        Some(name) => Err(ArchiveError::Unlisted { name: name.clone() }),
        None => Ok(Archive {
            manifest,
            cards,
            files,
        }),
    }
}

/// Names and number of the entries, before anything is unpacked.
fn check_names(zip: &mut ZipArchive<Cursor<&[u8]>>) -> Result<(), ArchiveError> {
    if zip.len() > MOST_FILES {
        return Err(ArchiveError::TooManyFiles { count: zip.len() });
    }
    // A second one of a name would be hidden behind the first.
    if zip.has_duplicate_names() {
        return Err(ArchiveError::Twice);
    }
    for index in 0..zip.len() {
        let entry = zip.by_index_data(index).map_err(ArchiveError::Unreadable)?;
        let name = entry.name().map_err(ArchiveError::Unreadable)?;
        // Whoever unpacks and packs again leaves the folders as entries.
        if name != "cards/" && name != "photos/" && !name::is_accepted(&name) {
            let name = name.into_owned();
            return Err(ArchiveError::Name { name });
        }
    }
    // Two readers of one archive see the same: its directory and its files agree.
    zip.validate_header_consistency()
        .map_err(ArchiveError::Unreadable)
}

fn unpack(zip: &mut ZipArchive<Cursor<&[u8]>>) -> Result<BTreeMap<String, Vec<u8>>, ArchiveError> {
    let (mut files, mut left) = (BTreeMap::new(), MOST_UNPACKED_BYTES);
    for index in 0..zip.len() {
        let entry = zip.by_index(index).map_err(ArchiveError::Unreadable)?;
        let name = entry.name().map_err(ArchiveError::Unreadable)?.into_owned();
        if entry.is_dir() {
            continue;
        }
        // What the entry says of its size is not relied on.
        let most = left.min(MOST_FILE_BYTES);
        let mut content = Vec::new();
        let read = entry.take(most + 1).read_to_end(&mut content);
        let length = content.len() as u64;
        if length > most {
            return Err(ArchiveError::Bomb { name });
        }
        if read.is_err() {
            return Err(ArchiveError::Damaged { name });
        }
        left -= length;
        files.insert(name, content);
    }
    Ok(files)
}

/// The files are those of the manifest, no more, no fewer, and as listed.
fn hold_to(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>) -> Result<(), ArchiveError> {
    let listed: BTreeMap<&str, &Listed> = manifest
        .files
        .iter()
        .map(|f| (f.file.as_str(), f))
        .collect();
    for (name, content) in files {
        let name = name.clone();
        match listed.get(name.as_str()) {
            None => return Err(ArchiveError::Unlisted { name }),
            Some(listed) if **listed != Listed::of(&name, content) => {
                return Err(ArchiveError::Differs { name });
            }
            Some(_) => {}
        }
    }
    match listed.keys().find(|name| !files.contains_key(**name)) {
        Some(name) => Err(ArchiveError::Missing {
            name: (*name).to_owned(),
        }),
        None => Ok(()),
    }
}
