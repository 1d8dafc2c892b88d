//! One span as a short lying bar beside a step of a plan: class words, ticks,
//! brackets of its gaps and what the plan does on it. The full figures are on
//! the span's ruler.

use super::Options;
use super::bar::{self, Bar, Beside, Toward};
use super::name::full_name;
use super::ruler::{brackets, class_words, ticks};
use super::scene::{Anchor, Pen, Scene};
use super::text::Face;
use super::working;
use crate::domain::zone::{SpanZones, Zones};

const WIDTH: f64 = 360.0;
const LEFT: f64 = 12.0;
const RIGHT: f64 = 348.0;
const THICK: f64 = 26.0;

pub fn draw(zones: &Zones, span: &SpanZones, options: &Options) -> Scene {
    let mut pen = Pen::default();
    let length_mm = span.length_mm.max(1.0);
    let bar = Bar {
        foot: LEFT,
        across: 38.0,
        thick: THICK,
        toward: Toward::Right,
        scale: (RIGHT - LEFT) / length_mm,
        length_mm,
    };
    pen.text(Face::Small, Anchor::Start, (LEFT, 12.0), "FOOT");
    pen.text(Face::Small, Anchor::End, (RIGHT, 12.0), "HEAD");
    let name = Face::Word.fit(&full_name(span), RIGHT - LEFT - 90.0);
    pen.text(Face::Word, Anchor::Middle, (WIDTH / 2.0, 12.0), name);
    class_words(&mut pen, &bar, span, 8.0);
    bar::draw(&mut pen, &bar, span, zones);
    working::on_bar(&mut pen, &bar, &working::on_span(options.works, span));
    bar::hard(&mut pen, &bar, span, Beside::After);
    let y = ticks(&mut pen, &bar);
    let y = brackets(&mut pen, &bar, span, y);
    Scene {
        width: WIDTH,
        height: (y + 6.0).ceil(),
        title: format!("Where on the {}", full_name(span)),
        desc: bar::in_words(span),
        readable: true,
        items: pen.items,
    }
}
