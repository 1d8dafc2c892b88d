//! Files as the command line takes and gives them: `-` is standard input or
//! standard output.

use crate::contract::FieldError;
use crate::contract::archive::ArchiveError;
use crate::contract::card_file::{CardFileError, MOST_BYTES};
use anyhow::Context;
use std::fmt;
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::Path;

/// What was given cannot be read or accepted: exit code 2.
#[derive(Debug)]
pub struct Refused {
    /// The file's name as it was given.
    name: String,
    why: Why,
}

#[derive(Debug)]
enum Why {
    Unreadable(io::Error),
    Invalid(CardFileError),
    Archive(Vec<String>),
}

impl fmt::Display for Refused {
    /// One line a fault, each with file, line and field.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.why {
            Why::Unreadable(error) => write!(f, "{}: cannot be read: {error}", self.name),
            Why::Archive(lines) => {
                let lines = lines.iter().map(|line| format!("{}: {line}", self.name));
                f.write_str(&lines.collect::<Vec<_>>().join("\n"))
            }
            Why::Invalid(error) => {
                let lines: Vec<String> = error
                    .fields()
                    .iter()
                    .map(|field| format!("{}: {field}", self.name))
                    .collect();
                f.write_str(&lines.join("\n"))
            }
        }
    }
}

impl std::error::Error for Refused {}

impl Refused {
    /// An archive that cannot be taken.
    pub fn archive(path: &Path, error: &ArchiveError) -> Self {
        Self {
            name: name_of(path),
            why: Why::Archive(error.lines()),
        }
    }

    /// A card file with faults.
    pub fn invalid(path: &Path, error: CardFileError) -> Self {
        Self {
            name: name_of(path),
            why: Why::Invalid(error),
        }
    }
}

/// Whether a file is an archive and no card file, by how it begins.
pub fn is_archive(path: &Path) -> bool {
    let mut start = [0; 4];
    !is_standard(path)
        && File::open(path)
            .and_then(|mut file| file.read_exact(&mut start))
            .is_ok()
        && start.starts_with(b"PK")
}

/// Opens an archive.
pub fn open_archive(path: &Path) -> Result<File, Refused> {
    File::open(path).map_err(|error| Refused {
        name: name_of(path),
        why: Why::Unreadable(error),
    })
}

/// Reads a card file's text; no more of it than a card file may hold, and one
/// byte, so that a longer one is told from it.
pub fn read(path: &Path) -> Result<Vec<u8>, Refused> {
    let unreadable = |error| Refused {
        name: name_of(path),
        why: Why::Unreadable(error),
    };
    let most = MOST_BYTES as u64 + 1;
    let mut text = Vec::new();
    if is_standard(path) {
        io::stdin()
            .take(most)
            .read_to_end(&mut text)
            .map_err(unreadable)?;
    } else {
        let file = File::open(path).map_err(unreadable)?;
        let size = file.metadata().map_err(unreadable)?.len();
        // Said as large as it is, not as far as it was read.
        if let Some(bytes) = usize::try_from(size).ok().filter(|b| *b > MOST_BYTES) {
            return Err(Refused::invalid(path, CardFileError::TooLarge { bytes }));
        }
        file.take(most).read_to_end(&mut text).map_err(unreadable)?;
    }
    Ok(text)
}

/// Writes to a file or to standard output. A reader that went away is no
/// failure of ours.
pub fn write(path: &Path, content: &[u8]) -> anyhow::Result<()> {
    write_from(path, &mut &*content)
}

/// The same, from where the content lies.
pub fn write_from(path: &Path, content: &mut impl Read) -> anyhow::Result<()> {
    if !is_standard(path) {
        let written = File::create(path).and_then(|mut file| io::copy(content, &mut file));
        return written
            .map(drop)
            .with_context(|| format!("{} cannot be written", path.display()));
    }
    let mut out = io::stdout().lock();
    match io::copy(content, &mut out).and_then(|_| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(error).context("standard output cannot be written")
        }
        _ => Ok(()),
    }
}

/// Lists the fields that were passed over on standard error.
pub fn tell_ignored(path: &Path, ignored: &[FieldError]) {
    for field in ignored {
        eprintln!("{}: note: {field}", name_of(path));
    }
}

pub fn is_standard(path: &Path) -> bool {
    path == Path::new("-")
}

fn name_of(path: &Path) -> String {
    if is_standard(path) {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}
