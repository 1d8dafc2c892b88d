//! The plain writer to SVG. Every number is rounded here, to a tenth of a unit,
//! and every text escaped. Consecutive shapes of one mark share one path.

use super::look::{Look, face_class};
use super::mark::{Hatch, Mark};
use super::scene::{Anchor, Axis, Form, Item, Link, Scene, Shape, Text};
use kurbo::{PathEl, Point};
use std::fmt::Write;

/// A file of its own: style sheet and patterns inside.
pub fn write(scene: &Scene, look: Look) -> String {
    let mut out = String::with_capacity(16 * 1024);
    let (w, h) = (Number(scene.width), Number(scene.height));
    let role = if scene.has_links() { "group" } else { "img" };
    push(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"{role}\" aria-labelledby=\"t d\" font-family=\"DejaVu Sans,system-ui,sans-serif\"><title id=\"t\">{}</title><desc id=\"d\">{}</desc><style>{}</style><defs>",
            Escaped(&scene.title),
            Escaped(&scene.desc),
            look.style_sheet(),
        ),
    );
    for hatch in Hatch::ALL {
        out.push_str(hatch.pattern());
    }
    push(
        &mut out,
        format_args!("</defs><path class=\"bg\" d=\"M0 0h{w}v{h}h-{w}z\"/>"),
    );
    match look {
        Look::Print => items(&mut out, &scene.ruled().items),
        Look::Light | Look::Dark => items(&mut out, &scene.items),
    }
    out.push_str("</svg>\n");
    out
}

/// Inside a page that carries [`inline_defs`] once and the page's style sheet.
pub fn write_inline(scene: &Scene) -> String {
    let mut out = String::with_capacity(8 * 1024);
    let role = if scene.readable || scene.has_links() {
        "group"
    } else {
        "img"
    };
    let (w, h) = (Number(scene.width), Number(scene.height));
    let title = Escaped(&scene.title);
    push(
        &mut out,
        format_args!(
            "<svg class=\"k\" viewBox=\"0 0 {w} {h}\" role=\"{role}\" aria-label=\"{title}\">"
        ),
    );
    if scene.readable {
        items(&mut out, &scene.snapped().items);
    } else {
        push(
            &mut out,
            format_args!("<desc>{}</desc>", Escaped(&scene.desc)),
        );
        items(&mut out, &scene.items);
    }
    out.push_str("</svg>");
    out
}

/// The patterns every inline drawing of a page shares; put it once, before them.
pub fn inline_defs() -> String {
    let patterns: String = Hatch::ALL.iter().map(|h| h.pattern()).collect();
    format!(
        "<svg class=\"k\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>{patterns}</defs></svg>"
    )
}

fn items(out: &mut String, items: &[Item]) {
    let mut at = 0;
    while at < items.len() {
        match &items[at] {
            Item::Shape(first) => {
                let same = |item: &&Item| matches!(item, Item::Shape(s) if s.mark == first.mark && s.width == first.width);
                let run: Vec<&Shape> = items[at..]
                    .iter()
                    .take_while(same)
                    .filter_map(|i| {
                        if let Item::Shape(s) = i {
                            Some(s)
                        } else {
                            None
                        }
                    })
                    .collect();
                at += run.len();
                shapes(out, first.mark, first.width, &run);
            }
            Item::Text(text) => {
                words(out, text);
                at += 1;
            }
            Item::Axis(found) => {
                axis(out, found);
                at += 1;
            }
            Item::Link(found) => {
                link(out, found);
                at += 1;
            }
        }
    }
}

fn shapes(out: &mut String, mark: Mark, width: Option<f64>, run: &[&Shape]) {
    out.push_str("<path");
    if !mark.class().is_empty() {
        push(out, format_args!(" class=\"{}\"", mark.class()));
    }
    match mark.hatch() {
        Some((hatch, true)) => push(out, format_args!(" stroke=\"url(#{})\"", hatch.id())),
        Some((hatch, false)) => push(out, format_args!(" fill=\"url(#{})\"", hatch.id())),
        None => {}
    }
    if let Some(width) = width {
        push(out, format_args!(" stroke-width=\"{}\"", Number(width)));
    }
    out.push_str(" d=\"");
    for shape in run {
        form(out, &shape.form);
    }
    out.push_str("\"/>");
}

fn form(out: &mut String, form: &Form) {
    match form {
        Form::Rect(r) => {
            // The far edge is rounded, not the width: neighbours meet without a seam.
            let (x, y, w, h) = (
                tenth(r.x0),
                tenth(r.y0),
                tenth(r.x1) - tenth(r.x0),
                tenth(r.y1) - tenth(r.y0),
            );
            push(
                out,
                format_args!(
                    "M{} {}h{}v{}h{}z",
                    Number(x),
                    Number(y),
                    Number(w),
                    Number(h),
                    Number(-w)
                ),
            );
        }
        Form::Line { points, closed } => {
            for (i, p) in points.iter().enumerate() {
                out.push(if i == 0 { 'M' } else { 'L' });
                point(out, *p);
            }
            if points.len() > 1 && points.iter().all(|p| *p == points[0]) {
                out.push_str("h0");
            }
            if *closed {
                out.push('z');
            }
        }
        Form::Curve(path) => {
            let mut last = Point::ZERO;
            for element in path.elements() {
                match *element {
                    PathEl::LineTo(p) => step(out, last, p),
                    _ => curve(out, element),
                }
                last = element.end_point().unwrap_or(last);
            }
        }
    }
}

