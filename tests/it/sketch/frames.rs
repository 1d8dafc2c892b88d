//! Side frames and rulers.

use super::sample::{self, Sample};
use kurbo::Rect;
use pillarbook::domain::body::StyleId;
use pillarbook::domain::frame::Side;
use pillarbook::domain::zone::Class;
use pillarbook::sketch::mark::{Hatch, Mark};
use pillarbook::sketch::scene::{Form, Item, Scene};
use pillarbook::sketch::{Look, Options, png, ruler, side_frame, svg};

/// Every text is inside the frame and on no other.
pub fn assert_words_stand_free(scene: &Scene, what: &str) {
    let texts = scene.texts();
    let frame = Rect::new(-0.5, -0.5, scene.width + 0.5, scene.height + 0.5);
    let boxes: Vec<Rect> = texts.iter().map(|t| t.bounds()).collect();
    for (i, a) in texts.iter().enumerate() {
        let own = boxes[i];
        assert!(
            frame.contains(own.origin()) && own.x1 <= frame.x1 && own.y1 <= frame.y1,
            "{what}: “{}” leaves the frame: {own:?}",
            a.words
        );
        for (b, other) in texts.iter().zip(&boxes).skip(i + 1) {
            let apart = own.x1 <= other.x0 + 0.1
                || other.x1 <= own.x0 + 0.1
                || own.y1 <= other.y0 + 0.6
                || other.y1 <= own.y0 + 0.6;
            assert!(
                apart,
                "{what}: “{}” lies on “{}”: {own:?} {other:?}",
                a.words, b.words
            );
        }
    }
}

fn scenes(sample: &Sample, options: &Options) -> Vec<(String, Scene)> {
    let mut all: Vec<(String, Scene)> = [Side::Left, Side::Right]
        .map(|side| {
            (
                format!("frame {side:?}"),
                side_frame(&sample.zones, side, options),
            )
        })
        .into();
    for span in &sample.zones.spans {
        all.push((span.id.to_string(), ruler(&sample.zones, span, options)));
    }
    all
}

#[test]
fn words_stand_free_on_frames_and_rulers_of_five_hundred_random_cards() {
    let options = sample::options(Look::Light);
    for seed in 0..500 {
        let sample = sample::random(seed, 40);
        for (what, scene) in scenes(&sample, &options) {
            assert_words_stand_free(&scene, &format!("card {seed}, {what}"));
        }
    }
}

#[test]
fn an_independent_reader_takes_every_frame_and_ruler() {
    for (n, id) in StyleId::ALL.iter().enumerate() {
        let sample = sample::full(*id);
        for (what, scene) in scenes(&sample, &sample::options(Look::ALL[n % 3])) {
            let text = svg::write(&scene, Look::ALL[n % 3]);
            let document =
                roxmltree::Document::parse(&text).unwrap_or_else(|e| panic!("{id} {what}: {e}"));
            let title = document
                .descendants()
                .find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "title")));
            assert!(
                title.and_then(|t| t.text()).is_some_and(|t| t.len() > 8),
                "{id} {what}"
            );
            roxmltree::Document::parse(&svg::write_inline(&scene)).unwrap();
        }
    }
}

#[test]
fn a_frame_is_drawn_as_a_picture_of_the_width_asked_for() {
    let scene = side_frame(
        &sample::full(StyleId::Sedan).zones,
        Side::Left,
        &sample::options(Look::Dark),
    );
    let bytes = png::render(&scene, Look::Dark, 720).unwrap();
    assert_eq!(&bytes[1..4], b"PNG");
    assert_eq!(u32::from_be_bytes(bytes[16..20].try_into().unwrap()), 720);
    assert!(png::render(&scene, Look::Dark, 100_000).is_err());
    assert!(png::render(&scene, Look::Dark, 0).is_err());
}

