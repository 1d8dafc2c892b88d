//! What else than cards an archive holds, read out of it one file at a time: all
//! photos of a book together are more than a server keeps in memory.

use super::ArchiveError;
use std::collections::BTreeMap;
use std::fmt;
use std::io::{Read, Seek};
use std::sync::{Arc, Mutex, PoisonError};
use zip::ZipArchive;

/// Where an archive lies: a file, or memory.
pub trait Source: Read + Seek + Send {}

impl<T: Read + Seek + Send> Source for T {}

/// A ZIP wherever it lies.
pub(super) type Packed = ZipArchive<Box<dyn Source>>;

/// The files beside the cards, by name. Cheap to clone.
#[derive(Clone)]
pub struct Files {
    /// Which entry each is, and its bytes unpacked.
    entries: Arc<BTreeMap<String, (usize, u64)>>,
    packed: Arc<Mutex<Packed>>,
}

impl fmt::Debug for Files {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.entries.iter()).finish()
    }
}

impl Files {
    pub(super) fn new(entries: BTreeMap<String, (usize, u64)>, packed: Packed) -> Self {
        Self {
            entries: Arc::new(entries),
            packed: Arc::new(Mutex::new(packed)),
        }
    }

    /// Whether there is one of that name.
    pub fn holds(&self, name: &str) -> bool {
        self.entries.contains_key(name)
    }

    /// The names there are.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }

    /// Unpacks one; `None` where there is none of that name.
    ///
    /// # Errors
    /// Where the archive cannot be read any more.
    pub fn read(&self, name: &str) -> Result<Option<Vec<u8>>, ArchiveError> {
        let Some((index, bytes)) = self.entries.get(name) else {
            return Ok(None);
        };
        let damaged = || ArchiveError::Damaged {
            name: name.to_owned(),
        };
        // Whoever failed in here before left only a place to read from.
        let mut packed = self.packed.lock().unwrap_or_else(PoisonError::into_inner);
        let entry = packed.by_index(*index).map_err(|_| damaged())?;
        let mut content = Vec::new();
        let read = entry.take(*bytes).read_to_end(&mut content);
        read.map_err(|_| damaged())?;
        Ok(Some(content))
    }
}
