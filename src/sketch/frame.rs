//! The side frame: a car's side, straightened. Rocker at the bottom, roof rail
//! on top, pillars standing between them in their order, every bar to one
//! scale; cross members and what runs lengthwise lie below as a second group.
//! It is a map: which bar, how far along, and what is in the way.

use super::Options;
use super::bar::{self, Bar, Beside, Flags, Toward};
use super::caution;
use super::figures::Range;
use super::mark::Mark;
use super::place::spread;
use super::scene::{Anchor, Item, Link, Pen, Scene};
use super::text::Face;
use crate::domain::body::SpanGroup;
use crate::domain::frame::Side;
use crate::domain::vehicle::WheelSide;
use crate::domain::zone::{SpanZones, Zones};
use kurbo::Rect;

const WIDTH: f64 = 360.0;
const LEFT: f64 = 10.0;
const RIGHT: f64 = 350.0;
const THICK: f64 = 18.0;
/// Where the lying bars of the second group begin; their names stand before.
const SECOND: f64 = 132.0;
/// The tallest a pillar is drawn.
const TALLEST: f64 = 210.0;
/// A row of the second group: a touch target with gloves on.
const ROW: f64 = 48.0;
/// Room that the words of flags need beside a pillar.
const WORDS: f64 = 56.0;

pub fn draw(zones: &Zones, side: Side, options: &Options) -> Scene {
    let sheet = Sheet::new(zones, side, options);
    let mut pen = Pen::default();
    let mut y = sheet.heading(&mut pen);
    for rail in sheet.of(SpanGroup::RoofRail) {
        y = sheet.lying(&mut pen, rail, y, Beside::Before);
    }
    let foot = sheet.pillars(&mut pen, y + 12.0);
    y = foot + 4.0;
    for rocker in sheet.of(SpanGroup::Rocker) {
        y = sheet.lying(&mut pen, rocker, y, Beside::After);
    }
    y = sheet.second_group(&mut pen, y);
    if sheet.signed() {
        pen.text(Face::Small, Anchor::Start, (LEFT, y + 12.0), Flags::KEY);
        y += 14.0;
    }
    pen.text(
        Face::Small,
        Anchor::Start,
        (LEFT, y + 12.0),
        "Figures: mm from each bar’s foot · all bars to one scale",
    );
    y = caution::key(&mut pen, true, LEFT, y + 22.0, RIGHT - LEFT);
    y = caution::write(&mut pen, options, LEFT, y + 4.0, RIGHT - LEFT);
    let word = side_word(side);
    Scene {
        width: WIDTH,
        height: (y + 6.0).ceil(),
        title: match options.title {
            Some(title) => format!("Side frame, {word}: {title}"),
            None => format!("Side frame, {word}"),
        },
        desc: sheet.in_words(),
        items: pen.items,
    }
}

/// The span's name with its side: `B-pillar, left`.
pub fn full_name(span: &SpanZones) -> String {
    let side = side_word(span.side);
    if span.side == Side::Centre || span.name.to_lowercase().contains(side) {
        span.name.clone()
    } else {
        format!("{}, {side}", span.name)
    }
}

/// What stands at a pillar in large letters: `B` for a B-pillar.
fn pillar_name(span: &SpanZones) -> String {
    let id = span.id.split('.').next().unwrap_or_default();
    match id.strip_suffix("-pillar") {
        Some(letter) if letter.chars().count() == 1 => letter.to_uppercase(),
        Some("hinge") => "hinge".to_owned(),
        _ => bar_name(span).replace("-pillar", ""),
    }
}

/// The span's name without its side.
fn bar_name(span: &SpanZones) -> String {
    span.name
        .split(',')
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned()
}

pub const fn side_word(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Centre => "centre",
    }
}

/// `driver’s side`, where the card says on which side the wheel is.
pub fn drivers(zones: &Zones, side: Side) -> Option<&'static str> {
    let wheel = match zones.vehicle.wheel? {
        WheelSide::Left => Side::Left,
        WheelSide::Right => Side::Right,
    };
    Some(if wheel == side {
        "driver’s side"
    } else {
        "passenger’s side"
    })
}

struct Sheet<'a> {
    zones: &'a Zones,
    options: &'a Options<'a>,
    side: Side,
    scale: f64,
    /// From x in the car to the drawing: origin, units a millimetre.
    to_x: (f64, f64),
}

