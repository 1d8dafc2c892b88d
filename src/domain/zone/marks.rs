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
use crate::domain::name::Name;
use smallvec::SmallVec;

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
        let mut reaches = Vec::new();
        for (component, cushion) in self.assessed.iter().zip(&self.cushions) {
            let layer = if *cushion {
                &mut marks.expected
            } else {
                &mut marks.no_cut
            };
            for volume in &component.volumes {
                let blocked = volume.no_cut(index, span);
                if !blocked.is_empty() {
                    reaches.extend(reaches_of(volume, &blocked, index, span));
                    layer.extend(blocked.iter().map(|&at| Mark {
                        id: &component.id,
                        at,
                    }));
                }
                if volume.material {
                    let extent = volume.extent(index, span);
                    marks.material.extend(extent.iter().map(|&at| Mark {
                        id: &component.id,
                        at,
                    }));
                }
            }
            merge(&component.id, &reaches, &mut bands);
            reaches.clear();
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
            centreline_mm: line.vertices().clone(),
            stations_mm: line.stations().clone(),
            half_depth_mm: span.span.half_depth_mm.clone(),
            middle_mm: gap::middle(&gaps),
            stretches,
            gaps,
            bands,
        }
    }

    fn mark_bare_and_expected(&self, index: usize, span: &BladeSpan, marks: &mut Marks<'a>) {
        let here = self
            .counting
            .iter()
            .filter(|b| b.located.place.span == index);
        marks.bare.extend(here.map(|b| Mark {
            id: &b.id,
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

/// One connected part of a span that one volume blocks, with the bands in it.
struct Reach {
    offered: bool,
    part: Option<Interval>,
    clearance: Option<Interval>,
    widening: Interval,
}

/// The nested bands of one volume where it blocks this span.
fn reaches_of(
    volume: &Volume,
    blocked: &[Interval],
    index: usize,
    span: &BladeSpan,
) -> SmallVec<[Reach; 4]> {
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
        .map(|&widening| Reach {
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
fn merge(component: &Name, reaches: &[Reach], bands: &mut Vec<Bands>) {
    for own in reaches.chunk_by(|a, b| a.offered == b.offered) {
        for &widening in &union(own.iter().map(|r| r.widening).collect()) {
            let inside = || own.iter().filter(|r| widening.covers(r.widening));
            bands.push(Bands {
                component: component.clone(),
                offered: own[0].offered,
                part: inside().filter_map(|r| r.part).reduce(hull),
                clearance: inside().filter_map(|r| r.clearance).reduce(hull),
                widening,
            });
        }
    }
}