/// A straight piece by how far it goes: the lines of a hatch are alike, and so
/// pack better. From rounded end to rounded end, so that nothing drifts.
fn step(out: &mut String, from: Point, to: Point) {
    let (dx, dy) = (tenth(to.x) - tenth(from.x), tenth(to.y) - tenth(from.y));
    match (tenth(dx) == 0.0, tenth(dy) == 0.0) {
        (true, false) => push(out, format_args!("v{}", Number(dy))),
        (_, true) => push(out, format_args!("h{}", Number(dx))),
        (false, false) => push(out, format_args!("l{} {}", Number(dx), Number(dy))),
    }
}

fn curve(out: &mut String, element: &PathEl) {
    let (letter, points): (char, Vec<Point>) = match *element {
        PathEl::MoveTo(p) => ('M', vec![p]),
        PathEl::LineTo(p) => ('L', vec![p]),
        PathEl::QuadTo(a, p) => ('Q', vec![a, p]),
        PathEl::CurveTo(a, b, p) => ('C', vec![a, b, p]),
        PathEl::ClosePath => ('z', Vec::new()),
    };
    out.push(letter);
    for (i, p) in points.iter().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        point(out, *p);
    }
}

fn point(out: &mut String, p: Point) {
    push(out, format_args!("{} {}", Number(p.x), Number(p.y)));
}

fn words(out: &mut String, text: &Text) {
    let anchor = match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " m",
        Anchor::End => " r",
    };
    push(
        out,
        format_args!(
            "<text class=\"{}{anchor}\" x=\"{}\" y=\"{}\">{}</text>",
            face_class(text.face),
            Number(text.at.x),
            Number(text.at.y),
            Escaped(&text.words),
        ),
    );
}

/// Its name is a title, not a label of its own: the words drawn inside stay
/// part of what is read out.
fn link(out: &mut String, link: &Link) {
    push(
        out,
        format_args!("<a href=\"{}\"><path class=\"x\" d=\"", Escaped(&link.href)),
    );
    form(out, &Form::Rect(link.target));
    push(
        out,
        format_args!("\"/><title>{}</title>", Escaped(&link.label)),
    );
    items(out, &link.items);
    out.push_str("</a>");
}

/// Nothing to see: a script reads the span and the station of each point.
fn axis(out: &mut String, axis: &Axis) {
    push(
        out,
        format_args!(
            "<path class=\"x\" data-span=\"{}\" data-name=\"{}\" data-mm=\"",
            Escaped(&axis.span),
            Escaped(&axis.name)
        ),
    );
    for (i, station) in axis.stations_mm.iter().enumerate() {
        let between = if i == 0 { "" } else { " " };
        push(out, format_args!("{between}{}", Number(*station)));
    }
    out.push_str("\" d=\"");
    let line = Form::Line {
        points: axis.points.clone(),
        closed: false,
    };
    form(out, &line);
    out.push_str("\"/>");
}

fn push(out: &mut String, text: std::fmt::Arguments<'_>) {
    out.write_fmt(text).expect("strings take text");
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// A number to a tenth, as short as it gets; the one place where numbers round.
struct Number(f64);

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let value = tenth(self.0) + 0.0;
        let text = format!("{value}");
        f.write_str(&text.replacen(
            "0.",
            ".",
            usize::from(text.starts_with("0.") || text.starts_with("-0.")),
        ))
    }
}

/// Text for XML content and attributes; control characters that XML forbids
/// become a replacement sign.
struct Escaped<'a>(&'a str);

impl std::fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for c in self.0.chars() {
            match c {
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '&' => f.write_str("&amp;")?,
                '"' => f.write_str("&quot;")?,
                '\t' | '\n' | '\r' => f.write_char(' ')?,
                '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => f.write_char('\u{fffd}')?,
                _ => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sliver_of_a_stretch_does_not_vanish_in_a_page() {
        let sliver = kurbo::Rect::new(10.1, 5.0, 10.3, 20.0);
        let mut pen = super::super::scene::Pen::default();
        pen.rect(Mark::Part, sliver);
        let scene = Scene {
            width: 30.0,
            height: 30.0,
            title: "sliver".into(),
            desc: String::new(),
            readable: true,
            items: pen.items,
        };
        assert!(write_inline(&scene).contains("M10.1 5h.2v15h-.2z"));
    }

    #[test]
    fn numbers_are_short() {
        let shown = [0.04, -0.04, 0.5, -0.5, 12.0, 12.34, 100.96].map(|n| Number(n).to_string());
        assert_eq!(shown, ["0", "0", ".5", "-.5", "12", "12.3", "101"]);
    }
}
