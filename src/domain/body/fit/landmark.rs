//! Measured landmarks, a mirror pair as one: the fitted body is symmetric, so
//! what was measured left and right is averaged.

use crate::domain::body::{BodyStyle, Measured};
use crate::domain::frame::Point;
use std::collections::BTreeMap;

/// A measured landmark: template coordinates with |y|, and the mean of what was
/// measured of each coordinate on either side.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The id without its side.
    pub base: String,
    /// In the words of the style, for example `B-pillar foot`.
    pub name: String,
    /// The measurements it comes from, as the card file calls them.
    pub fields: Vec<String>,
    pub template: Point,
    pub x: Option<f64>,
    pub y: Option<f64>,
    pub z: Option<f64>,
}

/// A landmark's id and what was measured of it.
type Measurement<'m> = (&'m String, &'m [Option<f64>; 3]);

/// The card file's name of a measured landmark.
pub fn field(id: &str) -> String {
    format!("measured.landmarks.{id}")
}

/// The measured landmarks in the order of their ids.
pub fn pairs(style: &BodyStyle, measured: &Measured) -> Vec<Pair> {
    let mut by_base: BTreeMap<&str, Vec<Measurement>> = BTreeMap::new();
    for (id, place) in &measured.landmarks {
        by_base.entry(base(id)).or_default().push((id, place));
    }
    by_base
        .into_iter()
        .filter_map(|(base, all)| pair(style, base, &all))
        .collect()
}

fn base(id: &str) -> &str {
    id.strip_suffix(".left")
        .or_else(|| id.strip_suffix(".right"))
        .unwrap_or(id)
}

fn pair(style: &BodyStyle, base: &str, all: &[Measurement]) -> Option<Pair> {
    let (first, _) = all.first()?;
    let landmark = style.landmarks.iter().find(|l| l.id == **first)?;
    let (at, name) = (landmark.point, &landmark.name);
    let sided = [", left", ", right"].into_iter();
    let name = sided.fold(name.as_str(), |n, side| n.strip_suffix(side).unwrap_or(n));
    Some(Pair {
        base: base.to_owned(),
        name: name.to_owned(),
        fields: all.iter().map(|(id, _)| field(id)).collect(),
        template: Point::new(at.x, at.y.abs(), at.z),
        x: mean(all.iter().filter_map(|(_, p)| p[0])),
        y: mean(all.iter().filter_map(|(_, p)| p[1]).map(f64::abs)),
        z: mean(all.iter().filter_map(|(_, p)| p[2])),
    })
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (count, sum) = values.fold((0.0, 0.0), |(n, sum), v| (n + 1.0, sum + v));
    (count > 0.0).then(|| sum / count)
}
