//! Whether a file has its picture to the end, and is one still picture of a
//! coding that is read here. Decoders are lenient: what is missing of a JPEG they
//! leave grey, which on a photo of a pillar could pass for metal.

use super::PhotoError;
use super::jpeg::{self, Segments};
use image::ImageFormat;

/// # Errors
/// What it is instead.
pub fn check_whole(bytes: &[u8], kind: ImageFormat) -> Result<(), PhotoError> {
    match kind {
        ImageFormat::Jpeg => jpeg_is_whole(bytes),
        ImageFormat::Png => png_is_whole(bytes),
        _ => webp_is_whole(bytes),
    }
}

/// A JPEG is whole where its segments lead to its end. It is read in eight bits,
/// Huffman coded, sequential or progressive (ITU-T T.81, table B.1).
fn jpeg_is_whole(bytes: &[u8]) -> Result<(), PhotoError> {
    let mut segments = Segments::of(bytes).ok_or(PhotoError::UnknownKind)?;
    loop {
        let Some(segment) = segments.next() else {
            match segments.skip_stray() {
                true => continue,
                false => break,
            }
        };
        match (segment.marker, segment.content) {
            (jpeg::EOI, _) => return Ok(()),
            (0xC0..=0xC2, [8, ..]) => {}
            // Tables, not frames.
            (0xC4 | 0xC8 | 0xCC, _) => {}
            (0xC0..=0xCF, _) => return Err(PhotoError::Coding),
            _ => {}
        }
    }
    match segments.rest() {
        [] | [0xFF] | [0xFF, 0xC0..=0xFF, ..] => Err(PhotoError::CutShort),
        _ => Err(PhotoError::Broken),
    }
}

/// A PNG is whole where its chunks lead to the last one (W3C PNG, third edition,
/// 5.3); one with `acTL` moves.
fn png_is_whole(bytes: &[u8]) -> Result<(), PhotoError> {
    let mut rest = bytes.get(8..).unwrap_or_default();
    while let Some(([a, b, c, d, kind @ ..], _)) = rest.split_first_chunk::<8>() {
        // Length, kind, content, check.
        let length = u32::from_be_bytes([*a, *b, *c, *d]) as usize;
        let after = length.checked_add(12).and_then(|whole| rest.get(whole..));
        match (after, kind) {
            (None, _) => break,
            (_, b"IEND") => return Ok(()),
            (_, b"acTL") => return Err(PhotoError::Moves),
            (Some(after), _) => rest = after,
        }
    }
    Err(PhotoError::CutShort)
}

/// A WebP is whole where it is as long as its header says (RFC 9649, 2.3); the
/// extended header says whether it moves (2.7.1).
fn webp_is_whole(bytes: &[u8]) -> Result<(), PhotoError> {
    const MOVES: u8 = 0b10;
    let Some((head, rest)) = bytes.split_first_chunk::<12>() else {
        return Err(PhotoError::CutShort);
    };
    let announced = u32::from_le_bytes([head[4], head[5], head[6], head[7]]);
    if (bytes.len() as u64) < u64::from(announced) + 8 {
        return Err(PhotoError::CutShort);
    }
    match rest {
        [b'V', b'P', b'8', b'X', _, _, _, _, flags, ..] if flags & MOVES != 0 => {
            Err(PhotoError::Moves)
        }
        _ => Ok(()),
    }
}
