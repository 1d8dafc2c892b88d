//! Why a file is no archive that can be taken; each message says what would be.

use super::{MOST_BYTES, MOST_CARD_BYTES, MOST_FILE_BYTES, MOST_FILES, MOST_UNPACKED_BYTES};
use crate::contract::card_file::CardFileError;

const MIB: u64 = 1 << 20;

/// Why a file is no archive. Nothing of it is taken.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveError {
    #[error("the archive has {bytes} bytes; accepted: at most {} MiB", MOST_BYTES / MIB)]
    TooLarge { bytes: u64 },
    #[error("the archive cannot be read from where it lies")]
    Gone(#[source] std::io::Error),
    #[error("this is no whole ZIP archive: it is damaged, cut short, or something else")]
    Unreadable(#[source] zip::result::ZipError),
    #[error("the archive holds {count} files; accepted: at most {MOST_FILES}")]
    TooManyFiles { count: usize },
    #[error("two files in the archive share a name; accepted: each name once")]
    Twice,
    #[error(
        "a file in the archive is named {name:?}; accepted: manifest.json, cards/ID.json, photos/NAME, \
         in letters, digits, dots, hyphens and underscores"
    )]
    Name { name: String },
    #[error(
        "unpacked, {name} is larger than accepted: at most {} MiB a file, {} MiB in all, {} MiB of it cards, and not many times what it is packed",
        MOST_FILE_BYTES / MIB, MOST_UNPACKED_BYTES / MIB, MOST_CARD_BYTES / MIB
    )]
    Bomb { name: String },
    #[error(
        "{name} cannot be unpacked: it is damaged, cut short, or packed in a way not read here"
    )]
    Damaged { name: String },
    #[error("the archive has no manifest.json: it was not written by this program")]
    NoManifest,
    #[error("the manifest cannot be accepted")]
    Manifest(#[source] CardFileError),
    #[error("the manifest lists {name}, which is not in the archive")]
    Missing { name: String },
    #[error("{name} is in the archive, and the manifest does not list it")]
    Unlisted { name: String },
    #[error("{name} is not as the manifest lists it (size or SHA-256): it was changed or damaged")]
    Differs { name: String },
    #[error("{name} is no card that can be accepted")]
    Card {
        name: String,
        #[source]
        error: CardFileError,
    },
}

impl ArchiveError {
    /// What is wrong, one line a fault.
    pub fn lines(&self) -> Vec<String> {
        let fields = match self {
            Self::Manifest(error) | Self::Card { error, .. } => error.fields(),
            _ => Vec::new(),
        };
        let about = |field: String| match self {
            Self::Card { name, .. } => format!("{name}: {field}"),
            _ => format!("manifest.json: {field}"),
        };
        let details = fields.iter().map(|field| about(field.to_string()));
        std::iter::once(self.to_string()).chain(details).collect()
    }
}
