//! Components as numbers around the car, each in a box whose edge tells the
//! state of the evidence, with a leader to the part and a key below.

use super::super::bar::Flags;
use super::super::mark::Mark;
use super::super::place::Taken;
use super::super::scene::{Anchor, Pen};
use super::super::text::Face;
use super::{Drawing, LEFT, RIGHT};
use crate::domain::finding::Place;
use crate::domain::zone::Component;
use kurbo::{Point, Rect};

const HIGH: f64 = 15.0;

/// Numbers with their leaders; returns the components in the order of numbers.
pub fn numbers<'a>(drawing: &'a Drawing, pen: &mut Pen, taken: &mut Taken) -> Vec<&'a Component> {
    let shown = drawing.components();
    for (_, at) in &shown {
        taken.take(Rect::from_center_size(*at, (7.0, 7.0)));
    }
    let mut placed = Vec::new();
    for (i, (component, at)) in shown.iter().enumerate() {
        let text = (i + 1).to_string();
        let wide = Face::Word.width(&text) + 8.0;
        if let Some(own) = taken.around(*at, wide, HIGH, 600.0) {
            placed.push((own, *at, text, Flags::of_component(component)));
        }
    }
    for (own, at, ..) in &placed {
        pen.line(Mark::Leader, &[own.center().into(), (*at).into()]);
    }
    for (own, at, text, flags) in placed {
        let dot: Point = at;
        pen.stroke(Mark::Foot, vec![dot, dot], 3.4);
        let own = own.inset(-1.2);
        pen.rect(Mark::Paper, own);
        if flags.disputed {
            pen.rect(Mark::EdgeDouble, own.inset(-2.2));
        } else if flags.offered {
            pen.rect(Mark::EdgeOffered, own);
        } else if !flags.single {
            pen.rect(Mark::Edge, own);
        }
        pen.text(
            Face::Word,
            Anchor::Middle,
            (own.center().x, own.center().y + 4.3),
            text,
        );
    }
    shown.into_iter().map(|(component, _)| component).collect()
}

/// What each number is, where, and how well it is known; two columns.
pub fn key(drawing: &Drawing, pen: &mut Pen, components: &[&Component], top: f64) -> f64 {
    if components.is_empty() {
        let words = match drawing.zones.components.len() {
            0 => "No component has been recorded on this card.".to_owned(),
            1 => "1 component is recorded; it is not in this view.".to_owned(),
            n => format!("{n} components are recorded; none is in this view."),
        };
        pen.text(Face::Note, Anchor::Start, (LEFT, top + 12.0), words);
        return top + 18.0;
    }
    let column = 0.5 * (RIGHT - LEFT) - 6.0;
    let rows = components.len().div_ceil(2);
    let entries: Vec<Vec<String>> = components
        .iter()
        .enumerate()
        .map(|(i, c)| Face::Note.wrap_to(&entry(drawing, i + 1, c), column, 3))
        .collect();
    let mut lower = top;
    for (n, half) in entries.chunks(rows).enumerate() {
        let mut y = top + 12.0;
        for lines in half {
            let x = LEFT + n as f64 * (column + 12.0);
            y = pen.lines(Face::Note, Anchor::Start, (x, y), lines) + 2.0;
        }
        lower = lower.max(y - 10.0);
    }
    lower
}

fn entry(drawing: &Drawing, number: usize, component: &Component) -> String {
    let mut words = vec![format!("{number}  {}", component.kind.name())];
    if let Place::OnSpan { span, .. } = &component.place {
        let found = drawing.zones.spans.iter().find(|s| s.id == *span);
        words.extend(found.map(super::super::name::full_name));
    }
    words.extend(
        Flags::of_component(component)
            .words()
            .into_iter()
            .map(str::to_owned),
    );
    words.join(" · ")
}
