//! Photos taken in: nothing but pixels passes, upright and within limits. What
//! is in a file beside its pixels is told by an independent reader.

pub mod made;

use image::{ImageFormat, RgbImage};
use made::{BLUE, RED, WHITE, YELLOW};
use pillarbook::photo::{FULL_PX, MOST_BYTES, PhotoError, SMALL_PX, take};
use rstest::rstest;
use std::io::Cursor;

/// What the independent reader finds noted in a file.
fn noted(bytes: &[u8]) -> Vec<exif::Tag> {
    let read = exif::Reader::new().read_from_container(&mut Cursor::new(bytes));
    read.map(|found| found.fields().map(|f| f.tag).collect())
        .unwrap_or_default()
}

fn pixels(jpeg: &[u8]) -> RgbImage {
    let read = image::load_from_memory_with_format(jpeg, ImageFormat::Jpeg);
    read.unwrap().into_rgb8()
}

/// The colours of the four corners: top left and right, bottom left and right.
fn corners(picture: &RgbImage) -> [[u8; 3]; 4] {
    let (w, h) = (picture.width(), picture.height());
    let at = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)];
    at.map(|(x, y)| {
        let seen = picture
            .get_pixel((x * f64::from(w)) as u32, (y * f64::from(h)) as u32)
            .0;
        let far = |known: &[u8; 3]| -> i32 {
            let each = known
                .iter()
                .zip(seen)
                .map(|(a, b)| (i32::from(*a) - i32::from(b)).abs());
            each.sum()
        };
        let nearest = [RED, BLUE, YELLOW, WHITE]
            .into_iter()
            .min_by_key(far)
            .unwrap();
        assert!(far(&nearest) < 60, "{seen:?}");
        nearest
    })
}

/// The marker segments of a JPEG before its picture (ITU-T T.81, B.1.1).
fn segments(jpeg: &[u8]) -> Vec<u8> {
    let (mut at, mut found) = (2, Vec::new());
    while jpeg[at] == 0xFF && jpeg[at + 1] != 0xDA {
        found.push(jpeg[at + 1]);
        at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
    }
    found
}

#[rstest]
#[case(made::jpeg(640, 400, 1))]
#[case(made::png(640, 400, 1))]
#[case(made::webp(640, 400, 1))]
fn place_time_and_device_are_noted_before_and_nothing_is_after(#[case] sent: Vec<u8>) {
    let before = noted(&sent);
    for tag in [
        exif::Tag::GPSLatitude,
        exif::Tag::Make,
        exif::Tag::DateTimeOriginal,
    ] {
        assert!(before.contains(&tag), "{tag} is not in what is sent");
    }
    let taken = take(&sent).unwrap();
    for kept in [&taken.full, &taken.small] {
        assert_eq!(noted(kept), []);
        // Of what programs write beside the picture only JFIF's own header.
        let beside = segments(kept)
            .into_iter()
            .filter(|m| (0xE1..=0xEF).contains(m) || *m == 0xFE);
        assert_eq!(beside.count(), 0);
        assert!(!kept.windows(8).any(|w| w == b"Invented"));
        assert_eq!(corners(&pixels(kept)), [RED, BLUE, YELLOW, WHITE]);
    }
    assert_eq!((taken.width_px, taken.height_px), (640, 400));
}

