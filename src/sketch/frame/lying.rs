//! The lying bars: roof rail and rocker, and the second group below.

use super::super::bar::{self, Bar, Beside, Flags, Toward};
use super::super::figures::Range;
use super::super::mark::Mark;
use super::super::name::bar_name;
use super::super::note;
use super::super::place::spread;
use super::super::scene::{Anchor, Pen};
use super::super::text::Face;
use super::super::working;
use super::{LEFT, RIGHT, ROW, SECOND, Sheet, THICK, WIDTH};
use crate::domain::body::SpanGroup;
use crate::domain::zone::SpanZones;
use kurbo::Rect;

/// A dot beyond the end of a lying bar that its figures count from: only where
/// that is not the end they usually count from.
fn foot_dot(pen: &mut Pen, bar: &Bar) {
    let (x, y) = bar.point(0.0, bar.across + 0.5 * bar.thick);
    let x = match bar.toward {
        Toward::Right => x - 5.0,
        Toward::Up | Toward::Left => x + 5.0,
    };
    pen.rect(Mark::Ink, Rect::from_center_size((x, y), (4.0, 4.0)));
}

impl Sheet<'_> {
    /// A roof rail or rocker with its name; returns the lower edge.
    pub(super) fn lying(&self, pen: &mut Pen, span: &SpanZones, top: f64, gaps: Beside) -> f64 {
        let half = 0.5 * span.length_mm * self.scale;
        let middle_mm = self.middle_x(span);
        let middle = (self.to_x.0 + self.to_x.1 * middle_mm)
            .clamp(LEFT + half, (RIGHT - half).max(LEFT + half));
        let toward = self.toward(span);
        let foot = if toward == Toward::Right {
            middle - half
        } else {
            middle + half
        };
        let best = bar::best_gaps(span);
        let before = gaps == Beside::Before;
        // Above: name, figures, bracket, bar, hard. Below: the other way round.
        let across = if before {
            top + if best.is_empty() { 18.0 } else { 38.0 }
        } else {
            top + 8.0
        };
        let bar = Bar {
            foot,
            across,
            thick: THICK,
            toward,
            scale: self.scale,
            length_mm: span.length_mm,
        };
        let bottom = if before {
            across + THICK
        } else {
            across + THICK + if best.is_empty() { 16.0 } else { 36.0 }
        };
        let target = Rect::new(bar.whole().x0, top, bar.whole().x1, bottom.max(top + ROW));
        self.linked(pen, span, target, |pen| {
            let name_y = if before { top + 12.0 } else { bottom - 2.0 };
            self.name_with_flags(pen, span, (bar.whole().x0, name_y));
            bar::draw(pen, &bar, span, self.zones);
            working::on_bar(pen, &bar, &working::on_span(self.options.works, span));
            // The edge that no bracket is at.
            let away = if before {
                Beside::After
            } else {
                Beside::Before
            };
            note::on_bar(pen, &bar, self.options.notes, span, away);
            let (hard, figures) = if before {
                (Beside::After, across - 13.0)
            } else {
                (Beside::Before, across + THICK + 20.0)
            };
            bar::hard(pen, &bar, span, hard);
            self.gap_figures_along(pen, &bar, span, gaps, (2.0, figures));
        });
        bottom
    }

    pub(super) fn name_with_flags(&self, pen: &mut Pen, span: &SpanZones, at: (f64, f64)) {
        let name = bar_name(span);
        let flags = Flags::of_span(span, self.zones).words().join(", ");
        let room = RIGHT - at.0;
        let name = Face::Word.fit(&name, room);
        let wide = Face::Word.width(&name) + 8.0;
        pen.text(Face::Word, Anchor::Start, at, name);
        pen.text(
            Face::Note,
            Anchor::Start,
            (at.0 + wide, at.1),
            Face::Note.fit(&flags, room - wide),
        );
    }

    /// Brackets along a lying bar, their figures side by side.
    pub(super) fn gap_figures_along(
        &self,
        pen: &mut Pen,
        bar: &Bar,
        span: &SpanZones,
        side: Beside,
        (left, baseline): (f64, f64),
    ) {
        let gaps = bar::best_gaps(span);
        for gap in &gaps {
            bar::bracket(pen, bar, gap, side, 8.0);
        }
        let mut labels: Vec<(f64, String, f64)> = gaps
            .iter()
            .map(|g| {
                let range = Range::inward(g.from_mm, g.to_mm);
                let text = if self.options.inches {
                    range.inches()
                } else {
                    range.mm()
                };
                (
                    bar.along(0.5 * (g.from_mm + g.to_mm)),
                    text,
                    g.to_mm - g.from_mm,
                )
            })
            .collect();
        // Widest first, as many as there is room for; the ruler has them all.
        labels.sort_by(|a, b| b.2.total_cmp(&a.2));
        loop {
            let mut shown = labels.clone();
            shown.sort_by(|a, b| a.0.total_cmp(&b.0));
            let middles: Vec<f64> = shown.iter().map(|l| l.0).collect();
            let widths: Vec<f64> = shown
                .iter()
                .map(|l| Face::GapFigure.width(&l.1) + 8.0)
                .collect();
            if let Some(placed) = spread(&middles, &widths, left, WIDTH - 2.0) {
                for (x, label) in placed.iter().zip(&shown) {
                    pen.text(
                        Face::GapFigure,
                        Anchor::Middle,
                        (*x, baseline),
                        label.1.as_str(),
                    );
                }
                return;
            }
            labels.pop();
        }
    }

    /// Cross members and lengthwise members, a row each.
    pub(super) fn second_group(&self, pen: &mut Pen, top: f64) -> f64 {
        let rows: Vec<_> = [SpanGroup::Cross, SpanGroup::Along]
            .iter()
            .flat_map(|g| self.of(*g))
            .collect();
        if rows.is_empty() {
            return top;
        }
        let mut y = top + 12.0;
        pen.line(Mark::Tick, &[(LEFT, y), (RIGHT, y)]);
        let note = "Across the car: foot at its left end. Lengthwise: at the front or the dot.";
        y = pen.lines(
            Face::Small,
            Anchor::Start,
            (LEFT, y + 15.0),
            &Face::Small.wrap(note, RIGHT - LEFT),
        ) - 8.0;
        for (nth, span) in rows.iter().enumerate() {
            if self.foot_is_behind(span) {
                foot_dot(pen, &self.row_bar(span, y + ROW * nth as f64));
            }
        }
        for span in rows {
            self.row(pen, span, y);
            y += ROW;
        }
        y
    }

    /// Whether a lengthwise bar's figures count from its rear end.
    fn foot_is_behind(&self, span: &SpanZones) -> bool {
        let to_front = match self.front_left() {
            true => Toward::Left,
            false => Toward::Right,
        };
        span.group == SpanGroup::Along && self.toward(span) == to_front
    }

    /// Where the bar of a row lies.
    fn row_bar(&self, span: &SpanZones, top: f64) -> Bar {
        let toward = self.toward(span);
        let long = span.length_mm * self.scale;
        let foot = if toward == Toward::Right {
            SECOND
        } else {
            SECOND + long
        };
        Bar {
            foot,
            across: top + 7.0,
            thick: THICK,
            toward,
            scale: self.scale,
            length_mm: span.length_mm,
        }
    }

    pub(super) fn row(&self, pen: &mut Pen, span: &SpanZones, top: f64) {
        let bar = self.row_bar(span, top);
        self.linked(pen, span, Rect::new(LEFT, top, RIGHT, top + ROW), |pen| {
            let room = SECOND - LEFT - 8.0;
            let names = Face::Word.wrap_to(&bar_name(span), room, 2);
            let mut y = top + if names.len() > 1 { 15.0 } else { 23.0 };
            y = pen.lines(Face::Word, Anchor::Start, (LEFT, y), &names);
            let flags = Flags::of_span(span, self.zones).words().join(", ");
            pen.text(
                Face::Small,
                Anchor::Start,
                (LEFT, y - 1.0),
                Face::Small.fit(&flags, room),
            );
            bar::draw(pen, &bar, span, self.zones);
            working::on_bar(pen, &bar, &working::on_span(self.options.works, span));
            note::on_bar(pen, &bar, self.options.notes, span, Beside::Before);
            bar::hard(pen, &bar, span, Beside::Before);
            self.gap_figures_along(
                pen,
                &bar,
                span,
                Beside::After,
                (SECOND - 6.0, bar.across + THICK + 20.0),
            );
        });
    }
}
