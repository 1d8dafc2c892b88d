//! Places on spans and lines on panels: numbers that can be meant. Stations mm.

use super::fault::{Faults, Wrong};
use super::names::Names;
use crate::domain::opening::template::{At, PanelForm, PanelPoint, SpanForm};

/// Longer than any span of a car or van, mm.
const LONGEST_MM: f64 = 10_000.0;
/// Behind a panel no tool of ours reaches further, mm.
const DEEPEST_MM: f64 = 1_000.0;

/// Checks a place on a span.
pub fn span(form: &SpanForm, faults: &Faults) {
    Names::known().span(&form.id, &faults.at("id"));
    number(form.apart_mm, 0.0, LONGEST_MM, &faults.at("apart_mm"));
    let faults = faults.at("at");
    match form.at {
        At::FromFoot { at, range } => within(at, range, LONGEST_MM, &faults.at("from-foot")),
        At::FromHead { at, range } => within(at, range, LONGEST_MM, &faults.at("from-head")),
        At::Share { at, range } => within(at, range, 1.0, &faults.at("share")),
    }
}

fn within(at: f64, range: [f64; 2], most: f64, faults: &Faults) {
    let mut sound = number(at, 0.0, most, &faults.at("at"));
    for (i, end) in range.into_iter().enumerate() {
        sound &= number(end, 0.0, most, &faults.at("range").item(i));
    }
    let [from, to] = range;
    if !sound {
        return;
    }
    if from > to {
        faults.at("range").add(Wrong::RangeTurned { from, to });
    } else if !(from..=to).contains(&at) {
        faults.at("at").add(Wrong::OutsideRange { at, from, to });
    }
}

/// Checks a line on a panel.
pub fn panel(form: &PanelForm, faults: &Faults) {
    faults.at("name").text(&form.name);
    point(&form.from, &faults.at("from"));
    point(&form.to, &faults.at("to"));
    number(form.depth_mm, 0.0, DEEPEST_MM, &faults.at("depth_mm"));
}

fn point(form: &PanelPoint, faults: &Faults) {
    Names::known().span(&form.span, &faults.at("span"));
    number(form.share, 0.0, 1.0, &faults.at("share"));
    for (i, offset) in form.offset_mm.into_iter().enumerate() {
        let faults = faults.at("offset_mm").item(i);
        number(offset, -LONGEST_MM, LONGEST_MM, &faults);
    }
}

/// Half of what touches along a span, mm.
pub fn half_width(value: f64, faults: &Faults) {
    number(value, 1.0, DEEPEST_MM, faults);
}

fn number(value: f64, from: f64, to: f64, faults: &Faults) -> bool {
    let sound = (from..=to).contains(&value);
    if !sound {
        faults.add(Wrong::OutOfRange { value, from, to });
    }
    sound
}