impl<'a> Sheet<'a> {
    fn new(zones: &'a Zones, side: Side, options: &'a Options<'a>) -> Self {
        let mut sheet = Self {
            zones,
            options,
            side,
            scale: 0.1,
            to_x: (0.0, 0.1),
        };
        let longest = |groups: &[SpanGroup]| {
            let own = groups.iter().flat_map(|g| sheet.of(*g));
            own.map(|s| s.length_mm).fold(1.0, f64::max)
        };
        let lying = longest(&[SpanGroup::RoofRail, SpanGroup::Rocker]);
        let second = longest(&[SpanGroup::Cross, SpanGroup::Along]);
        sheet.scale = ((RIGHT - LEFT) / lying)
            .min((RIGHT - SECOND) / second)
            .min(TALLEST / longest(&[SpanGroup::Pillar]));
        sheet.to_x = sheet.lengthwise();
        sheet
    }

    /// The map from x in the car: front to the left on the left side, to the
    /// right on the right side, as seen from outside.
    fn lengthwise(&self) -> (f64, f64) {
        let groups = [SpanGroup::RoofRail, SpanGroup::Rocker, SpanGroup::Pillar];
        let xs = || {
            groups
                .iter()
                .flat_map(|g| self.of(*g))
                .flat_map(|s| &s.centreline_mm)
                .map(|p| p.x)
        };
        let (low, high) = (xs().fold(f64::MAX, f64::min), xs().fold(f64::MIN, f64::max));
        let middle = 0.5 * (low + high);
        let k = if self.front_left() {
            self.scale
        } else {
            -self.scale
        };
        let k = if (high - low) * self.scale > RIGHT - LEFT {
            k * (RIGHT - LEFT) / ((high - low) * self.scale)
        } else {
            k
        };
        (WIDTH / 2.0 - k * middle, k)
    }

    fn front_left(&self) -> bool {
        self.side != Side::Right
    }

