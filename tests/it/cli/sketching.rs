//! `sketch`: what is written where, and in which form.

use super::{run, text};
use crate::contract::EXAMPLE;
use std::path::Path;

fn sketch(directory: &Path, arguments: &[&str]) -> std::process::Output {
    run(directory, &[&["sketch", "-"], arguments].concat(), EXAMPLE)
}

#[test]
fn every_view_is_written_as_svg_with_its_cautions() {
    let directory = tempfile::tempdir().unwrap();
    for view in ["frame-left", "frame-right", "left", "right", "top", "front"] {
        let done = sketch(directory.path(), &["--view", view]);
        assert_eq!(
            done.status.code(),
            Some(0),
            "{view}: {}",
            text(&done.stderr)
        );
        let svg = text(&done.stdout);
        let document = roxmltree::Document::parse(&svg).unwrap();
        assert_eq!(document.root_element().tag_name().name(), "svg");
        let words: String = document.descendants().filter_map(|n| n.text()).collect();
        assert!(
            words.to_lowercase().contains("undamaged"),
            "{view} carries the cautions"
        );
    }
}

#[test]
fn the_file_s_name_says_how_it_is_written() {
    let directory = tempfile::tempdir().unwrap();
    let done = sketch(directory.path(), &["-o", "frame.png", "--width", "400"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let png = std::fs::read(directory.path().join("frame.png")).unwrap();
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    assert_eq!(u32::from_be_bytes(png[16..20].try_into().unwrap()), 400);
    let done = sketch(directory.path(), &["-o", "frame.svg"]);
    assert_eq!(done.status.code(), Some(0));
    assert!(
        std::fs::read(directory.path().join("frame.svg"))
            .unwrap()
            .starts_with(b"<svg")
    );
    let unnamed = sketch(directory.path(), &["-o", "frame.gif"]);
    assert_eq!(unnamed.status.code(), Some(1));
    assert!(!directory.path().join("frame.gif").exists());
}

#[test]
fn a_ruler_is_drawn_of_a_span_the_style_has() {
    let directory = tempfile::tempdir().unwrap();
    let done = sketch(directory.path(), &["--ruler", "b-pillar.left"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert!(roxmltree::Document::parse(&text(&done.stdout)).is_ok());
    let none = sketch(directory.path(), &["--ruler", "z-pillar"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(
        text(&none.stderr).contains("b-pillar.left"),
        "{}",
        text(&none.stderr)
    );
}

#[test]
fn bad_files_and_bad_choices_end_with_code_2() {
    let directory = tempfile::tempdir().unwrap();
    for arguments in [
        ["--view", "inside"],
        ["--look", "pink"],
        ["--width", "9"],
        ["--turn", "45"],
    ] {
        assert_eq!(
            sketch(directory.path(), &arguments).status.code(),
            Some(2),
            "{arguments:?}"
        );
    }
    let bad = EXAMPLE.replacen("\"petrol\"", "\"steam\"", 1);
    let done = run(directory.path(), &["sketch", "-", "-o", "out.svg"], &bad);
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("vehicle.drive"));
    assert!(!directory.path().join("out.svg").exists());
}
