//! A link as a QR code (ISO/IEC 18004): the crate works out the modules, here
//! they are drawn. Black on white whatever the page's colours are, with the
//! quiet zone of four modules that the standard asks for.

use fast_qr::{ECL, QRBuilder, QRCode};
use std::fmt::Write;

/// White modules around the code (ISO/IEC 18004, 5.3.8).
const QUIET: usize = 4;

/// A drawing of `text` as a QR code, one unit a module; `None` where it is longer
/// than the largest code takes (2,331 bytes at level M).
///
/// Level M: what is dirty or creased may be a seventh of it.
pub fn svg(text: &str) -> Option<String> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let side = code.size + 2 * QUIET;
    Some(format!(
        "<svg class=\"qr\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" \
         width=\"{side}\" height=\"{side}\" role=\"img\" aria-label=\"The link as a QR code\" \
         shape-rendering=\"crispEdges\"><rect width=\"{side}\" height=\"{side}\" fill=\"#fff\"/>\
         <path d=\"{}\" fill=\"#000\"/></svg>",
        runs(&code)
    ))
}

/// The dark modules as a path: each run of a row is one rectangle.
fn runs(code: &QRCode) -> String {
    let mut path = String::new();
    for y in 0..code.size {
        let mut x = 0;
        while x < code.size {
            let dark = |x: usize| x < code.size && code[y][x].value();
            let end = (x..).find(|x| !dark(*x)).expect("a row ends");
            if end > x {
                let (left, top, wide) = (x + QUIET, y + QUIET, end - x);
                write!(path, "M{left} {top}h{wide}v1h-{wide}z").expect("memory takes text");
            }
            x = end + 1;
        }
    }
    path
}
