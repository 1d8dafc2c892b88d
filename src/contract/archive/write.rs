//! From cards to an archive. The same contents give the same bytes.

use super::manifest::{Listed, ListedCard, Manifest};
use super::{Contents, FORMAT, MANIFEST, name};
use crate::contract::card_file;
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Writes an archive.
///
/// # Errors
/// It grew beyond what a ZIP without extensions takes (4 GiB).
pub fn write(contents: &Contents) -> Result<Vec<u8>, ZipError> {
    let mut files: BTreeMap<String, Vec<u8>> = contents.files.clone();
    let mut cards = Vec::with_capacity(contents.cards.len());
    for archived in &contents.cards {
        let file = name::of_card(&archived.id);
        files.insert(file.clone(), card_file::write(&archived.card).into_bytes());
        cards.push(ListedCard {
            id: archived.id.clone(),
            revision: archived.revision,
            file,
        });
    }
    let manifest = Manifest {
        format: FORMAT,
        made_at: contents.made_at,
        origin: contents.origin.clone(),
        cards,
        files: files
            .iter()
            .map(|(name, bytes)| Listed::of(name, bytes))
            .collect(),
        signature: None,
    };
    let manifest = serde_json::to_string_pretty(&manifest).expect("a manifest is plain data");
    // The day of a file says nothing the manifest does not: left at its default,
    // the same cards give the same bytes.
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(MANIFEST, options)?;
    zip.write_all(manifest.as_bytes())?;
    for (name, bytes) in &files {
        debug_assert!(name::is_accepted(name), "{name}");
        zip.start_file(name.as_str(), options)?;
        zip.write_all(bytes)?;
    }
    Ok(zip.finish()?.into_inner())
}
