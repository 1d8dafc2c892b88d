//! A scene as a PNG, by way of its SVG. The caller bounds how many run at once:
//! one picture holds four bytes a pixel.

use super::look::Look;
use super::scene::Scene;
use super::{svg, text};
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, LazyLock};

/// Widths a picture may have, in pixels.
pub const WIDTHS: std::ops::RangeInclusive<u32> = 64..=3200;

/// The most pixels of one picture: 40 MB.
const MOST_PIXELS: f64 = 10_000_000.0;

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    #[error("a picture is {} to {} pixels wide, not {given}", WIDTHS.start(), WIDTHS.end())]
    Width { given: u32 },
    #[error(
        "at {width} pixels across this picture would be {height} high, more than is drawn at once"
    )]
    TooLarge { width: u32, height: u32 },
    #[error("the drawing cannot be read back: {0}")]
    Svg(#[from] usvg::Error),
    #[error("the picture cannot be written: {0}")]
    Encode(String),
}

static FONTS: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_font_data(text::REGULAR.to_vec());
    fonts.load_font_data(text::BOLD.to_vec());
    fonts.set_sans_serif_family("DejaVu Sans");
    Arc::new(fonts)
});

/// The picture, `width_px` across, height by the scene's shape.
///
/// # Errors
/// The width is out of [`WIDTHS`], or the picture would be too large.
pub fn render(scene: &Scene, look: Look, width_px: u32) -> Result<Vec<u8>, PngError> {
    let pixels = rasterise(&svg::write(scene, look), width_px)?;
    pixels
        .encode_png()
        .map_err(|e| PngError::Encode(e.to_string()))
}

fn rasterise(svg: &str, width_px: u32) -> Result<tiny_skia::Pixmap, PngError> {
    if !WIDTHS.contains(&width_px) {
        return Err(PngError::Width { given: width_px });
    }
    let options = usvg::Options {
        fontdb: Arc::clone(&FONTS),
        font_family: "DejaVu Sans".to_owned(),
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(svg, &options)?;
    let scale = f64::from(width_px) / f64::from(tree.size().width());
    let height = (f64::from(tree.size().height()) * scale).ceil().max(1.0);
    let too_large = PngError::TooLarge {
        width: width_px,
        height: height as u32,
    };
    if height * f64::from(width_px) > MOST_PIXELS {
        return Err(too_large);
    }
    let mut pixels = tiny_skia::Pixmap::new(width_px, height as u32).ok_or(too_large)?;
    let scale = tiny_skia::Transform::from_scale(scale as f32, scale as f32);
    resvg::render(&tree, scale, &mut pixels.as_mut());
    Ok(pixels)
}
