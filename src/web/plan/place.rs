//! Where a cut or a contact goes, as a tape finds it from both ends, and why
//! there: the gap, the nearest gaps each way, what stands in the way.

use super::words;
use crate::domain::opening::{CutStatus, PanelLine, Placement};
use crate::domain::units::Rounding;
use crate::domain::zone::Gap;
use crate::sketch::figures::Range;
use crate::web::card::gap_word;
use crate::web::figures::both;
use crate::web::reading::Reading;
use crate::web::say;

/// A place in words.
pub struct PlaceView {
    pub status: &'static str,
    pub edge: &'static str,
    /// `415 mm (16⅜ in)` from the foot; `None` when there is no place for it.
    pub from_foot: Option<String>,
    pub from_head: Option<String>,
    /// What the two ends are, so that a hand finds them.
    pub ends: Option<[String; 2]>,
    /// What is in the way, by name.
    pub by: Option<String>,
    /// The gap, and the nearest ones.
    pub said: Vec<String>,
}

impl PlaceView {
    pub fn of(reading: &Reading, place: &Placement) -> Self {
        let figure = |mm: Option<f64>| mm.map(|mm| both(mm, Rounding::Nearest));
        let span = reading.body.span(&place.span);
        let length = span.map_or(0.0, |s| s.line.length());
        let mut said = Vec::new();
        if let Some(gap) = &place.gap {
            let said_gap = both_ends(gap, length);
            said.push(format!("Gap, {}: {said_gap}.", gap_word(gap.class)));
        }
        if place.station_mm.is_none() {
            let [from, to] = place.range_mm;
            said.push(format!(
                "No place for it from {} to {} from the foot, where it may be.",
                both(from, Rounding::Up),
                both(to, Rounding::Down)
            ));
        }
        said.extend(nearest(place, length));
        Self {
            status: words::status(place.status),
            edge: words::status_edge(place.status),
            from_foot: figure(place.station_mm),
            from_head: figure(place.from_head_mm),
            ends: span.map(|s| [s.foot.to_string(), s.head.to_string()]),
            by: in_the_way(reading, place.status, &place.by, place.fabric_only),
            said,
        }
    }
}

impl PlaceView {
    /// Whether another is said in the same words at first sight.
    pub fn stands_like(&self, other: &Self) -> bool {
        (self.status, &self.from_foot, &self.from_head, &self.by)
            == (other.status, &other.from_foot, &other.from_head, &other.by)
    }
}

/// The nearest gaps each way, unless the place already stands in them.
fn nearest(place: &Placement, length_mm: f64) -> Vec<String> {
    let ways = [
        ("Next gap toward the foot", place.nearest_below),
        ("Next gap toward the head", place.nearest_above),
    ];
    let other = |(way, gap): (&str, Option<Gap>)| match gap {
        Some(gap) if Some(gap) == place.gap => None,
        Some(gap) => Some(format!(
            "{way}, {}: {}.",
            gap_word(gap.class),
            both_ends(&gap, length_mm)
        )),
        None if place.status == CutStatus::SeenBare => None,
        None => Some(format!("{way}: none.")),
    };
    ways.into_iter().filter_map(other).collect()
}

/// `415–605 mm (16⅜–23¾ in) from the foot, 438–628 mm (…) from the head`
fn both_ends(gap: &Gap, length_mm: f64) -> String {
    let foot = Range::inward(gap.from_mm, gap.to_mm);
    format!(
        "{} from the foot, {} from the head",
        say::range(foot),
        say::range(foot.from_head(length_mm))
    )
}

/// What is in the way by name; fabric alone is said apart.
fn in_the_way(reading: &Reading, status: CutStatus, by: &[String], fabric: bool) -> Option<String> {
    if by.is_empty() {
        return None;
    }
    let named: Vec<String> = by.iter().map(|id| named(reading, id)).collect();
    let why = match status {
        CutStatus::Blocked => "Blocked by",
        CutStatus::LikelyOccupied => "Likely there",
        CutStatus::LookFirst => "Near it",
        CutStatus::SeenBare => "Rests on",
    };
    let alone = if fabric {
        " By folded bag fabric only: no inflator or cylinder is known there."
    } else {
        ""
    };
    Some(format!("{why}: {}.{alone}", say::list(&named)))
}

/// A component, an expectation or a finding by its id, in words.
pub fn named(reading: &Reading, id: &str) -> String {
    if let Some(component) = reading.component(id) {
        let place = say::place_short(&component.place, &reading.body);
        return format!("{} {id} ({place})", component.kind.name());
    }
    let mut expected = reading.zones.expectations.iter();
    if let Some(e) = expected.find(|e| e.id == id) {
        return e.text.to_string();
    }
    match reading.finding(id) {
        Some(finding) => format!("{id}, {}", say::evidence(finding)),
        None => id.to_owned(),
    }
}

/// A line on a panel, which nobody can have seen whole.
pub fn panel(reading: &Reading, line: &PanelLine) -> PlaceView {
    let depth = both(line.depth_mm, Rounding::Down);
    PlaceView {
        status: words::status(line.status),
        edge: words::status_edge(line.status),
        from_foot: None,
        from_head: None,
        ends: None,
        by: in_the_way(reading, line.status, &line.by, line.fabric_only),
        said: vec![format!(
            "Along the {}, tool no deeper than {depth}.",
            line.name
        )],
    }
}
