//! Links drawn as QR codes, as pictures for an independent reader:
//! `tests/reference/qr_read_back.py`, which `tests/run` runs after this.

use pillarbook::web::sharing::qr;
use resvg::{tiny_skia, usvg};
use serde_json::json;

/// A secret as links carry one: 256 bits in hexadecimal.
const SECRET: &str = "2e2e9503d9694dd68d7d069fc18ddb26ee9b60c68ebfde42f55be676ace2925e";

/// Links of short and long public addresses, up to the longest name DNS allows
/// (RFC 1035, 2.3.4: 253 characters in labels of up to 63) with a port.
fn links() -> Vec<String> {
    let label = "a".repeat(63);
    let longest = format!("{label}.{label}.{label}.{}", "b".repeat(61));
    assert_eq!(longest.len(), 253);
    let hosts = [
        "http://127.0.0.1:8080".to_owned(),
        "https://book.example.test".to_owned(),
        "https://extrication-book.mutual-aid.aldermere-ridge.example.test:8443".to_owned(),
        format!("https://{label}.{label}.example.test"),
        format!("https://{longest}:65535"),
    ];
    let links = hosts.iter().map(|host| format!("{host}/shared/{SECRET}"));
    links.collect()
}

/// A drawing as a page shows it: `side` pixels of a module.
fn picture(svg: &str, module: f32) -> Vec<u8> {
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).unwrap();
    let size = (tree.size().width() * module) as u32;
    let mut pixels = tiny_skia::Pixmap::new(size, size).unwrap();
    let scale = tiny_skia::Transform::from_scale(module, module);
    resvg::render(&tree, scale, &mut pixels.as_mut());
    pixels.encode_png().unwrap()
}

#[test]
fn links_are_drawn_for_the_independent_reader() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/target/reference/qr");
    std::fs::create_dir_all(folder).unwrap();
    let mut kept = Vec::new();
    for (n, link) in links().iter().enumerate() {
        let svg = qr::svg(link).expect("a link has room in a code");
        // Large as on paper, and at the size a phone page gives it.
        for module in [8.0, 3.0] {
            let file = format!("{n}-{module}.png");
            std::fs::write(format!("{folder}/{file}"), picture(&svg, module)).unwrap();
            kept.push(json!({"file": file, "link": link}));
        }
    }
    let list = serde_json::to_string(&kept).unwrap();
    std::fs::write(format!("{folder}/links.json"), list).unwrap();
}

#[test]
fn a_code_is_black_on_white_with_four_quiet_modules_around_it() {
    let svg = qr::svg("https://book.example.test/shared/x").unwrap();
    let document = roxmltree::Document::parse(&svg).unwrap();
    let root = document.root_element();
    let side: f64 = root.attribute("width").unwrap().parse().unwrap();
    let part = |tag| root.children().find(|n| n.has_tag_name(tag)).unwrap();
    let (bed, dark) = (part("rect"), part("path"));
    assert_eq!(bed.attribute("fill"), Some("#fff"));
    assert_eq!(bed.attribute("width"), root.attribute("width"));
    assert_eq!(dark.attribute("fill"), Some("#000"));
    assert!(!svg.contains("style="), "no page takes an inline style");
    let path = kurbo::BezPath::from_svg(dark.attribute("d").unwrap()).unwrap();
    let bounds = kurbo::Shape::bounding_box(&path);
    let expected = kurbo::Rect::new(4.0, 4.0, side - 4.0, side - 4.0);
    assert_eq!(bounds, expected);
}

#[test]
fn what_is_longer_than_the_largest_code_is_not_drawn() {
    // ISO/IEC 18004, table 7: version 40 at level M takes 2,331 bytes.
    assert!(qr::svg(&"x".repeat(2_331)).is_some());
    assert!(qr::svg(&"x".repeat(2_332)).is_none());
}
