//! The side frame: a car's side, straightened. Rocker at the bottom, roof rail
//! on top, pillars standing between them in their order, every bar to one
//! scale; cross members and what runs lengthwise lie below as a second group.
//! It is a map: which bar, how far along, and what is in the way.

mod lying;
mod pillar;

use super::Options;
use super::bar::{self, Beside, Flags, Toward};
use super::caution;
use super::mark::Mark;
use super::name::{drivers, full_name};
use super::scene::{Anchor, Item, Link, Pen, Scene};
use super::text::Face;
use super::working;
use crate::domain::body::SpanGroup;
use crate::domain::frame::Side;
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
    if !options.beside_another {
        y = sheet.notes(&mut pen, y);
    }
    let word = side.word();
    Scene {
        width: WIDTH,
        height: (y + 6.0).ceil(),
        title: match options.title {
            Some(title) => format!("Side frame, {word}: {title}"),
            None => format!("Side frame, {word}"),
        },
        desc: sheet.in_words(),
        readable: true,
        items: pen.items,
    }
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
                .flat_map(|s| s.centreline_mm.iter())
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

    /// Key and cautions below the bars; returns the lower edge.
    fn notes(&self, pen: &mut Pen, top: f64) -> f64 {
        let mut y = self.works(pen, top);
        if self.signed() {
            pen.text(Face::Small, Anchor::Start, (LEFT, y + 12.0), Flags::KEY);
            y += 14.0;
        }
        pen.text(
            Face::Small,
            Anchor::Start,
            (LEFT, y + 12.0),
            if self.options.inches {
                "Figures: inches from each bar’s foot · all bars to one scale"
            } else {
                "Figures: mm from each bar’s foot · all bars to one scale"
            },
        );
        y = caution::key(pen, true, LEFT, y + 22.0, RIGHT - LEFT);
        caution::write(pen, self.options, LEFT, y + 4.0, RIGHT - LEFT)
    }

    /// What the plan's numbers stand for.
    fn works(&self, pen: &mut Pen, top: f64) -> f64 {
        let works = self.options.works;
        if works.is_empty() {
            return top;
        }
        let head = (LEFT, top + 12.0);
        pen.text(
            Face::Word,
            Anchor::Start,
            head,
            "Numbers are steps of the plan; mm",
        );
        let (left, wide) = (LEFT, RIGHT - LEFT);
        working::key(pen, works, &self.zones.spans, left, top + 17.0, wide) + 4.0
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
        let side = self.side.word().to_uppercase();
        let name = match drivers(self.zones, self.side) {
            Some(who) => format!("{side} · {who}"),
            None => side,
        };
        pen.text(Face::Name, far, (other, top + 1.0), name);
        pen.text(Face::Note, far, (other, top + 16.0), "seen from outside");
        top + 22.0
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