/// TIFF 6.0, tag 274: which side of the picture the first row and column are.
#[rstest]
#[case(1, [RED, BLUE, YELLOW, WHITE], (640, 400))]
#[case(2, [BLUE, RED, WHITE, YELLOW], (640, 400))]
#[case(3, [WHITE, YELLOW, BLUE, RED], (640, 400))]
#[case(4, [YELLOW, WHITE, RED, BLUE], (640, 400))]
#[case(5, [RED, YELLOW, BLUE, WHITE], (400, 640))]
#[case(6, [YELLOW, RED, WHITE, BLUE], (400, 640))]
#[case(7, [WHITE, BLUE, YELLOW, RED], (400, 640))]
#[case(8, [BLUE, WHITE, RED, YELLOW], (400, 640))]
fn a_photo_is_kept_upright_however_the_camera_was_held(
    #[case] orientation: u16,
    #[case] seen: [[u8; 3]; 4],
    #[case] size: (u32, u32),
) {
    for sent in [
        made::jpeg(640, 400, orientation),
        made::png(640, 400, orientation),
        made::webp(640, 400, orientation),
    ] {
        let taken = take(&sent).unwrap();
        assert_eq!(corners(&pixels(&taken.full)), seen);
        assert_eq!(corners(&pixels(&taken.small)), seen);
        assert_eq!((taken.width_px, taken.height_px), size);
    }
}

#[test]
fn a_large_photo_is_made_as_large_as_a_page_needs_and_a_small_one_is_left() {
    let taken = take(&made::jpeg(4_000, 3_000, 1)).unwrap();
    assert_eq!(
        (taken.width_px, taken.height_px),
        (FULL_PX, FULL_PX * 3 / 4)
    );
    let small = pixels(&taken.small);
    assert_eq!(
        (small.width(), small.height()),
        (SMALL_PX, SMALL_PX * 3 / 4)
    );
    let tiny = take(&made::jpeg(40, 30, 1)).unwrap();
    assert_eq!((tiny.width_px, tiny.height_px), (40, 30));
}

#[test]
fn what_is_see_through_lies_on_white() {
    let mut picture = image::RgbaImage::new(64, 64);
    picture.put_pixel(0, 0, image::Rgba([0, 0, 0, 0]));
    let mut sent = Vec::new();
    picture
        .write_to(&mut Cursor::new(&mut sent), ImageFormat::Png)
        .unwrap();
    let kept = pixels(&take(&sent).unwrap().full);
    assert!(kept.pixels().all(|p| p.0.iter().all(|c| *c > 250)));
}

#[test]
fn a_file_that_unpacks_to_far_more_than_it_is_is_refused_unpacked() {
    let wide = made::bomb(20_000, 1_000);
    assert_eq!(take(&wide), Err(PhotoError::TooLong));
    let area = made::bomb(10_000, 10_000);
    assert!(area.len() < 200_000, "it is {} bytes", area.len());
    let refused = take(&area);
    assert_eq!(
        refused,
        Err(PhotoError::TooManyPixels {
            width: 10_000,
            height: 10_000
        })
    );
    // Sizes alone, with nothing behind them.
    let mut lying = made::png(8, 8, 1);
    lying[16..24].copy_from_slice(&[0x7F, 0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 0xFF, 0xFF]);
    assert!(take(&lying).is_err());
}

#[test]
fn what_is_no_photo_is_told_what_would_be() {
    for (sent, why) in [
        (vec![], PhotoError::Empty),
        (vec![0xFF; MOST_BYTES + 1], PhotoError::TooLarge),
        (
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(),
            PhotoError::Heic,
        ),
        (
            b"\0\0\0\x1cftypavif\0\0\0\0mif1avif".to_vec(),
            PhotoError::Heic,
        ),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>".to_vec(),
            PhotoError::UnknownKind,
        ),
        (b"GIF89a\x01\0\x01\0".to_vec(), PhotoError::UnknownKind),
        (b"\0\0\0\x18ftypmp42".to_vec(), PhotoError::UnknownKind),
    ] {
        assert_eq!(take(&sent), Err(why));
    }
    assert!(PhotoError::Heic.to_string().contains("JPEG"));
    assert!(PhotoError::TooLarge.to_string().contains("16 MiB"));
}

