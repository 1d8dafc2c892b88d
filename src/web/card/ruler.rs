//! The rulers of a card, worst first, and what each says in words: what is in
//! the way, where a blade's middle may be placed, who says so.

use super::parts;
use crate::domain::frame::Side;
use crate::domain::geometry::Intervals;
use crate::domain::geometry::interval::union;
use crate::domain::units::Rounding;
use crate::domain::zone::{Class, Component, ComponentClass, Gap, SpanZones};
use crate::sketch::figures::Range;
use crate::web::drawing;
use crate::web::figures::{amount, short};
use crate::web::reading::Reading;
use crate::web::say;

/// One span's ruler on a card.
#[derive(Debug, Clone)]
pub struct RulerRow {
    pub href: String,
    pub name: String,
    /// The state of the evidence: a word and the class of its edge.
    pub flags: Vec<(&'static str, &'static str)>,
    /// Inline SVG; empty where the row is a link only.
    pub drawing: String,
    pub said: Vec<String>,
}

impl RulerRow {
    /// With its drawing, or as a line of words that leads to it.
    pub fn of(reading: &Reading, span: &SpanZones, drawn: bool) -> Self {
        Self {
            href: reading.link(&format!("/spans/{}", span.id)),
            name: span.name.to_string(),
            flags: flags(reading, span),
            drawing: if drawn {
                drawing::ruler(reading, span)
            } else {
                String::new()
            },
            said: if drawn {
                said_of(reading, span)
            } else {
                vec![in_short(span)]
            },
        }
    }
}

/// The side's own spans, worst first.
pub fn of_side(reading: &Reading, side: Side) -> Vec<&SpanZones> {
    let mut spans: Vec<&SpanZones> = reading
        .zones
        .spans
        .iter()
        .filter(|s| s.side == side)
        .collect();
    // Stable: equally bad ones stay in the body style's order.
    spans.sort_by(|a, b| badness(b).total_cmp(&badness(a)));
    spans
}

/// How little of a span is left to a blade: no-cut counts before what is only
/// expected, and that before what nobody has looked at.
fn badness(span: &SpanZones) -> f64 {
    let share = |class| length_of(span, class) / span.length_mm;
    let no_gap = if span.gaps.is_empty() { 10.0 } else { 0.0 };
    no_gap + 4.0 * share(Class::NoCut) + 2.0 * share(Class::Expected) + share(Class::Unproven)
}

/// Length of a span in one class, mm.
pub fn length_of(span: &SpanZones, class: Class) -> f64 {
    let of_class = span.stretches.iter().filter(|s| s.class == class);
    of_class.fold(0.0, |sum, s| sum + (s.to_mm - s.from_mm))
}

/// What gives this span its no-cut, in order along it.
fn in_the_way<'a>(reading: &'a Reading, span: &SpanZones) -> Vec<&'a Component> {
    let mut all: Vec<&Component> = Vec::new();
    let no_cut = span.stretches.iter().filter(|s| s.class == Class::NoCut);
    for component in no_cut
        .flat_map(|s| &s.because)
        .filter_map(|id| reading.component(id))
    {
        if !all.iter().any(|c| c.id == component.id) {
            all.push(component);
        }
    }
    all
}

fn flags(reading: &Reading, span: &SpanZones) -> Vec<(&'static str, &'static str)> {
    let all = in_the_way(reading, span);
    let mut flags = Vec::new();
    if all.iter().any(|c| c.disputed) {
        flags.push(("DISPUTED", "double"));
    }
    if all.iter().any(|c| c.offered) {
        flags.push(("OFFERED", "dashed"));
    }
    if all.iter().any(|c| c.single_source && !c.offered) {
        flags.push(("ONE SOURCE", "thin"));
    }
    flags
}

