//! The manifest: what is in the archive, from where, and as it was when written.

use super::{FORMAT, name};
use crate::contract::card_file::{CardFileError, read_document};
use crate::contract::reader::Field;
use serde::Serialize;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::fmt::Write;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

/// Characters of an id, of a department's name.
const ID: usize = 64;
const NAME: usize = 80;

/// What an archive says of itself.
#[derive(Debug, Clone, Serialize)]
pub struct Manifest {
    pub format: &'static str,
    #[serde(with = "time::serde::rfc3339")]
    pub made_at: OffsetDateTime,
    pub origin: Origin,
    pub cards: Vec<ListedCard>,
    pub files: Vec<Listed>,
    /// The place of a signature over the rest; not checked here.
    pub signature: Option<Value>,
}

/// The department an archive came from, in its own words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Origin {
    pub department: String,
    pub name: String,
}

/// One card of the archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListedCard {
    pub id: String,
    pub revision: i64,
    pub file: String,
}

/// One file of the archive other than the manifest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Listed {
    pub file: String,
    pub bytes: u64,
    /// In small hexadecimal digits.
    pub sha256: String,
}

impl Listed {
    pub(super) fn of(file: &str, content: &[u8]) -> Self {
        let mut digest = Digest::default();
        digest.add(content);
        digest.listed(file)
    }
}

/// A file looked through piece by piece.
#[derive(Default)]
pub(super) struct Digest {
    sha256: Sha256,
    bytes: u64,
}

impl Digest {
    pub fn add(&mut self, piece: &[u8]) {
        self.sha256.update(piece);
        self.bytes += piece.len() as u64;
    }

    /// Bytes so far.
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// As the manifest lists it.
    pub fn listed(self, file: &str) -> Listed {
        let digest = self.sha256.finalize();
        let sha256 = digest.iter().fold(String::new(), |mut hex, byte| {
            write!(hex, "{byte:02x}").expect("a text takes every digit");
            hex
        });
        Listed {
            file: file.to_owned(),
            bytes: self.bytes,
            sha256,
        }
    }
}

/// Reads a manifest; every invalid field is named, with its line.
pub(super) fn read(text: &[u8]) -> Result<Manifest, CardFileError> {
    read_document(text, read_manifest).map(|(manifest, _)| manifest)
}

fn read_manifest(file: &Field<'_>) -> Option<Manifest> {
    let known = ["format", "made_at", "origin", "cards", "files", "signature"];
    if !file.object(&known) {
        return None;
    }
    let format = file.get("format").required(FORMAT);
    if format.value().is_some_and(|value| value != FORMAT) {
        format.refuse("this format is not known here", FORMAT);
    }
    let made_at = read_moment(
        &file
            .get("made_at")
            .required("a moment written 2026-03-05T10:02:00Z"),
    );
    let origin = file
        .get("origin")
        .required("an object with department and name");
    let (department, called) = (origin.get("department"), origin.get("name"));
    let origin = department.required_text(ID).zip(called.required_text(NAME));
    let (listed, cards) = (file.get("files"), file.get("cards"));
    let files: Vec<Listed> = listed
        .clone()
        .required("a list of files")
        .items()
        .iter()
        .filter_map(read_listed)
        .collect();
    name::refuse_repeated(
        &listed,
        &files.iter().map(|f| f.file.as_str()).collect::<Vec<_>>(),
    );
    let in_cards = cards.clone().required("a list of cards").items();
    let in_cards: Vec<ListedCard> = in_cards.iter().filter_map(read_card).collect();
    name::refuse_repeated(
        &cards,
        &in_cards.iter().map(|c| c.file.as_str()).collect::<Vec<_>>(),
    );
    let (department, name) = origin?;
    Some(Manifest {
        format: FORMAT,
        made_at: made_at?,
        origin: Origin { department, name },
        cards: in_cards,
        files,
        signature: file.get("signature").value().cloned(),
    })
}

fn read_moment(field: &Field<'_>) -> Option<OffsetDateTime> {
    let text = field.text(ID)?;
    let moment = OffsetDateTime::parse(&text, &Rfc3339).ok();
    if moment.is_none() {
        field.refuse("this is no moment", "a moment written 2026-03-05T10:02:00Z");
    }
    moment
}

fn read_listed(item: &Field<'_>) -> Option<Listed> {
    if !item.object(&["file", "bytes", "sha256"]) {
        return None;
    }
    let file = name::read(&item.get("file"));
    let bytes = item.get("bytes").required("a whole number");
    let bytes = bytes.whole(0..=i64::from(u32::MAX));
    let digest = item.get("sha256").required_text(64);
    let is_hex = |text: &String| {
        text.len() == 64 && text.chars().all(|c| matches!(c, '0'..='9' | 'a'..='f'))
    };
    if digest.as_ref().is_some_and(|text| !is_hex(text)) {
        item.get("sha256")
            .refuse("this is no SHA-256", "64 of the digits 0 to 9 and a to f");
    }
    Some(Listed {
        file: file?,
        bytes: bytes.and_then(|bytes| u64::try_from(bytes).ok())?,
        sha256: digest?,
    })
}

fn read_card(item: &Field<'_>) -> Option<ListedCard> {
    if !item.object(&["id", "revision", "file"]) {
        return None;
    }
    let id = item.get("id").required_text(ID);
    let revision = item
        .get("revision")
        .required("a whole number")
        .whole(1..=i64::MAX);
    let file = name::read(&item.get("file"));
    let (id, file) = (id?, file?);
    if !name::is_plain(&id) || file != name::of_card(&id) {
        item.get("file").refuse(
            "this is not where the card of that id stands",
            "cards/ID.json",
        );
        return None;
    }
    Some(ListedCard {
        id,
        revision: revision?,
        file,
    })
}
