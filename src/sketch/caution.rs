//! What every sketch says: the cautions, the day and revision it shows, and
//! whether anybody has looked at this car. And the key of the hatches.

use super::Options;
use super::mark::{Hatch, Mark};
use super::scene::{Anchor, Pen};
use super::text::Face;
use kurbo::Rect;

/// Written once, printed on every sketch.
pub const CAUTIONS: [&str; 3] = [
    "Measured on an undamaged car: crash damage moves parts and datums.",
    "Expose and look before every cut.",
    "Local procedures and the officer’s judgement come first.",
];

const GENERIC: &str = "GENERIC: nobody has looked at this car.";
const UNFITTED: &str = "Schematic, not to scale.";
const UNFITTED_CAR: &str = "Schematic, not to scale: no dimension of this car was measured.";
const FITTED: &str = "Schematic, fitted to measured dimensions.";

/// The sentences a sketch with these options carries.
pub fn sentences(options: &Options) -> Vec<String> {
    let scale = match (options.generic, options.fitted) {
        (true, _) => UNFITTED,
        (false, true) => FITTED,
        (false, false) => UNFITTED_CAR,
    };
    let mut all = Vec::new();
    if options.generic {
        all.push(GENERIC.to_owned());
    }
    all.push(scale.to_owned());
    all.extend(CAUTIONS.map(str::to_owned));
    all
}

/// `Revision 7 · 4 Mar 2026`, or what is missing of it in words.
pub fn stand(options: &Options) -> String {
    let revision = options
        .revision
        .map_or("No revision: a bare file".to_owned(), |r| {
            format!("Revision {r}")
        });
    let date = options.date.map_or("no date".to_owned(), |d| {
        let month = d.month().to_string();
        format!("{} {} {}", d.day(), &month[..3], d.year())
    });
    match options.generic {
        true => format!("Body style only · {date}"),
        false => format!("{revision} · {date}"),
    }
}

/// Writes them from a top edge down; returns the lower edge.
pub fn write(pen: &mut Pen, options: &Options, left: f64, top: f64, width: f64) -> f64 {
    let face = Face::Small;
    let mut y = top + face.ascent();
    if options.generic {
        y = pen.lines(
            Face::Word,
            Anchor::Start,
            (left, y),
            &Face::Word.wrap(GENERIC, width),
        );
    }
    if let Some(variant) = options.variant {
        let said = format!("SHOWN FOR: {variant}");
        y = pen.lines(
            Face::Word,
            Anchor::Start,
            (left, y),
            &Face::Word.wrap(&said, width),
        );
    }
    let words: Vec<String> = sentences(options)
        .into_iter()
        .filter(|s| s != GENERIC)
        .collect();
    let lines = face.wrap(&words.join(" "), width);
    y = pen.lines(face, Anchor::Start, (left, y), &lines);
    pen.text(Face::Note, Anchor::Start, (left, y + 1.0), stand(options));
    y + 1.0 + Face::Note.descent()
}

/// The key of the marks, with or without blade gaps: a swatch and a word each, as many a line as fit.
pub fn key(pen: &mut Pen, gaps: bool, left: f64, top: f64, width: f64) -> f64 {
    const SWATCH: (f64, f64) = (20.0, 12.0);
    let entries: [(Mark, &str); 8] = [
        (Mark::Part, "part"),
        (Mark::Fill(Hatch::Clearance), "NO CUT"),
        (Mark::Fill(Hatch::Widening), "NO CUT, uncertain"),
        (Mark::Fill(Hatch::Expected), "EXPECT"),
        (Mark::Fill(Hatch::Unseen), "UNSEEN"),
        (Mark::Bare, "BARE"),
        (Mark::Hard, "HARD"),
        (Mark::Gap, "blade gap"),
    ];
    let (mut x, mut y) = (left, top);
    for (mark, word) in entries.into_iter().filter(|e| gaps || e.0 != Mark::Gap) {
        let wide = SWATCH.0 + 5.0 + Face::Note.width(word) + 10.0;
        if x > left && x + wide > left + width {
            (x, y) = (left, y + 19.0);
        }
        let swatch = Rect::new(x, y, x + SWATCH.0, y + SWATCH.1);
        match mark {
            Mark::Hard => pen.line(mark, &[(x, y + 6.0), (x + SWATCH.0, y + 6.0)]),
            Mark::Gap => pen.line(
                mark,
                &[
                    (x + 1.0, y + 2.0),
                    (x + 1.0, y + 9.0),
                    (x + SWATCH.0 - 1.0, y + 9.0),
                    (x + SWATCH.0 - 1.0, y + 2.0),
                ],
            ),
            _ => {
                pen.rect(mark, swatch);
                pen.rect(Mark::EdgeThin, swatch);
            }
        }
        pen.text(
            Face::Note,
            Anchor::Start,
            (x + SWATCH.0 + 5.0, y + 10.0),
            word,
        );
        x += wide;
    }
    y + SWATCH.1 + 6.0
}