/// Everything a ruler says beside its drawing.
pub fn said_of(reading: &Reading, span: &SpanZones) -> Vec<String> {
    let mut said: Vec<String> = in_the_way(reading, span)
        .into_iter()
        .map(|c| no_cut_line(reading, span, c))
        .collect();
    said.extend(
        reading
            .zones
            .bare
            .iter()
            .filter(|b| b.span == span.id)
            .map(|b| {
                let range = say::range(Range::inward(b.from_mm, b.to_mm));
                let who = reading
                    .finding(&b.finding)
                    .map_or(String::new(), say::evidence);
                format!("Seen bare, through, {range}: {who}.")
            }),
    );
    let expected: Vec<String> = reading
        .zones
        .expectations
        .iter()
        .filter(|e| {
            span.stretches
                .iter()
                .any(|s| s.class == Class::Expected && s.because.contains(&e.id))
        })
        .map(|e| e.text.to_string())
        .collect();
    if !expected.is_empty() {
        said.push(format!("Expect: {}.", expected.join("; ")));
    }
    said.extend(hard(reading, span));
    said
}

/// `NO CUT 0–331 mm (0–13⅛ in): belt pretensioner at 80–210 mm (…). Measured …`
fn no_cut_line(reading: &Reading, span: &SpanZones, component: &Component) -> String {
    let own = span.bands.iter().filter(|b| b.component == component.id);
    let reach = union(own.clone().map(|b| b.widening).collect());
    let part = union(own.filter_map(|b| b.part).collect());
    let said = |all: Intervals| -> String {
        let on_span = all
            .into_iter()
            .filter(|i| i.from < span.length_mm && i.to > 0.0);
        let all: Vec<String> = on_span
            .map(|i| say::stretch(i.from, i.to, span.length_mm))
            .collect();
        say::list(&all)
    };
    let (reach, part) = (said(reach), said(part));
    let at = if part.is_empty() {
        String::new()
    } else {
        format!(" at {part}")
    };
    let (name, who) = (
        parts::name(reading, component),
        parts::newest(reading, component),
    );
    format!("NO CUT {reach}: {name}{at}. {}.", say::sentence(&who))
}

fn hard(reading: &Reading, span: &SpanZones) -> Vec<String> {
    let mut runs: Vec<(&str, f64, f64)> = Vec::new();
    for s in &span.stretches {
        for id in &s.material {
            match runs.iter_mut().find(|r| r.0 == id && r.2 >= s.from_mm) {
                Some(run) => run.2 = s.to_mm,
                None => runs.push((id, s.from_mm, s.to_mm)),
            }
        }
    }
    let line = |(id, from, to): (&str, f64, f64)| {
        let what = reading
            .component(id)
            .filter(|c| c.class == ComponentClass::Material)
            .map_or("hard section", |c| c.kind.name());
        format!("HARD {}: {what}.", say::stretch(from, to, span.length_mm))
    };
    runs.into_iter().map(line).collect()
}

/// `No cut on 331 of 1043 mm. Blade gap, seen bare: 415–605 mm (…).`
fn in_short(span: &SpanZones) -> String {
    let length = span.length_mm;
    let mut parts = Vec::new();
    for (class, name) in [
        (Class::NoCut, "no cut"),
        (Class::Expected, "expected"),
        (Class::Unproven, "unseen"),
        (Class::Bare, "bare"),
    ] {
        let mm = length_of(span, class);
        if mm > 0.0 {
            parts.push(format!("{name} {}", amount(mm)));
        }
    }
    format!(
        "{} of {}. {}",
        say::sentence(&parts.join(", ")),
        short(length, Rounding::Nearest),
        best_gap(span)
    )
}

/// The best gap there is, in words.
pub fn best_gap(span: &SpanZones) -> String {
    let best = [Class::Bare, Class::Unproven, Class::Expected]
        .into_iter()
        .find(|class| span.gaps.iter().any(|g| g.class == *class));
    let Some(class) = best else {
        return "No blade gap.".to_owned();
    };
    let gaps = span.gaps.iter().filter(|g| g.class == class);
    let ranges: Vec<String> = gaps.map(gap_range).collect();
    format!("Blade gap, {}: {}.", gap_word(class), say::list(&ranges))
}

/// `415–605 mm (16⅜–23¾ in)`
pub fn gap_range(gap: &Gap) -> String {
    say::range(Range::inward(gap.from_mm, gap.to_mm))
}

/// What a gap's class asks of the crew.
pub const fn gap_word(class: Class) -> &'static str {
    match class {
        Class::Bare => "seen bare",
        Class::Unproven => "unseen, look first",
        Class::Expected => "likely occupied",
        Class::NoCut => "no cut",
    }
}
