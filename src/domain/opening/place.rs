//! Where each cut and contact on a span goes: to the nearest bare gap within its
//! range, else the nearest unproven one, else an expected one, else nowhere.
//!
//! Cuts on one span keep their order from foot to head and a least distance, so
//! they are placed together: fewest blocked, then fewest likely occupied, then
//! fewest to look at first, then least moved from where they are made by
//! default. Only then can a further look never make a plan worse, nor a further
//! part make it better. Stations in mm.

use super::result::{CutStatus, Placement};
use super::room::Room;
use super::template::{At, SpanForm};
use crate::domain::zone::gap::BladeWidth;
use crate::domain::zone::round;
use crate::domain::zone::{Class, Gap, Stretch};

/// A cut or contact that wants a place on a span.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    pub default_mm: f64,
    pub range_mm: [f64; 2],
    /// Least distance from the wish before it, foot to head.
    pub apart_mm: f64,
    pub width: BladeWidth,
}

impl Wish {
    /// A form's wish on a span of this length; range and default are kept on it.
    pub fn of(form: &SpanForm, length: f64, width: BladeWidth) -> Self {
        let (at, ends) = match form.at {
            At::FromFoot { at, range } => (at, range),
            At::FromHead { at, range } => (length - at, [length - range[1], length - range[0]]),
            At::Share { at, range } => (at * length, range.map(|share| share * length)),
        };
        let range_mm = ends.map(|station| hundredth(station.clamp(0.0, length)));
        Self {
            default_mm: hundredth(at.clamp(range_mm[0], range_mm[1])),
            range_mm,
            apart_mm: form.apart_mm,
            width,
        }
    }
}

/// Places the wishes of one span together. The answers stand in the wishes' order.
pub fn place(room: &Room, wishes: &[Wish]) -> Vec<Placement> {
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|a, b| wishes[*a].default_mm.total_cmp(&wishes[*b].default_mm));
    let gaps: Vec<Vec<Gap>> = wishes.iter().map(|w| room.gaps(&w.width)).collect();
    let sorted: Vec<Wish> = order.iter().map(|i| wishes[*i]).collect();
    let open: Vec<&[Gap]> = order.iter().map(|i| gaps[*i].as_slice()).collect();
    let stations = best_stations(&sorted, &open);
    let mut placed: Vec<(usize, Placement)> = order
        .into_iter()
        .zip(stations)
        .map(|(i, station)| (i, placement(room, &wishes[i], &gaps[i], station)))
        .collect();
    placed.sort_by_key(|(i, _)| *i);
    placed.into_iter().map(|(_, placement)| placement).collect()
}

/// How good a way of placing the first few wishes is; less is better.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cost {
    blocked: u32,
    likely_occupied: u32,
    look_first: u32,
    moved_mm: f64,
}

impl Cost {
    const NONE: Self = Self {
        blocked: 0,
        likely_occupied: 0,
        look_first: 0,
        moved_mm: 0.0,
    };

    fn with(self, status: CutStatus, moved_mm: f64) -> Self {
        let one = |s: CutStatus| u32::from(s == status);
        Self {
            blocked: self.blocked + one(CutStatus::Blocked),
            likely_occupied: self.likely_occupied + one(CutStatus::LikelyOccupied),
            look_first: self.look_first + one(CutStatus::LookFirst),
            moved_mm: self.moved_mm + moved_mm,
        }
    }

    fn less(&self, other: &Self) -> bool {
        let counts = |c: &Self| (c.blocked, c.likely_occupied, c.look_first);
        match counts(self).cmp(&counts(other)) {
            std::cmp::Ordering::Equal => self.moved_mm + TIE_MM < other.moved_mm,
            ordering => ordering.is_lt(),
        }
    }
}

/// Ways that move a cut equally far tie; the one nearer the foot stands.
const TIE_MM: f64 = 1e-6;

/// A way of placing the first few wishes, with the last one placed.
#[derive(Debug, Clone)]
struct Way {
    cost: Cost,
    /// Station of the last wish that has a place.
    last_mm: f64,
    stations: Vec<Option<f64>>,
}

/// Dynamic programming over the wishes, foot to head: for every station the last
/// of them may have, the best way to it.
fn best_stations(wishes: &[Wish], gaps: &[&[Gap]]) -> Vec<Option<f64>> {
    let candidates = candidates(wishes, gaps);
    let start = Way {
        cost: Cost::NONE,
        last_mm: f64::NEG_INFINITY,
        stations: Vec::new(),
    };
    let mut ways = vec![start];
    for (i, wish) in wishes.iter().enumerate() {
        let mut next: Vec<Way> = Vec::new();
        for way in &ways {
            let room = candidates[i]
                .iter()
                .filter(|s| **s >= way.last_mm + wish.apart_mm - TIE_MM);
            for station in room.copied() {
                let status = status_at(gaps[i], station);
                let moved = (station - wish.default_mm).abs();
                keep(&mut next, way, status, moved, Some(station));
            }
            keep(&mut next, way, CutStatus::Blocked, 0.0, None);
        }
        ways = next;
    }
    let best = ways
        .into_iter()
        .reduce(|best, way| if way.cost.less(&best.cost) { way } else { best });
    best.map(|way| way.stations).unwrap_or_default()
}

/// Adds a way one wish longer, unless one as good ends at the same station.
fn keep(next: &mut Vec<Way>, way: &Way, status: CutStatus, moved: f64, station: Option<f64>) {
    let cost = way.cost.with(status, moved);
    let last_mm = station.unwrap_or(way.last_mm);
    let longer = || {
        let mut stations = way.stations.clone();
        stations.push(station);
        Way {
            cost,
            last_mm,
            stations,
        }
    };
    match next.iter_mut().find(|w| w.last_mm == last_mm) {
        Some(known) if cost.less(&known.cost) => *known = longer(),
        Some(_) => {}
        None => next.push(longer()),
    }
}

