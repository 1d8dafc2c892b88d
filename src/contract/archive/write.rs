//! From cards to an archive, file by file, so that no more than one of them is in
//! memory. What is written here can be read here: both keep to the same limits.
//! The same contents give the same bytes.

use super::manifest::{Listed, ListedCard, Manifest};
use super::{
    ArchivedCard, Contents, FORMAT, MANIFEST, MOST_CARD_BYTES, MOST_FILE_BYTES, MOST_FILES,
    MOST_UNPACKED_BYTES, Origin, name,
};
use crate::contract::card_file;
use std::io::{Cursor, Seek, Write};
use time::OffsetDateTime;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Bytes of everything, and of the cards, that are put into one. Less than is read,
/// so that the manifest has room.
const PUT_IN_BYTES: u64 = MOST_UNPACKED_BYTES - MOST_CARD_BYTES;
const PUT_IN_CARD_BYTES: u64 = MOST_CARD_BYTES / 2;

/// Why an archive is not written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    #[error(
        "this is more than one archive holds: at most {MOST_FILES} cards and photos, {} MiB with photos, {} MiB without",
        PUT_IN_BYTES >> 20, PUT_IN_CARD_BYTES >> 20
    )]
    TooMuch,
    #[error("the archive cannot be written")]
    Zip(#[from] ZipError),
    #[error("the archive cannot be written")]
    Io(#[from] std::io::Error),
}

/// An archive under way: cards and files in any order, then [`Self::finish`].
pub struct Writer<W: Write + Seek> {
    zip: ZipWriter<W>,
    made_at: OffsetDateTime,
    origin: Origin,
    cards: Vec<ListedCard>,
    files: Vec<Listed>,
    bytes: u64,
    card_bytes: u64,
}

impl<W: Write + Seek> Writer<W> {
    /// Begins one.
    pub fn begin(sink: W, made_at: OffsetDateTime, origin: Origin) -> Self {
        Self {
            zip: ZipWriter::new(sink),
            made_at,
            origin,
            cards: Vec::new(),
            files: Vec::new(),
            bytes: 0,
            card_bytes: 0,
        }
    }

    /// Adds a card.
    ///
    /// # Errors
    /// There is more than an archive holds, or the sink failed.
    pub fn card(&mut self, archived: &ArchivedCard) -> Result<(), WriteError> {
        let file = name::of_card(&archived.id);
        let text = card_file::write(&archived.card);
        self.card_bytes += text.len() as u64;
        self.add(&file, text.as_bytes(), CompressionMethod::Deflated)?;
        self.cards.push(ListedCard {
            id: archived.id.clone(),
            revision: archived.revision,
            file,
        });
        Ok(())
    }

    /// Adds what else belongs to the cards. Photos are packed as they are.
    ///
    /// # Errors
    /// As for a card.
    pub fn file(&mut self, name: &str, content: &[u8]) -> Result<(), WriteError> {
        self.add(name, content, CompressionMethod::Stored)
    }

    fn add(
        &mut self,
        name: &str,
        content: &[u8],
        packing: CompressionMethod,
    ) -> Result<(), WriteError> {
        debug_assert!(name::is_accepted(name), "{name}");
        self.bytes += content.len() as u64;
        let length = content.len() as u64;
        // The manifest is one more.
        if self.files.len() + 2 > MOST_FILES
            || length > MOST_FILE_BYTES
            || self.bytes > PUT_IN_BYTES
            || self.card_bytes > PUT_IN_CARD_BYTES
        {
            return Err(WriteError::TooMuch);
        }
        self.zip.start_file(name, options(packing))?;
        self.zip.write_all(content)?;
        self.files.push(Listed::of(name, content));
        Ok(())
    }

    /// Adds the manifest, and gives the sink back with a whole archive in it.
    ///
    /// # Errors
    /// The sink failed.
    pub fn finish(mut self) -> Result<W, WriteError> {
        self.files.sort_by(|a, b| a.file.cmp(&b.file));
        let manifest = Manifest {
            format: FORMAT,
            made_at: self.made_at,
            origin: self.origin,
            cards: self.cards,
            files: self.files,
            signature: None,
        };
        let manifest = serde_json::to_string_pretty(&manifest).expect("a manifest is plain data");
        self.zip
            .start_file(MANIFEST, options(CompressionMethod::Deflated))?;
        self.zip.write_all(manifest.as_bytes())?;
        Ok(self.zip.finish()?)
    }
}

/// The day of a file says nothing the manifest does not: left at its default, the
/// same cards give the same bytes.
fn options(packing: CompressionMethod) -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(packing)
        .last_modified_time(DateTime::default())
}

/// Writes an archive in memory.
///
/// # Errors
/// There is more than an archive holds.
pub fn write(contents: &Contents) -> Result<Vec<u8>, WriteError> {
    let memory = Cursor::new(Vec::new());
    let mut writer = Writer::begin(memory, contents.made_at, contents.origin.clone());
    for card in &contents.cards {
        writer.card(card)?;
    }
    for (name, content) in &contents.files {
        writer.file(name, content)?;
    }
    Ok(writer.finish()?.into_inner())
}
