//! A photo that was taken in once already, here or on another server: it stays
//! byte for byte where it holds nothing but a picture. Any other is taken in as a
//! new one.

use super::jpeg::{self, Segment, Segments};
use super::{FULL_PX, PhotoError, Taken, take};

/// Takes a photo in again.
///
/// # Errors
/// Why it cannot be, in words for who sent it.
pub fn take_again(bytes: &[u8]) -> Result<Taken, PhotoError> {
    let taken = take(bytes)?;
    let same_size = Some((taken.width_px, taken.height_px));
    if picture_alone(bytes) != same_size || taken.width_px.max(taken.height_px) > FULL_PX {
        return Ok(taken);
    }
    Ok(Taken {
        sha256: super::hash(bytes),
        full: bytes.to_vec(),
        ..taken
    })
}

/// Width and height of a JPEG that holds one picture and nothing beside it: of the
/// segments only those that a decoder of pixels needs, and nothing after the end.
fn picture_alone(bytes: &[u8]) -> Option<(u32, u32)> {
    let mut segments = Segments::of(bytes)?;
    let mut size = None;
    while let Some(Segment { marker, content }) = segments.next() {
        match marker {
            jpeg::EOI => return size.filter(|_| segments.rest().is_empty()),
            // JFIF without a thumbnail; tables; restarts.
            0xE0 if content.starts_with(b"JFIF\0")
                && content.ends_with(&[0, 0])
                && content.len() == 14 => {}
            0xC4 | 0xDB | 0xDD | jpeg::SOS => {}
            0xC0 | 0xC2 if size.is_none() => {
                let side = |at: usize| {
                    let pair = [*content.get(at)?, *content.get(at + 1)?];
                    Some(u32::from(u16::from_be_bytes(pair)))
                };
                size = Some((side(3)?, side(1)?));
            }
            _ => return None,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{DynamicImage, ImageFormat, RgbImage};
    use std::io::Cursor;

    fn picture(format: ImageFormat, side: u32) -> Vec<u8> {
        let shade = |x: u32, y: u32| {
            let v = u8::try_from((x * 7 + y * 13) % 256).unwrap();
            image::Rgb([v, 255 - v, v / 2])
        };
        let drawn = DynamicImage::ImageRgb8(RgbImage::from_fn(side, side, shade));
        let mut bytes = Cursor::new(Vec::new());
        drawn.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    }

    /// A JPEG with a segment put in after its beginning.
    fn with_segment(jpeg: &[u8], marker: u8, content: &[u8]) -> Vec<u8> {
        let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
        [&jpeg[..2], &[0xFF, marker], &length, content, &jpeg[2..]].concat()
    }

    #[test]
    fn what_is_kept_here_stays_byte_for_byte_however_often_it_moves() {
        let kept = take(&picture(ImageFormat::Png, 300)).unwrap();
        let again = take_again(&kept.full).unwrap();
        assert_eq!(again.full, kept.full);
        assert_eq!((again.width_px, again.height_px), (300, 300));
        assert_ne!(
            take(&kept.full).unwrap().full,
            kept.full,
            "a new one is written anew"
        );
    }

    #[test]
    fn whatever_else_lies_in_a_file_is_left_behind() {
        let kept = take(&picture(ImageFormat::Png, 300)).unwrap().full;
        let mark = b"51.5N 0.1W";
        let cases = [
            with_segment(&kept, 0xE1, &[b"Exif\0\0", &mark[..]].concat()),
            with_segment(&kept, 0xFE, mark),
            with_segment(&kept, 0xE0, &[b"JFIF\0", &mark[..]].concat()),
            [&kept[..], mark].concat(),
        ];
        for bytes in cases {
            let again = take_again(&bytes).unwrap().full;
            assert_ne!(again, bytes);
            assert!(!again.windows(mark.len()).any(|w| w == mark));
        }
        let large = picture(ImageFormat::Jpeg, FULL_PX + 8);
        assert_eq!(take_again(&large).unwrap().width_px, FULL_PX);
        assert!(
            take_again(&kept[..kept.len() / 2]).map_or(true, |t| t.full != kept[..kept.len() / 2])
        );
        assert!(take_again(b"no picture").is_err());
    }
}