#[rstest]
#[case(made::jpeg(640, 400, 1))]
#[case(made::png(640, 400, 1))]
#[case(made::webp(640, 400, 1))]
fn a_file_cut_short_anywhere_is_refused_and_told_so(#[case] sent: Vec<u8>) {
    assert!(take(&sent).is_ok());
    let cuts = (0..sent.len()).step_by(61).chain([sent.len() - 1]);
    for cut in cuts.skip(1) {
        let refused = take(&sent[..cut]).map(drop);
        let told = PhotoError::CutShort;
        assert_eq!(refused, Err(told), "{cut} of {} bytes", sent.len());
    }
    for cut in [4, 8, 12, 30] {
        assert!(take(&sent[..cut]).is_err(), "{cut} of {} bytes", sent.len());
    }
    // A photo that a phone put something after is as whole as it was.
    let longer = [&sent[..], b"\0\0 made by a phone"].concat();
    assert_eq!(
        take(&longer).unwrap().full,
        take(&sent).unwrap().full,
        "what follows it is nobody’s"
    );
}

#[test]
fn a_jpeg_with_stray_bytes_between_its_parts_is_read_as_its_decoder_does() {
    let sent = made::jpeg(64, 48, 1);
    let head = 4 + usize::from(u16::from_be_bytes([sent[4], sent[5]])) - 2 + 2;
    assert_eq!(sent[head], 0xFF, "the first part ends there");
    let stray = [&sent[..head], &[0, 0], &sent[head..]].concat();
    assert_eq!(take(&stray).map(|t| t.full), take(&sent).map(|t| t.full));
}

#[test]
fn a_jpeg_of_another_coding_is_told_what_would_be_read() {
    // Frames by their marker (ITU-T T.81, table B.1), and twelve bits a sample.
    let sent = made::jpeg(64, 48, 1);
    let frame = sent.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    for coding in [0xC3, 0xC5, 0xC9, 0xCA, 0xCF] {
        let mut other = sent.clone();
        other[frame + 1] = coding;
        assert_eq!(take(&other), Err(PhotoError::Coding), "{coding:x}");
    }
    let mut deep = sent;
    deep[frame + 4] = 12;
    assert_eq!(take(&deep), Err(PhotoError::Coding));
    assert!(PhotoError::Coding.to_string().contains("PNG or WebP"));
}

#[test]
fn what_moves_is_refused_and_not_kept_as_its_first_picture() {
    let mut bytes = Vec::new();
    let mut moving = png::Encoder::new(&mut bytes, 4, 4);
    moving.set_color(png::ColorType::Grayscale);
    moving.set_animated(2, 0).unwrap();
    let mut writer = moving.write_header().unwrap();
    writer.write_image_data(&[0; 16]).unwrap();
    writer.write_image_data(&[255; 16]).unwrap();
    writer.finish().unwrap();
    assert_eq!(take(&bytes), Err(PhotoError::Moves));
    // The extended header of a WebP, its second flag set (RFC 9649, 2.7).
    let mut moving = made::webp(64, 48, 1);
    assert_eq!(&moving[12..16], b"VP8X");
    moving[20] |= 0b10;
    assert_eq!(take(&moving), Err(PhotoError::Moves));
}

#[test]
fn sixteen_bits_a_sample_become_eight_of_the_same_colours() {
    let deep = image::DynamicImage::ImageRgb8(made::pixels(640, 400)).into_rgb16();
    let mut sent = Vec::new();
    deep.write_to(&mut Cursor::new(&mut sent), ImageFormat::Png)
        .unwrap();
    let kept = pixels(&take(&sent).unwrap().full);
    assert_eq!(corners(&kept), [RED, BLUE, YELLOW, WHITE]);
}

#[rstest]
#[case(made::jpeg(640, 400, 1))]
#[case(made::png(640, 400, 1))]
#[case(made::webp(640, 400, 1))]
fn a_file_that_was_overwritten_is_refused_or_read_and_never_more(#[case] sent: Vec<u8>) {
    // Any answer is right but a crash.
    for at in (0..sent.len()).step_by(97) {
        let mut spoilt = sent.clone();
        spoilt[at] ^= 0x55;
        if let Ok(taken) = take(&spoilt) {
            assert_eq!(noted(&taken.full), []);
        }
    }
}
