//! From a packed file to an archive, within limits, every file held to the
//! manifest. Cards are kept as they are read; what else there is stays packed.

use super::files::{Files, Packed, Source};
use super::manifest::{self, Digest, Listed, Manifest};
use super::{
    Archive, ArchiveError, ArchivedCard, CARDS, MANIFEST, MOST_BYTES, MOST_CARD_BYTES,
    MOST_FILE_BYTES, MOST_FILES, MOST_UNPACKED_BYTES, name,
};
use crate::contract::from_file::zones_of_archived;
use crate::domain::card::Card;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, SeekFrom};
use zip::ZipArchive;

/// Reads an archive in memory.
///
/// # Errors
/// As [`read_from`].
pub fn read(bytes: &[u8]) -> Result<Archive, ArchiveError> {
    read_from(Cursor::new(bytes.to_vec()))
}

/// Reads an archive from where it lies, which stays open for what else it holds.
///
/// # Errors
/// It is damaged, too large packed or unpacked, names a file in a way that could
/// lead elsewhere, is not as its manifest says, or holds a card that cannot be
/// accepted.
pub fn read_from(source: impl Source + 'static) -> Result<Archive, ArchiveError> {
    let mut source: Box<dyn Source> = Box::new(source);
    let bytes = source.seek(SeekFrom::End(0)).map_err(ArchiveError::Gone)?;
    if bytes > MOST_BYTES {
        return Err(ArchiveError::TooLarge { bytes });
    }
    let mut zip = ZipArchive::new(source).map_err(ArchiveError::Unreadable)?;
    check_names(&mut zip)?;
    let Unpacked {
        mut texts,
        others,
        listed,
    } = Unpacked::of(&mut zip, bytes)?;
    let text = texts.remove(MANIFEST).ok_or(ArchiveError::NoManifest)?;
    let manifest = manifest::read(&text).map_err(ArchiveError::Manifest)?;
    hold_to(&manifest, &listed)?;
    let cards = read_cards(&manifest, &mut texts)?;
    // A card that the manifest does not name as one would be lost unseen.
    match texts.into_keys().next() {
        Some(name) => Err(ArchiveError::Unlisted { name }),
        None => Ok(Archive {
            manifest,
            cards,
            files: Files::new(others, zip),
        }),
    }
}

fn read_cards(
    manifest: &Manifest,
    texts: &mut BTreeMap<String, Vec<u8>>,
) -> Result<Vec<ArchivedCard>, ArchiveError> {
    let hashes = manifest.files.iter();
    let hashes = hashes
        .map(|f| (f.file.as_str(), f.sha256.as_str()))
        .collect();
    let mut cards = Vec::with_capacity(manifest.cards.len());
    for listed in &manifest.cards {
        let missing = || ArchiveError::Missing {
            name: listed.file.clone(),
        };
        let text = texts.remove(&listed.file).ok_or_else(missing)?;
        // Worked out, so that no card is taken whose parts do not lie on its body.
        let answer = zones_of_archived(&text);
        let read = answer.map_err(|error| ArchiveError::Card {
            name: listed.file.clone(),
            error,
        })?;
        let mut card = read.read.card;
        know_photos(&mut card, &hashes);
        cards.push(ArchivedCard {
            id: listed.id.clone(),
            revision: listed.revision,
            card,
        });
    }
    Ok(cards)
}

/// Gives the photos of a card the hashes of their files, which were held to them.
fn know_photos(card: &mut Card, hashes: &BTreeMap<&str, &str>) {
    for noted in &mut card.annotations {
        for remark in std::iter::once(&mut noted.note).chain(&mut noted.replies) {
            for photo in &mut remark.photos {
                let file = name::photo_file(&photo.name);
                let hash = hashes.get(file.as_str());
                photo.sha256 = hash.map(|hash| (*hash).to_owned());
            }
        }
    }
}

/// Names and number of the entries, before anything is unpacked.
fn check_names(zip: &mut Packed) -> Result<(), ArchiveError> {
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
        if name != CARDS && name != "photos/" && !name::is_accepted(&name) {
            let name = name.into_owned();
            return Err(ArchiveError::Name { name });
        }
    }
    // Two readers of one archive see the same: its directory and its files agree.
    zip.validate_header_consistency()
        .map_err(ArchiveError::Unreadable)
}

/// Everything in an archive, looked through once.
#[derive(Default)]
struct Unpacked {
    /// The manifest and the cards.
    texts: BTreeMap<String, Vec<u8>>,
    /// What else there is: which entry, and its bytes.
    others: BTreeMap<String, (usize, u64)>,
    /// Every file as a manifest would list it.
    listed: BTreeMap<String, Listed>,
}

impl Unpacked {
    fn of(zip: &mut Packed, packed_bytes: u64) -> Result<Self, ArchiveError> {
        let mut all = Self::default();
        // Photos hardly pack: what unpacks to far more than it is holds none.
        let most = MOST_CARD_BYTES + 2 * packed_bytes;
        let (mut left, mut left_to_cards) = (most.min(MOST_UNPACKED_BYTES), MOST_CARD_BYTES);
        for index in 0..zip.len() {
            let entry = zip.by_index(index).map_err(ArchiveError::Unreadable)?;
            let name = entry.name().map_err(ArchiveError::Unreadable)?.into_owned();
            if entry.is_dir() {
                continue;
            }
            let is_text = name == MANIFEST || name.starts_with(CARDS);
            let mut most = left.min(MOST_FILE_BYTES);
            if is_text {
                most = most.min(left_to_cards);
            }
            let (listed, text) = look_through(entry, &name, most, is_text)?;
            left -= listed.bytes;
            if is_text {
                left_to_cards -= listed.bytes;
                all.texts.insert(name.clone(), text);
            } else {
                all.others.insert(name.clone(), (index, listed.bytes));
            }
            all.listed.insert(name, listed);
        }
        Ok(all)
    }
}

/// Unpacks an entry as far as it may go, and keeps it only where it is a text.
/// What the entry says of its size is not relied on.
fn look_through(
    mut entry: impl Read,
    name: &str,
    most: u64,
    is_text: bool,
) -> Result<(Listed, Vec<u8>), ArchiveError> {
    let (mut digest, mut text) = (Digest::default(), Vec::new());
    let mut piece = vec![0; 64 << 10];
    loop {
        let count = entry.read(&mut piece).map_err(|_| ArchiveError::Damaged {
            name: name.to_owned(),
        })?;
        if count == 0 {
            return Ok((digest.listed(name), text));
        }
        digest.add(&piece[..count]);
        if digest.bytes() > most {
            return Err(ArchiveError::Bomb {
                name: name.to_owned(),
            });
        }
        if is_text {
            text.extend_from_slice(&piece[..count]);
        }
    }
}

/// The files are those of the manifest, no more, no fewer, and as listed.
fn hold_to(manifest: &Manifest, files: &BTreeMap<String, Listed>) -> Result<(), ArchiveError> {
    let listed = manifest.files.iter().map(|f| (f.file.as_str(), f));
    let listed: BTreeMap<&str, &Listed> = listed.collect();
    for (name, file) in files.iter().filter(|(name, _)| *name != MANIFEST) {
        let name = name.clone();
        match listed.get(name.as_str()) {
            None => return Err(ArchiveError::Unlisted { name }),
            Some(listed) if *listed != file => return Err(ArchiveError::Differs { name }),
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
