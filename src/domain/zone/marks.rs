//! What marks each span, from every component, bare finding and expectation.

use super::bare::CountingBare;
use super::blade::BladeSpan;
use super::component::Assessed;
use super::gap::{self, BladeWidth};
use super::keep_out::Volume;
use super::result::{Bands, SpanZones};
use super::round::{mm, nearest};
use super::stretch::{Mark, Marks, tile};
use crate::domain::body::Expectation;
use crate::domain::geometry::{Interval, union};

/// Everything that can mark a span.
pub struct Marked<'a> {
    pub assessed: &'a [Assessed<'a>],
    /// Per component: its keep-out counts as expected only.
    pub cushions: Vec<bool>,
    pub counting: &'a [CountingBare<'a>],
    pub expected: &'a [&'a Expectation],
}

impl<'a> Marked<'a> {
    /// Tiles one span and finds its gaps.
    pub fn span_zones(&self, index: usize, span: &BladeSpan, width: &BladeWidth) -> SpanZones {
        let mut marks = Marks::default();
        let mut bands = Vec::new();
        for (component, cushion) in self.assessed.iter().zip(&self.cushions) {
            let layer = if *cushion {
                &mut marks.expected
            } else {
                &mut marks.no_cut
            };
            for volume in &component.volumes {
                let blocked = volume.no_cut(index, span);
                bands.extend(bands_of(component.id, volume, &blocked, index, span));
                layer.extend(blocked.into_iter().map(|at| Mark {
                    id: component.id,
                    at,
                }));
                if volume.material {
                    let extent = volume.extent(index, span);
                    marks.material.extend(extent.into_iter().map(|at| Mark {
                        id: component.id,
                        at,
                    }));
                }
            }
        }
        self.mark_bare_and_expected(index, span, &mut marks);
        let line = &span.span.line;
        let length = nearest(line.length());
        let stretches = tile(&marks, length);
        let gaps = gap::gaps(&stretches, span.span, width);
        SpanZones {
            id: span.span.id.clone(),
            name: span.span.name.clone(),
            foot: span.span.foot.clone(),
            head: span.span.head.clone(),
            side: span.span.side,
            group: span.span.group,
            length_mm: mm(length),
            centreline_mm: line.vertices().to_vec(),
            stations_mm: line.stations().to_vec(),
            half_depth_mm: span.span.half_depth_mm.clone(),
            middle_mm: gap::middle(&gaps),
            stretches,
            gaps,
            bands: merged(bands),
        }
    }

    fn mark_bare_and_expected(&self, index: usize, span: &BladeSpan, marks: &mut Marks<'a>) {
        let here = self
            .counting
            .iter()
            .filter(|b| b.located.place.span == index);
        marks.bare.extend(here.map(|b| Mark {
            id: &b.located.finding.id,
            at: b.left,
        }));
        let length = span.length();
        let here = self.expected.iter().filter(|e| e.span == span.span.id);
        marks.expected.extend(here.map(|e| Mark {
            id: &e.id,
            at: Interval::new(e.from_share * length, e.to_share * length),
        }));
    }
}

/// The nested bands of one volume where it blocks this span.
fn bands_of(
    id: &str,
    volume: &Volume,
    blocked: &[Interval],
    index: usize,
    span: &BladeSpan,
) -> Vec<Bands> {
    if blocked.is_empty() {
        return Vec::new();
    }
    let clearance = volume.clearance_band(index, span);
    let part = volume.part_band(index, span);
    let within = |inner: &[Interval], outer: Interval| {
        inner
            .iter()
            .filter_map(|i| i.intersection(outer))
            .reduce(hull)
    };
    blocked
        .iter()
        .map(|&widening| Bands {
            component: id.to_owned(),
            offered: volume.offered,
            part: within(&part, widening),
            clearance: within(&clearance, widening),
            widening,
        })
        .collect()
}

fn hull(a: Interval, b: Interval) -> Interval {
    Interval::new(a.from.min(b.from), a.to.max(b.to))
}

/// One entry for each connected reach of a component, accepted and offered apart.
fn merged(bands: Vec<Bands>) -> Vec<Bands> {
    let mut joined: Vec<Bands> = Vec::new();
    for group in bands.chunk_by(|a, b| a.component == b.component) {
        for offered in [false, true] {
            let own: Vec<&Bands> = group.iter().filter(|b| b.offered == offered).collect();
            for reach in union(own.iter().map(|b| b.widening).collect()) {
                let inside = || own.iter().filter(|b| reach.covers(b.widening));
                joined.push(Bands {
                    component: group[0].component.clone(),
                    offered,
                    part: inside().filter_map(|b| b.part).reduce(hull),
                    clearance: inside().filter_map(|b| b.clearance).reduce(hull),
                    widening: reach,
                });
            }
        }
    }
    joined
}
