//! Why a photo is not taken in, each said once and with what would be.

use super::{MOST_BYTES, MOST_MEGAPIXELS, MOST_SIDE};
use image::ImageError;
use image::error::LimitErrorKind;

/// Why a photo is not taken in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    #[error("the file is empty: choose a photo")]
    Empty,
    #[error("the file is larger than {} MiB: send a smaller one", MOST_BYTES >> 20)]
    TooLarge,
    #[error(
        "the photo has {width} × {height} pixels: at most {MOST_MEGAPIXELS} million are accepted"
    )]
    TooManyPixels { width: u32, height: u32 },
    #[error("the photo is longer than {MOST_SIDE} pixels along a side: send a smaller one")]
    TooLong,
    #[error("the photo takes more memory than is given to one: send a smaller one")]
    TooMuchMemory,
    #[error(
        "HEIC and AVIF are not read here: save it as JPEG, PNG or WebP, or set the phone’s camera \
         to JPEG"
    )]
    Heic,
    #[error("this is no photo that is read here: JPEG, PNG and WebP are accepted")]
    UnknownKind,
    #[error("the file was cut short, part of the photo is missing: send the whole one again")]
    CutShort,
    #[error("this moves: send one still picture of it")]
    Moves,
    #[error(
        "this kind of JPEG is not read here: save it as an ordinary JPEG (8 bits, not lossless), \
         PNG or WebP"
    )]
    Coding,
    #[error("the photo cannot be read to its end: it is broken, or another kind of file")]
    Broken,
}

impl From<ImageError> for PhotoError {
    fn from(error: ImageError) -> Self {
        match error {
            ImageError::Limits(limit) => match limit.kind() {
                LimitErrorKind::DimensionError => Self::TooLong,
                _ => Self::TooMuchMemory,
            },
            _ => Self::Broken,
        }
    }
}