#[test]
fn every_stretch_of_a_ruler_has_its_hatch_and_every_gap_its_bracket_and_figures() {
    let options = Options::default();
    for seed in 0..60 {
        let sample = sample::random(seed, 40);
        for span in &sample.zones.spans {
            let scene = ruler(&sample.zones, span, &options);
            let shapes = scene.shapes();
            let scale = 336.0 / span.length_mm;
            for stretch in &span.stretches {
                let fits = |mark: Mark| match stretch.class {
                    Class::NoCut => matches!(mark, Mark::Fill(Hatch::Widening | Hatch::Clearance)),
                    Class::Bare => mark == Mark::Bare,
                    Class::Expected => mark == Mark::Fill(Hatch::Expected),
                    Class::Unproven => mark == Mark::Fill(Hatch::Unseen),
                };
                let (x0, x1) = (12.0 + stretch.from_mm * scale, 12.0 + stretch.to_mm * scale);
                let drawn = shapes.iter().any(|s| match s.form {
                    Form::Rect(r) => {
                        fits(s.mark) && (r.x0 - x0).abs() < 0.01 && (r.x1 - x1).abs() < 0.01
                    }
                    _ => false,
                });
                assert!(drawn, "card {seed}, {}: {stretch:?} is not drawn", span.id);
            }
            let brackets = shapes
                .iter()
                .filter(|s| matches!(s.mark, Mark::Gap | Mark::GapUnseen | Mark::GapExpected))
                .filter(|s| matches!(&s.form, Form::Line { points, .. } if points.len() == 4))
                .count();
            assert_eq!(brackets, span.gaps.len(), "card {seed}, {}", span.id);
            let words: Vec<&str> = scene.texts().iter().map(|t| t.words.as_str()).collect();
            for gap in &span.gaps {
                // Inward: the first whole millimetre inside, the last one inside.
                let (a, b) = ((gap.from_mm - 1e-6).ceil(), (gap.to_mm + 1e-6).floor());
                let figure = if a == b {
                    format!("{a}")
                } else {
                    format!("{a}–{b}")
                };
                assert!(
                    words.contains(&format!("{figure} mm").as_str()),
                    "card {seed}, {}: {figure} not in {words:?}",
                    span.id
                );
            }
        }
    }
}

#[test]
fn a_frame_has_a_bar_for_every_span_of_its_side_and_each_leads_to_its_ruler() {
    for id in StyleId::ALL {
        let sample = sample::full(*id);
        let scene = side_frame(&sample.zones, Side::Left, &sample::options(Look::Light));
        let links: Vec<_> = scene
            .items
            .iter()
            .filter_map(|i| if let Item::Link(l) = i { Some(l) } else { None })
            .collect();
        let here = sample.zones.spans.iter().filter(|s| s.side != Side::Right);
        for span in here.clone() {
            let link = links
                .iter()
                .find(|l| l.href == format!("#{}", span.id))
                .unwrap_or_else(|| panic!("{id}: {}", span.id));
            assert!(
                link.target.height() >= 44.0 && link.target.width() >= 40.0,
                "{id} {}: {:?}",
                span.id,
                link.target
            );
        }
        assert_eq!(links.len(), here.count());
    }
}

#[test]
fn cautions_date_and_revision_stand_on_every_frame() {
    for side in [Side::Left, Side::Right] {
        let scene = side_frame(
            &sample::full(StyleId::Suv).zones,
            side,
            &sample::options(Look::Print),
        );
        let words = scene
            .texts()
            .iter()
            .map(|t| t.words.as_str())
            .collect::<Vec<_>>()
            .join(" ");
        for said in [
            "Schematic, not to scale",
            "Measured on an undamaged car: crash damage moves parts and datums.",
            "Expose and look before every cut.",
            "Local procedures and the officer’s judgement come first.",
            "Revision 7 · 4 Mar 2026",
        ] {
            assert!(words.contains(said), "{side:?} does not say “{said}”");
        }
        for never in ["safe", "ready", "recommended"] {
            assert!(!words.to_lowercase().contains(never));
        }
    }
}

#[test]
fn a_generic_frame_says_that_nobody_has_looked() {
    let sample = sample::resolve(StyleId::Coupe, Vec::new());
    let options = Options {
        generic: true,
        ..Options::default()
    };
    let scene = side_frame(&sample.zones, Side::Left, &options);
    assert!(
        scene
            .texts()
            .iter()
            .any(|t| t.words.contains("nobody has looked at this car"))
    );
}

#[test]
fn names_with_markup_and_of_eighty_characters_are_written_whole_or_shortened() {
    let mut sample = sample::full(StyleId::Sedan);
    for span in &mut sample.zones.spans {
        span.name = format!("<b>&\"{}", "långt namn ".repeat(7)).into();
        span.foot = "<&\"> ".repeat(16).into();
        span.head = "x".repeat(80).into();
    }
    let title = "Corvel <Tarn> & \"Söhne\" ".repeat(4);
    let options = Options {
        title: Some(&title),
        ..sample::options(Look::Light)
    };
    for (what, scene) in scenes(&sample, &options) {
        assert_words_stand_free(&scene, &what);
        let text = svg::write(&scene, Look::Light);
        assert!(roxmltree::Document::parse(&text).is_ok(), "{what}");
        assert!(!text.contains("<b>"), "{what}");
    }
}
