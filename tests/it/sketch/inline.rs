//! Drawings inside a page: lean, on shared patterns, without a style of their own.

use super::sample;
use pillarbook::domain::body::StyleId;
use pillarbook::domain::frame::Side;
use pillarbook::sketch::{Look, Options, View, draw, page_style_sheet, ruler, side_frame, svg};
use std::io::Write;

/// A side frame and the rulers of its side, as a page carries them.
fn page(id: StyleId) -> String {
    let sample = sample::full(id);
    let options = sample::options(Look::Light);
    let mut page = svg::inline_defs();
    page += &svg::write_inline(&side_frame(&sample.zones, Side::Left, &options));
    let bare = Options {
        cautions: false,
        title: None,
        ..options
    };
    for span in sample.zones.spans.iter().filter(|s| s.side != Side::Right) {
        page += &svg::write_inline(&ruler(&sample.zones, span, &bare));
    }
    page
}

#[test]
fn a_side_frame_and_every_ruler_of_its_side_leave_a_third_of_the_first_flight_to_the_page() {
    for id in StyleId::ALL {
        let mut writer = brotli::CompressorWriter::new(Vec::new(), 4096, 11, 22);
        writer.write_all(page(*id).as_bytes()).unwrap();
        let bytes = writer.into_inner().len();
        // RFC 6928: ten segments of 1,460 bytes.
        assert!(bytes < 14_600 * 67 / 100, "{id}: {bytes} bytes");
    }
}

#[test]
fn every_class_of_every_drawing_is_in_both_style_sheets_and_every_pattern_is_defined() {
    let (alone, inside) = (Look::Light.style_sheet(), page_style_sheet());
    for id in StyleId::ALL {
        let sample = sample::full(*id);
        let mut text = page(*id);
        for view in View::ALL {
            text += &svg::write_inline(&draw(
                &sample.zones,
                &sample.body,
                *view,
                &sample::options(Look::Light),
            ));
        }
        for classes in text
            .split("class=\"")
            .skip(1)
            .map(|t| t.split('"').next().unwrap())
        {
            for class in classes.split(' ').filter(|c| *c != "k" || classes != "k") {
                assert!(alone.contains(&format!(".{class}{{")), "{class}");
                assert!(inside.contains(&format!(".k .{class}{{")), "{class}");
            }
        }
        for pattern in text
            .split("url(#")
            .skip(1)
            .map(|t| t.split(')').next().unwrap())
        {
            assert!(
                text.contains(&format!("<pattern id=\"{pattern}\"")),
                "{pattern}"
            );
        }
        assert!(
            !text.contains(" style=") && !text.contains("<style"),
            "a strict policy would drop it"
        );
    }
}

#[test]
fn the_page_follows_the_readers_scheme_and_the_printer() {
    let css = page_style_sheet();
    assert!(css.contains("@media(prefers-color-scheme:dark)") && css.contains("@media print"));
    assert_eq!(css.matches('{').count(), css.matches('}').count());
}
