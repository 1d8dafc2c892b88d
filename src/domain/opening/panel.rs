//! A line on a panel, tested like a body: it is blocked where it comes within a
//! keep-out, likely occupied where it crosses what is expected, and at best to be
//! looked at first, for a panel hides what lies behind it. Points in the frame, mm.

use super::result::{CutStatus, PanelLine};
use super::template::{PanelForm, PanelPoint};
use crate::domain::body::{FittedBody, Span};
use crate::domain::finding::Place;
use crate::domain::frame::{Point, Vector};
use crate::domain::geometry::chain_distance;
use crate::domain::zone::{Class, ComponentClass, KeepOut, SpanZones, Stretch, Zones};

/// Tests a panel line on a fitted body. `None`: the body lacks a span that one of
/// its ends is given on.
pub fn test(form: &PanelForm, body: &FittedBody, zones: &Zones) -> Option<PanelLine> {
    let ends_mm = [point(&form.from, body)?, point(&form.to, body)?];
    let kept_out = kept_out(ends_mm, form.depth_mm, body, zones);
    let expected = expected(ends_mm, form.depth_mm, body, zones);
    let (status, by) = match (kept_out.is_empty(), expected.is_empty()) {
        (false, _) => (CutStatus::Blocked, kept_out),
        (true, false) => (CutStatus::LikelyOccupied, expected),
        (true, true) => (CutStatus::LookFirst, Vec::new()),
    };
    Some(PanelLine {
        name: form.name.clone(),
        ends_mm,
        depth_mm: form.depth_mm,
        status,
        by,
        // Set by the plan, which knows the components.
        fabric_only: false,
    })
}

/// A panel point on the fitted car; outward is away from the middle plane.
fn point(form: &PanelPoint, body: &FittedBody) -> Option<Point> {
    let line = &body.span(&form.span)?.line;
    let on_span = line.point_at(form.share * line.length());
    let [rearward, outward, up] = form.offset_mm;
    let outward = if on_span.y < 0.0 { -outward } else { outward };
    Some(on_span + Vector::new(rearward, outward, up))
}

/// Ids of components whose keep-out the line comes within.
fn kept_out(line: [Point; 2], depth: f64, body: &FittedBody, zones: &Zones) -> Vec<String> {
    let no_cut = zones
        .components
        .iter()
        .filter(|c| c.class == ComponentClass::NoCut);
    no_cut
        .filter(|c| c.keep_outs.iter().any(|k| reaches(k, line, depth, body)))
        .map(|c| c.id.to_string())
        .collect()
}

fn reaches(keep_out: &KeepOut, line: [Point; 2], depth: f64, body: &FittedBody) -> bool {
    let radius = keep_out.keep_out_mm + keep_out.grown_mm.unwrap_or(0.0) + depth;
    match &keep_out.place {
        Place::Points(ends) => chain_distance(&line, ends) <= radius,
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => {
            let Some(span) = body.span(span) else {
                return true;
            };
            // Its place across the section is unknown.
            let across = span.largest_half_depth(*from_mm, *to_mm);
            let piece = span.line.between(*from_mm, *to_mm);
            chain_distance(&line, &piece) <= radius + across
        }
    }
}

/// Ids of what is expected where the line passes.
fn expected(line: [Point; 2], depth: f64, body: &FittedBody, zones: &Zones) -> Vec<String> {
    let reach = depth + zones.policy.tip_reach_mm;
    let mut by: Vec<String> = Vec::new();
    for (span, here) in body.spans.iter().zip(&zones.spans) {
        let crossed = |from: f64, to: f64| crosses(span, from, to, line, reach);
        let style = body.style.expectations.iter();
        let in_force =
            style.filter(|e| e.span == here.id && zones.expectations.iter().any(|h| h.id == e.id));
        for e in in_force {
            let ends = [e.from_share, e.to_share].map(|share| share * span.line.length());
            if unseen(here, ends).any(|(from, to)| crossed(from, to)) {
                by.push(e.id.to_string());
            }
        }
        let bags = here.stretches.iter().filter(|s| s.class == Class::Expected);
        for bag in bags.filter(|s| crossed(s.from_mm, s.to_mm)) {
            by.extend(
                bag.because
                    .iter()
                    .filter(|id| is_component(id, zones))
                    .map(|id| id.to_string()),
            );
        }
    }
    by.sort();
    by.dedup();
    by
}

/// Runs between two stations that nobody has seen bare. A part recorded there
/// leaves them as they are: its `no-cut` may hide what else is expected.
fn unseen(here: &SpanZones, [start, end]: [f64; 2]) -> impl Iterator<Item = (f64, f64)> {
    let bare = |s: &Stretch| s.class == Class::Bare;
    here.stretches
        .chunk_by(move |a, b| bare(a) == bare(b))
        .filter(move |run| !bare(&run[0]))
        .map(move |run| (run[0].from_mm.max(start), run[run.len() - 1].to_mm.min(end)))
        .filter(|(from, to)| from < to)
}

fn is_component(id: &str, zones: &Zones) -> bool {
    zones.components.iter().any(|c| *c.id == *id)
}

fn crosses(span: &Span, from: f64, to: f64, line: [Point; 2], reach: f64) -> bool {
    let piece = span.line.between(from, to);
    chain_distance(&line, &piece) <= span.largest_half_depth(from, to) + reach
}