/// Stations worth trying: of the best placements one always has every wish at
/// its default, at an end of a gap or range, or the least distance from a
/// neighbour that is.
fn candidates(wishes: &[Wish], gaps: &[&[Gap]]) -> Vec<Vec<f64>> {
    let anchors: Vec<Vec<f64>> = wishes
        .iter()
        .zip(gaps)
        .map(|(w, gaps)| {
            let ends = gaps.iter().flat_map(|g| [g.from_mm, g.to_mm]);
            ends.chain(w.range_mm).chain([w.default_mm]).collect()
        })
        .collect();
    (0..wishes.len())
        .map(|i| {
            let [low, high] = wishes[i].range_mm;
            let mut stations: Vec<f64> = (0..wishes.len())
                .flat_map(|j| {
                    shifts(wishes, j, i)
                        .into_iter()
                        .map(move |shift| (j, shift))
                })
                .flat_map(|(j, shift)| anchors[j].iter().map(move |s| hundredth(s + shift)))
                .filter(|s| (low..=high).contains(s) && in_a_gap(gaps[i], *s))
                .collect();
            stations.sort_by(f64::total_cmp);
            stations.dedup();
            stations
        })
        .collect()
}

/// How far wish `to` lies from wish `from` when they and those between them stand
/// as close as they may; any of those between may be blocked and take no room.
fn shifts(wishes: &[Wish], from: usize, to: usize) -> Vec<f64> {
    if from == to {
        return vec![0.0];
    }
    let (low, high) = (from.min(to), from.max(to));
    let mut shifts = vec![wishes[high].apart_mm];
    for between in &wishes[low + 1..high] {
        let with: Vec<f64> = shifts.iter().map(|s| s + between.apart_mm).collect();
        shifts.extend(with);
    }
    if from > to {
        shifts.iter_mut().for_each(|s| *s = -*s);
    }
    shifts
}

fn in_a_gap(gaps: &[Gap], station: f64) -> bool {
    gap_at(gaps, station).is_some()
}

/// The best gap that holds a station; gaps come best class first.
fn gap_at(gaps: &[Gap], station: f64) -> Option<Gap> {
    let holds = |g: &&Gap| g.from_mm <= station && station <= g.to_mm;
    gaps.iter().find(holds).copied()
}

fn status_at(gaps: &[Gap], station: f64) -> CutStatus {
    gap_at(gaps, station).map_or(CutStatus::Blocked, |gap| status_of(gap.class))
}

/// What a gap's class makes of a cut in it.
pub fn status_of(class: Class) -> CutStatus {
    match class {
        Class::Bare => CutStatus::SeenBare,
        Class::Unproven => CutStatus::LookFirst,
        Class::Expected => CutStatus::LikelyOccupied,
        Class::NoCut => CutStatus::Blocked,
    }
}

fn placement(room: &Room, wish: &Wish, gaps: &[Gap], station: Option<f64>) -> Placement {
    let station = station.map(hundredth);
    let gap = station.and_then(|s| gap_at(gaps, s));
    let status = gap.map_or(CutStatus::Blocked, |g| status_of(g.class));
    Placement {
        span: room.span.id.to_string(),
        status,
        station_mm: station,
        from_head_mm: station.map(|s| hundredth(room.span.line.length() - s)),
        default_mm: wish.default_mm,
        range_mm: wish.range_mm,
        gap,
        nearest_below: nearest(gaps, |g| wish.default_mm - g.to_mm),
        nearest_above: nearest(gaps, |g| g.from_mm - wish.default_mm),
        by: in_the_way(room, wish, station),
        // Set by the plan, which knows the components.
        fabric_only: false,
        seen: station.map_or_else(Vec::new, |s| {
            let touched = room.touched(s, &wish.width);
            ids(touched.filter(|s| s.class == Class::Bare))
        }),
    }
}

/// Sorted ids that give stretches their class.
fn ids<'a>(stretches: impl Iterator<Item = &'a Stretch>) -> Vec<String> {
    let ids = stretches.flat_map(|s| s.because.iter().map(ToString::to_string));
    let mut ids: Vec<String> = ids.collect();
    ids.sort();
    ids.dedup();
    ids
}

/// The nearest gap that lies wholly on one side of the default; `distance` is
/// negative on the other side. Of gaps equally near the one of the better class.
fn nearest(gaps: &[Gap], distance: impl Fn(&Gap) -> f64) -> Option<Gap> {
    gaps.iter()
        .filter(|g| distance(g) >= 0.0)
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))
        .copied()
}

/// What stands in the way: of a cut that has a place, what it touches there and
/// what moved it off its default; of a blocked one, all in its range.
fn in_the_way(room: &Room, wish: &Wish, station: Option<f64>) -> Vec<String> {
    match station {
        Some(station) => {
            let obstacles = |s: &&Stretch| matches!(s.class, Class::NoCut | Class::Expected);
            let here = room.touched(station, &wish.width);
            ids(here
                .chain(room.touched(wish.default_mm, &wish.width))
                .filter(obstacles))
        }
        None => {
            let [from, to] = wish.range_mm;
            let half = |s: f64| wish.width.touches_mm(room.span.half_depth_at(s));
            let within = room.between(from - half(from), to + half(to));
            ids(within.filter(|s| s.class == Class::NoCut))
        }
    }
}

/// To whole hundredths, as stretches are.
fn hundredth(mm: f64) -> f64 {
    round::mm(round::nearest(mm))
}