    /// Spans of a group on this side, or on neither.
    fn of(&self, group: SpanGroup) -> Vec<&'a SpanZones> {
        let here =
            |s: &&SpanZones| s.group == group && (s.side == self.side || s.side == Side::Centre);
        self.zones.spans.iter().filter(here).collect()
    }

    fn heading(&self, pen: &mut Pen) -> f64 {
        let (anchor, far, x, other) = if self.front_left() {
            (Anchor::Start, Anchor::End, LEFT, RIGHT)
        } else {
            (Anchor::End, Anchor::Start, RIGHT, LEFT)
        };
        let mut top = 16.0;
        if let Some(title) = self.options.title {
            pen.text(
                Face::Word,
                Anchor::Start,
                (LEFT, 13.0),
                Face::Word.fit(title, RIGHT - LEFT),
            );
            top += 18.0;
        }
        let out = if self.front_left() { 1.0 } else { -1.0 };
        front_arrow(pen, (x, top - 5.0), out);
        pen.text(Face::Word, anchor, (x + 24.0 * out, top), "FRONT");
        let side = side_word(self.side).to_uppercase();
        let name = match drivers(self.zones, self.side) {
            Some(who) => format!("{side} · {who}"),
            None => side,
        };
        pen.text(Face::Name, far, (other, top + 1.0), name);
        pen.text(Face::Note, far, (other, top + 16.0), "seen from outside");
        top + 22.0
    }

    /// A roof rail or rocker with its name; returns the lower edge.
    fn lying(&self, pen: &mut Pen, span: &SpanZones, top: f64, gaps: Beside) -> f64 {
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

    fn name_with_flags(&self, pen: &mut Pen, span: &SpanZones, at: (f64, f64)) {
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
    fn gap_figures_along(
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
                let text = Range::inward(g.from_mm, g.to_mm).mm();
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

    /// The standing bars; returns the line their names end on.
    fn pillars(&self, pen: &mut Pen, top: f64) -> f64 {
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
    fn column(&self) -> f64 {
        let pillars = self.of(SpanGroup::Pillar).len().max(1);
        112.0_f64.min((RIGHT - LEFT) / pillars as f64)
    }

    /// Whether flags beside pillars are signs, which want their key.
    fn signed(&self) -> bool {
        let flagged = |s: &&SpanZones| Flags::of_span(s, self.zones) != Flags::default();
        self.column() - 10.0 - THICK - 11.0 < WORDS
            && self.of(SpanGroup::Pillar).iter().any(flagged)
    }

    /// One pillar in its column: bracket, bar, figures.
    fn pillar(&self, pen: &mut Pen, span: &SpanZones, column: Rect) {
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
    fn pillar_figures(&self, pen: &mut Pen, span: &SpanZones, bar: &Bar, x: f64, room: Rect) {
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
        for gap in gaps {
            let range = Range::inward(gap.from_mm, gap.to_mm);
            let (low, high) = (
                super::figures::mm(range.from_mm, range.from_rounds),
                super::figures::mm(range.to_mm, range.to_rounds),
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

    /// Cross members and lengthwise members, a row each.
    fn second_group(&self, pen: &mut Pen, top: f64) -> f64 {
        let rows: Vec<_> = [SpanGroup::Cross, SpanGroup::Along]
            .iter()
            .flat_map(|g| self.of(*g))
            .collect();
        if rows.is_empty() {
            return top;
        }
        let mut y = top + 12.0;
        pen.line(Mark::Tick, &[(LEFT, y), (RIGHT, y)]);
        let rear = if self.front_left() { "right" } else { "left" };
        let note = format!(
            "Across the car: its left end at the left. Lengthwise: rear end at the {rear}."
        );
        y = pen.lines(
            Face::Small,
            Anchor::Start,
            (LEFT, y + 15.0),
            &Face::Small.wrap(&note, RIGHT - LEFT),
        ) - 8.0;
        for span in rows {
            self.row(pen, span, y);
            y += ROW;
        }
        y
    }

    fn row(&self, pen: &mut Pen, span: &SpanZones, top: f64) {
        let toward = self.toward(span);
        let long = span.length_mm * self.scale;
        let foot = if toward == Toward::Right {
            SECOND
        } else {
            SECOND + long
        };
        let bar = Bar {
            foot,
            across: top + 7.0,
            thick: THICK,
            toward,
            scale: self.scale,
            length_mm: span.length_mm,
        };
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

    /// Which way the head of a lying bar is drawn.
    fn toward(&self, span: &SpanZones) -> Toward {
        let (Some(foot), Some(head)) = (span.centreline_mm.first(), span.centreline_mm.last())
        else {
            return Toward::Right;
        };
        let across = (head.y - foot.y).abs() > (head.x - foot.x).abs();
        let right = if across {
            head.y > foot.y
        } else {
            (head.x > foot.x) == self.front_left()
        };
        if right { Toward::Right } else { Toward::Left }
    }

    fn middle_x(&self, span: &SpanZones) -> f64 {
        match (span.centreline_mm.first(), span.centreline_mm.last()) {
            (Some(a), Some(b)) => 0.5 * (a.x + b.x),
            _ => 0.0,
        }
    }

    /// Draws into a link to the span's ruler, where the caller gave a pattern.
    fn linked(&self, pen: &mut Pen, span: &SpanZones, target: Rect, draw: impl FnOnce(&mut Pen)) {
        let Some(pattern) = self.options.links else {
            draw(pen);
            return;
        };
        let mut inner = Pen::default();
        draw(&mut inner);
        pen.items.push(Item::Link(Link {
            href: pattern.replace("{span}", &span.id),
            label: full_name(span),
            target,
            items: inner.items,
        }));
    }

    fn in_words(&self) -> String {
        use SpanGroup::{Along, Cross, Pillar, Rocker, RoofRail};
        let all = [RoofRail, Pillar, Rocker, Cross, Along];
        let spans = all.iter().flat_map(|g| self.of(*g));
        let words: Vec<String> = spans
            .map(|s| format!("{}: {}", full_name(s), bar::in_words(s)))
            .collect();
        format!(
            "{}. {}",
            words.join("; "),
            caution::sentences(self.options).join(" ")
        )
    }
}

/// An arrow to the front; `out` is 1 when the front is at the left.
fn front_arrow(pen: &mut Pen, at: (f64, f64), out: f64) {
    let (x, y) = at;
    pen.line(Mark::Arrow, &[(x + 20.0 * out, y), (x, y)]);
    pen.line(
        Mark::Arrow,
        &[(x + 6.0 * out, y - 5.0), (x, y), (x + 6.0 * out, y + 5.0)],
    );
}
