//! Photos as a camera would send them, made here: pixels of four colours, one a
//! corner, and beside them where, when and by what device they were taken.

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ImageEncoder, Rgb, RgbImage};
use std::io::Cursor;

pub const RED: [u8; 3] = [220, 30, 30];
pub const BLUE: [u8; 3] = [30, 30, 220];
pub const YELLOW: [u8; 3] = [220, 220, 30];
pub const WHITE: [u8; 3] = [255, 255, 255];

/// Red at the top left, blue at the top right, yellow at the bottom left, white.
pub fn pixels(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        Rgb(match (x < width / 2, y < height / 2) {
            (true, true) => RED,
            (false, true) => BLUE,
            (true, false) => YELLOW,
            (false, false) => WHITE,
        })
    })
}

/// What a camera notes: device, place, and how it was held (TIFF 6.0 tag 274).
pub fn noted(orientation: u16) -> Vec<u8> {
    let degrees = [(52, 1), (13, 1), (4_711, 100)].map(|(a, b)| Rational { num: a, denom: b });
    let text = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
    let fields = [
        (Tag::Make, text("Invented Cameras")),
        (Tag::Orientation, Value::Short(vec![orientation])),
        (Tag::DateTimeOriginal, text("2026:03:04 10:11:12")),
        (Tag::GPSLatitudeRef, text("N")),
        (Tag::GPSLatitude, Value::Rational(degrees.to_vec())),
    ]
    .map(|(tag, value)| Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    });
    let mut writer = Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, false).unwrap();
    bytes.into_inner()
}

fn encoded(mut encoder: impl ImageEncoder, picture: &RgbImage, orientation: u16) {
    encoder.set_exif_metadata(noted(orientation)).unwrap();
    picture.write_with_encoder(encoder).unwrap();
}

pub fn jpeg(width: u32, height: u32, orientation: u16) -> Vec<u8> {
    let mut bytes = Vec::new();
    encoded(
        JpegEncoder::new_with_quality(&mut bytes, 92),
        &pixels(width, height),
        orientation,
    );
    bytes
}

pub fn png(width: u32, height: u32, orientation: u16) -> Vec<u8> {
    let mut bytes = Vec::new();
    encoded(
        PngEncoder::new(&mut bytes),
        &pixels(width, height),
        orientation,
    );
    bytes
}

pub fn webp(width: u32, height: u32, orientation: u16) -> Vec<u8> {
    let mut bytes = Vec::new();
    encoded(
        WebPEncoder::new_lossless(&mut bytes),
        &pixels(width, height),
        orientation,
    );
    bytes
}

/// A PNG of one colour that says it has so many pixels; few bytes unpack to it.
pub fn bomb(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::One);
    encoder.set_compression(png::Compression::High);
    let mut writer = encoder.write_header().unwrap();
    let mut rows = writer.stream_writer().unwrap();
    let row = vec![0; width.div_ceil(8) as usize];
    for _ in 0..height {
        std::io::Write::write_all(&mut rows, &row).unwrap();
    }
    rows.finish().unwrap();
    writer.finish().unwrap();
    bytes
}
