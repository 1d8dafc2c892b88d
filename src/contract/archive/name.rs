//! Names of files in an archive. Nothing here is ever written to disk under its
//! name; a name that could lead out of a folder elsewhere is refused all the same.

use crate::contract::path::Path;
use crate::contract::reader::Field;
use std::collections::HashSet;

/// Characters of a name.
pub(super) const MOST_CHARS: usize = 160;

/// Where the card of that id stands.
pub(super) fn of_card(id: &str) -> String {
    format!("cards/{id}.json")
}

/// Where the photo that its note calls so stands.
pub fn photo_file(name: &str) -> String {
    format!("photos/{name}.jpg")
}

/// Whether a name is one of an archive: the manifest, or a file in a folder.
pub(super) fn is_accepted(name: &str) -> bool {
    if name == super::MANIFEST {
        return true;
    }
    let Some((folder, rest)) = name.split_once('/') else {
        return false;
    };
    name.len() <= MOST_CHARS
        && matches!(folder, "cards" | "photos")
        && rest.split('/').count() <= 2
        && rest.split('/').all(is_plain)
}

/// A piece between slashes: no dot in front, so neither `.` nor `..`.
pub(super) fn is_plain(piece: &str) -> bool {
    !piece.is_empty()
        && !piece.starts_with('.')
        && piece
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_'))
}

/// Reads a name out of the manifest.
pub(super) fn read(field: &Field<'_>) -> Option<String> {
    let name = field.clone().required_text(MOST_CHARS)?;
    if !is_accepted(&name) || name == super::MANIFEST {
        field.refuse(
            "this is no name of a file in an archive",
            "cards/ID.json or photos/NAME",
        );
        return None;
    }
    Some(name)
}

/// Where a list repeats a name that came before, refuses it there.
pub(super) fn refuse_repeated(list: &Field<'_>, names: &[&str]) {
    let mut known = HashSet::new();
    for (index, name) in names.iter().enumerate() {
        if !known.insert(name) {
            let item = list.below(&Path::document().item(index));
            item.refuse(format!("{name} is listed twice"), "each file once");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_leads_elsewhere_is_none_of_an_archive() {
        for name in ["manifest.json", "cards/0189-a.json", "photos/a/b.webp"] {
            assert!(is_accepted(name), "{name}");
        }
        for name in [
            "../manifest.json",
            "/cards/a.json",
            "cards/../a.json",
            "cards//a.json",
            "cards/.a",
            "cards\\a.json",
            "C:/cards/a.json",
            "cards/a b.json",
            "cards/a\0.json",
            "cards/",
            "other/a.json",
            "a.json",
            "",
            "photos/a/b/c.webp",
            "photos/é.webp",
        ] {
            assert!(!is_accepted(name), "{name:?}");
        }
    }
}
