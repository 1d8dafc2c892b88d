//! The standing bars, each in its column with its brackets, figures and flags.

use super::super::bar::{self, Bar, Beside, Flags, Toward};
use super::super::figures::{Range, inches, mm};
use super::super::name::pillar_name;
use super::super::note;
use super::super::place::spread;
use super::super::scene::{Anchor, Pen};
use super::super::text::Face;
use super::super::working;
use super::{LEFT, RIGHT, ROW, Sheet, THICK, WIDTH, WORDS};
use crate::domain::body::SpanGroup;
use crate::domain::zone::SpanZones;
use kurbo::Rect;

impl Sheet<'_> {
    /// The standing bars; returns the line their names end on.
    pub(super) fn pillars(&self, pen: &mut Pen, top: f64) -> f64 {
        let mut pillars = self.of(SpanGroup::Pillar);
        let wished = |s: &SpanZones| self.to_x.0 + self.to_x.1 * self.middle_x(s);
        pillars.sort_by(|a, b| wished(a).total_cmp(&wished(b)));
        let tallest = pillars.iter().map(|s| s.length_mm).fold(0.0, f64::max) * self.scale;
        let foot = top + tallest;
        let column = self.column();
        let middles: Vec<f64> = pillars.iter().map(|s| wished(s)).collect();
        let widths = vec![column; pillars.len()];
        let placed = spread(&middles, &widths, 4.0, WIDTH - 4.0).unwrap_or_default();
        for (middle, span) in placed.iter().zip(&pillars) {
            let x = middle - column / 2.0;
            self.pillar(pen, span, Rect::new(x, top, x + column, foot));
        }
        foot + 18.0
    }

    /// How wide a pillar's column is.
    pub(super) fn column(&self) -> f64 {
        let pillars = self.of(SpanGroup::Pillar).len().max(1);
        112.0_f64.min((RIGHT - LEFT) / pillars as f64)
    }

    /// Whether flags beside pillars are signs, which want their key.
    pub(super) fn signed(&self) -> bool {
        let flagged = |s: &&SpanZones| Flags::of_span(s, self.zones) != Flags::default();
        self.column() - 10.0 - THICK - 11.0 < WORDS
            && self.of(SpanGroup::Pillar).iter().any(flagged)
    }

    /// One pillar in its column: bracket, bar, figures.
    pub(super) fn pillar(&self, pen: &mut Pen, span: &SpanZones, column: Rect) {
        let bar = Bar {
            foot: column.y1,
            across: column.x0 + 10.0,
            thick: THICK,
            toward: Toward::Up,
            scale: self.scale,
            length_mm: span.length_mm,
        };
        let target = Rect::new(
            column.x0,
            bar.whole().y0.min(column.y1 - ROW),
            column.x1,
            column.y1 + 16.0,
        );
        self.linked(pen, span, target, |pen| {
            bar::draw(pen, &bar, span, self.zones);
            working::on_bar(pen, &bar, &working::on_span(self.options.works, span));
            note::on_bar(pen, &bar, self.options.notes, span, Beside::Before);
            let hard = !bar::hard_runs(span).is_empty();
            bar::hard(pen, &bar, span, Beside::After);
            for gap in bar::best_gaps(span) {
                bar::bracket(pen, &bar, &gap, Beside::Before, 7.0);
            }
            let x = bar.off(Beside::After, if hard { 10.0 } else { 4.0 });
            self.pillar_figures(
                pen,
                span,
                &bar,
                x,
                Rect::new(x, column.y0, column.x1 - 1.0, column.y1 + 3.0),
            );
            let name = Face::Name.fit(&pillar_name(span), column.width() - 4.0);
            pen.text(
                Face::Name,
                Anchor::Start,
                (bar.across + 2.0, column.y1 + 15.0),
                name,
            );
        });
    }

    /// Gap figures and flag words beside a pillar, none on another: figures of
    /// the widest gaps first, then flags, as many as the column holds.
    pub(super) fn pillar_figures(
        &self,
        pen: &mut Pen,
        span: &SpanZones,
        bar: &Bar,
        x: f64,
        room: Rect,
    ) {
        let mut labels: Vec<(f64, Face, String)> = Vec::new();
        for (stretch, flags) in span.stretches.iter().map(|s| (s, Flags::of(s, self.zones))) {
            let said = if room.width() < WORDS {
                flags.signs()
            } else {
                flags.words()
            };
            for (i, flag) in said.into_iter().enumerate() {
                let at = bar.along(0.5 * (stretch.from_mm + stretch.to_mm)) + 13.0 * i as f64;
                labels.push((at, Face::Note, flag.to_owned()));
            }
        }
        labels.dedup_by(|a, b| a.2 == b.2 && (a.0 - b.0).abs() < 14.0);
        let mut gaps = bar::best_gaps(span);
        gaps.sort_by(|a, b| (a.to_mm - a.from_mm).total_cmp(&(b.to_mm - b.from_mm)));
        let figure = if self.options.inches { inches } else { mm };
        for gap in gaps {
            let range = Range::inward(gap.from_mm, gap.to_mm);
            let (low, high) = (
                figure(range.from_mm, range.from_rounds),
                figure(range.to_mm, range.to_rounds),
            );
            labels.push((bar.along(gap.from_mm), Face::GapFigure, low));
            labels.push((bar.along(gap.to_mm), Face::GapFigure, high));
        }
        loop {
            let mut shown = labels.clone();
            shown.sort_by(|a, b| a.0.total_cmp(&b.0));
            let middles: Vec<f64> = shown.iter().map(|l| l.0).collect();
            let heights: Vec<f64> = shown.iter().map(|l| l.1.size() + 0.5).collect();
            if let Some(placed) = spread(&middles, &heights, room.y0, room.y1) {
                for (y, (_, face, text)) in placed.iter().zip(&shown) {
                    pen.text(
                        *face,
                        Anchor::Start,
                        (x, y + face.size() * 0.26),
                        text.as_str(),
                    );
                }
                return;
            }
            labels.remove(0);
        }
    }
}
