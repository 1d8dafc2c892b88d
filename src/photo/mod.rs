//! Photos as they are taken in: checked, decoded within limits, turned upright,
//! made no larger than a page needs, and written anew as JPEG. What a camera
//! wrote beside the picture (place, time, device, thumbnail) stays behind: only
//! pixels pass.
//!
//! Pure: bytes in, bytes out. Decoding takes tens of milliseconds and up to
//! [`MOST_MEMORY`] bytes; the caller sees to it that few are under way at once.

mod again;
mod error;
mod jpeg;
mod whole;

pub use again::take_again;
pub use error::PhotoError;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use sha2::{Digest, Sha256};
use std::io::Cursor;

/// Bytes of a photo as it is sent.
pub const MOST_BYTES: usize = 16 * 1024 * 1024;
/// Pixels of a photo as it is sent, in millions: what a phone takes at most.
pub const MOST_MEGAPIXELS: u32 = 50;
/// Pixels along either side as it is sent.
pub const MOST_SIDE: u32 = 16_384;
/// Bytes a decoder may take for one photo.
pub const MOST_MEMORY: u64 = 256 * 1024 * 1024;

/// Longer side of what is kept, and of what a list shows, pixels.
pub const FULL_PX: u32 = 2_048;
pub const SMALL_PX: u32 = 320;
/// JPEG qualities of the two.
const FULL_QUALITY: u8 = 82;
const SMALL_QUALITY: u8 = 75;

/// A photo that was taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// JPEG, at most [`FULL_PX`] along its longer side.
    pub full: Vec<u8>,
    /// Of `full`, in hex.
    pub sha256: String,
    pub width_px: u32,
    pub height_px: u32,
    /// JPEG, at most [`SMALL_PX`] along its longer side.
    pub small: Vec<u8>,
}

/// Takes a photo in.
///
/// # Errors
/// Why it cannot be, in words for who sent it.
pub fn take(bytes: &[u8]) -> Result<Taken, PhotoError> {
    if bytes.is_empty() {
        return Err(PhotoError::Empty);
    }
    if bytes.len() > MOST_BYTES {
        return Err(PhotoError::TooLarge);
    }
    let kind = kind(bytes)?;
    whole::check_whole(bytes, kind)?;
    let (picture, orientation) = decode(bytes, kind)?;
    // Made smaller first: turning then takes less.
    let mut full = fitted(&picture, FULL_PX);
    drop(picture);
    full.apply_orientation(orientation);
    let full = on_white(full);
    let small = fitted(&DynamicImage::ImageRgb8(full.clone()), SMALL_PX).into_rgb8();
    let (width_px, height_px) = full.dimensions();
    let full = as_jpeg(&full, FULL_QUALITY)?;
    Ok(Taken {
        sha256: hash(&full),
        full,
        width_px,
        height_px,
        small: as_jpeg(&small, SMALL_QUALITY)?,
    })
}

/// SHA-256 in hex.
fn hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What it is, by its own first bytes: names and announced types are not
/// believed.
fn kind(bytes: &[u8]) -> Result<ImageFormat, PhotoError> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Ok(ImageFormat::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(ImageFormat::Png),
        [
            b'R',
            b'I',
            b'F',
            b'F',
            _,
            _,
            _,
            _,
            b'W',
            b'E',
            b'B',
            b'P',
            ..,
        ] => Ok(ImageFormat::WebP),
        // ISO/IEC 14496-12: a box of any length, then what brand of file it is.
        [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] if is_heic(brand) => Err(PhotoError::Heic),
        _ => Err(PhotoError::UnknownKind),
    }
}

/// Brands of still pictures in that container (ISO/IEC 23008-12, from memory).
fn is_heic(brand: &[u8]) -> bool {
    let brands: [&[u8]; 7] = [
        b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1", b"avif",
    ];
    brands.iter().any(|known| brand.starts_with(known))
}

fn decode(bytes: &[u8], kind: ImageFormat) -> Result<(DynamicImage, Orientation), PhotoError> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_SIDE);
    limits.max_image_height = Some(MOST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), kind);
    reader.limits(limits);
    let mut decoder = reader.into_decoder()?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels == 0 {
        return Err(PhotoError::Broken);
    }
    if pixels > u64::from(MOST_MEGAPIXELS) * 1_000_000 {
        return Err(PhotoError::TooManyPixels { width, height });
    }
    if decoder.total_bytes() > MOST_MEMORY {
        return Err(PhotoError::TooMuchMemory);
    }
    // A note of how the camera was held that cannot be read turns nothing.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let picture = DynamicImage::from_decoder(decoder)?;
    Ok((picture, orientation))
}

/// The picture, made smaller where it is longer than `most` pixels.
fn fitted(picture: &DynamicImage, most: u32) -> DynamicImage {
    match picture.width().max(picture.height()) > most {
        true => picture.resize(most, most, FilterType::CatmullRom),
        false => picture.clone(),
    }
}

/// What is see-through becomes white paper: JPEG knows no other.
fn on_white(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let seen = picture.into_rgba8();
    RgbImage::from_fn(seen.width(), seen.height(), |x, y| {
        let [r, g, b, alpha] = seen.get_pixel(x, y).0.map(u32::from);
        let over = |c: u32| u8::try_from((c * alpha + 255 * (255 - alpha)) / 255).unwrap_or(255);
        image::Rgb([over(r), over(g), over(b)])
    })
}

fn as_jpeg(picture: &RgbImage, quality: u8) -> Result<Vec<u8>, PhotoError> {
    let mut bytes = Vec::new();
    picture.write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, quality))?;
    Ok(bytes)
}
