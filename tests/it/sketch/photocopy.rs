//! A black-and-white copy: every hatch, drawn at phone and at paper size and
//! reduced to one bit, is told from every other, and none comes out blank.

use kurbo::Rect;
use pillarbook::sketch::Look;
use pillarbook::sketch::mark::{Hatch, Mark};
use pillarbook::sketch::png;
use pillarbook::sketch::scene::{Pen, Scene};

const SIZE: u32 = 60;

/// The swatch of a mark in one bit, true is black.
fn one_bit(mark: Mark, look: Look, scale: f64) -> Vec<bool> {
    let mut pen = Pen::default();
    pen.rect(mark, Rect::new(0.0, 0.0, 60.0, 60.0));
    let scene = Scene {
        width: 60.0,
        height: 60.0,
        title: "swatch".into(),
        desc: String::new(),
        readable: false,
        items: pen.items,
    };
    let width = (f64::from(SIZE) * scale).round() as u32;
    let picture = png::render(&scene, look, width.max(64)).unwrap();
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(picture))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    let step = info.color_type.samples();
    pixels[..info.buffer_size()]
        .chunks(step)
        .map(|p| {
            0.299 * f64::from(p[0]) + 0.587 * f64::from(p[1]) + 0.114 * f64::from(p[2]) < 128.0
        })
        .collect()
}

/// What the eye tells a texture by: how black it is, how often it changes along
/// rows, columns and the two diagonals, a user unit.
fn texture(bits: &[bool], scale: f64) -> [f64; 5] {
    let side = (bits.len() as f64).sqrt().round() as usize;
    let n = bits.len() as f64;
    let black = bits.iter().filter(|b| **b).count() as f64 / n;
    let changes = |dx: isize, dy: isize| {
        let at = |x: usize, y: usize| bits[y * side + x];
        let mut changed = 0.0;
        for y in 0..side - 1 {
            for x in 1..side - 1 {
                let (x2, y2) = (x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
                changed += f64::from(at(x, y) != at(x2, y2));
            }
        }
        changed / n * scale
    };
    [
        black,
        changes(1, 0),
        changes(0, 1),
        changes(1, 1),
        changes(-1, 1),
    ]
}

#[test]
fn every_hatch_is_told_from_every_other_in_one_bit() {
    let marks: Vec<Mark> = Hatch::ALL
        .map(Mark::Fill)
        .into_iter()
        .chain([Mark::Part, Mark::Bare])
        .collect();
    for look in [Look::Light, Look::Print] {
        // Phone at one and at two device pixels a unit; paper at 300 dpi over 90 mm.
        for scale in [1.07, 2.0, 2.95] {
            let seen: Vec<_> = marks
                .iter()
                .map(|m| texture(&one_bit(*m, look, scale), scale))
                .collect();
            for (i, a) in seen.iter().enumerate() {
                for (j, b) in seen.iter().enumerate().skip(i + 1) {
                    let apart = a
                        .iter()
                        .zip(b)
                        .map(|(a, b)| (a - b).abs())
                        .fold(0.0, f64::max);
                    assert!(
                        apart > 0.08,
                        "{look:?} ×{scale}: {:?} {a:?} and {:?} {b:?}",
                        marks[i],
                        marks[j]
                    );
                }
            }
        }
    }
}

#[test]
fn what_nobody_has_seen_never_comes_out_blank() {
    for look in [Look::Light, Look::Print] {
        for scale in [1.07, 2.0, 2.95] {
            for hatch in Hatch::ALL {
                let [black, ..] = texture(&one_bit(Mark::Fill(hatch), look, scale), scale);
                assert!(
                    (0.1..0.9).contains(&black),
                    "{look:?} ×{scale}: {hatch:?} is {black}"
                );
            }
            assert_eq!(texture(&one_bit(Mark::Bare, look, scale), scale)[0], 0.0);
        }
    }
}

#[test]
fn no_line_is_thinner_than_one_and_a_third() {
    for look in Look::ALL {
        let sheet = look.style_sheet();
        for rule in sheet.lines() {
            if let Some((_, rest)) = rule.split_once("stroke-width:") {
                let figure: String = rest
                    .chars()
                    .take_while(|c| c.is_ascii_digit() || *c == '.')
                    .collect();
                assert!(figure.parse::<f64>().unwrap() >= 1.3, "{rule}");
            }
        }
    }
}
