//! Tiling a span: the class of highest rank wins, nothing recorded stays
//! unproven. Stations in hundredths of a millimetre, so that stretches meet.

use super::result::{Class, Stretch};
use super::round::{Hundredths, Rounded, mm};
use crate::domain::geometry::{Interval, union};
use crate::domain::name::Name;
use smallvec::{SmallVec, smallvec};

/// What marks stations of one span: an id and where.
#[derive(Debug, Clone)]
pub struct Mark<'a> {
    pub id: &'a Name,
    pub at: Interval,
}

/// Everything that marks one span, unrounded.
#[derive(Debug, Default)]
pub struct Marks<'a> {
    pub no_cut: Vec<Mark<'a>>,
    pub bare: Vec<Mark<'a>>,
    pub expected: Vec<Mark<'a>>,
    /// Sorted by id.
    pub material: Vec<Mark<'a>>,
}

/// A layer of one class after rounding: where it is, and what made it so.
struct Layer<'m, 'a> {
    marks: &'m [Mark<'a>],
    tiles: SmallVec<[Rounded; 4]>,
    rounding: Rounding,
    length: Hundredths,
}

type Rounding = fn(Interval, Hundredths) -> Option<Rounded>;

impl<'m, 'a> Layer<'m, 'a> {
    /// The union is taken unrounded and rounded once.
    fn of(marks: &'m [Mark<'a>], length: Hundredths, rounding: Rounding) -> Self {
        let united = union(marks.iter().map(|m| m.at).collect());
        let tiles = united.iter().filter_map(|i| rounding(*i, length)).collect();
        Self {
            marks,
            tiles,
            rounding,
            length,
        }
    }

    fn covers(&self, cell: Rounded) -> bool {
        self.tiles.iter().any(|t| t.covers(cell))
    }

    fn ids(&self, tile: Rounded) -> Vec<Name> {
        let within = |m: &&Mark| {
            (self.rounding)(m.at, self.length).is_some_and(|rounded| rounded.overlaps(tile))
        };
        let marks = self.marks.iter().filter(within);
        let mut ids: SmallVec<[&Name; 8]> = marks.map(|m| m.id).collect();
        ids.sort_unstable();
        ids.dedup();
        ids.into_iter().cloned().collect()
    }
}

/// Tiles a span of `length` with stretches: no hole, no overlap, none empty.
pub fn tile(marks: &Marks, length: Hundredths) -> Vec<Stretch> {
    let no_cut = Layer::of(&marks.no_cut, length, Rounded::outward);
    let bare = Layer::of(&marks.bare, length, Rounded::inward);
    let expected = Layer::of(&marks.expected, length, Rounded::outward);
    let materials = material_layers(&marks.material, length);
    let class_of = |cell: Rounded| {
        if no_cut.covers(cell) {
            Class::NoCut
        } else if bare.covers(cell) {
            Class::Bare
        } else if expected.covers(cell) {
            Class::Expected
        } else {
            Class::Unproven
        }
    };
    let material_of = |cell: Rounded| -> Vec<&Name> {
        materials
            .iter()
            .filter(|(_, l)| l.covers(cell))
            .map(|(id, _)| *id)
            .collect()
    };
    let layers = [&no_cut, &bare, &expected]
        .into_iter()
        .chain(materials.iter().map(|(_, l)| l));
    let mut tiles: SmallVec<[(Rounded, Class, Vec<&Name>); 8]> = SmallVec::new();
    for cell in cells(layers, length) {
        let (class, material) = (class_of(cell), material_of(cell));
        match tiles.last_mut() {
            Some((tile, c, m)) if *c == class && *m == material => tile.to = cell.to,
            _ => tiles.push((cell, class, material)),
        }
    }
    let because = |class: Class, tile: Rounded| match class {
        Class::NoCut => no_cut.ids(tile),
        Class::Bare => bare.ids(tile),
        Class::Expected => expected.ids(tile),
        Class::Unproven => Vec::new(),
    };
    tiles
        .into_iter()
        .map(|(tile, class, material)| Stretch {
            from_mm: mm(tile.from),
            to_mm: mm(tile.to),
            class,
            material: material.into_iter().cloned().collect(),
            because: because(class, tile),
        })
        .collect()
}

/// One layer a material component; `marks` are sorted by id.
fn material_layers<'m, 'a>(
    marks: &'m [Mark<'a>],
    length: Hundredths,
) -> Vec<(&'a Name, Layer<'m, 'a>)> {
    marks
        .chunk_by(|a, b| a.id == b.id)
        .map(|own| (own[0].id, Layer::of(own, length, Rounded::outward)))
        .collect()
}

/// The span cut at every layer's edges.
fn cells<'l, 'm: 'l, 'a: 'm>(
    layers: impl Iterator<Item = &'l Layer<'m, 'a>>,
    length: Hundredths,
) -> SmallVec<[Rounded; 16]> {
    let mut edges: SmallVec<[Hundredths; 16]> = smallvec![0, length];
    for layer in layers {
        edges.extend(layer.tiles.iter().flat_map(|t| [t.from, t.to]));
    }
    edges.sort_unstable();
    edges.dedup();
    edges
        .windows(2)
        .map(|e| Rounded {
            from: e[0],
            to: e[1],
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(id: &str, from: f64, to: f64) -> Mark<'static> {
        Mark {
            id: Box::leak(Box::new(id.into())),
            at: Interval::new(from, to),
        }
    }

    fn told(stretches: &[Stretch]) -> Vec<(f64, f64, Class, String)> {
        stretches
            .iter()
            .map(|s| (s.from_mm, s.to_mm, s.class, s.because.join(" ")))
            .collect()
    }

    #[test]
    fn a_span_nobody_looked_at_is_one_unproven_stretch() {
        let tiles = tile(&Marks::default(), 104_325);
        assert_eq!(
            told(&tiles),
            [(0.0, 1043.25, Class::Unproven, String::new())]
        );
    }

    #[test]
    fn no_cut_beats_bare_beats_expected() {
        let marks = Marks {
            no_cut: vec![mark("c1", 0.0, 330.2301)],
            bare: vec![mark("f3", 300.0, 654.7699)],
            expected: vec![mark("x", 600.0, 900.0)],
            material: Vec::new(),
        };
        assert_eq!(
            told(&tile(&marks, 100_000)),
            [
                (0.0, 330.24, Class::NoCut, "c1".into()),
                (330.24, 654.76, Class::Bare, "f3".into()),
                (654.76, 900.0, Class::Expected, "x".into()),
                (900.0, 1000.0, Class::Unproven, String::new()),
            ]
        );
    }

    #[test]
    fn material_splits_a_class_but_does_not_change_it() {
        let marks = Marks {
            material: vec![mark("m1", 200.0, 400.0)],
            ..Marks::default()
        };
        let tiles = tile(&marks, 60_000);
        assert_eq!(tiles.len(), 3);
        assert!(tiles.iter().all(|t| t.class == Class::Unproven));
        assert_eq!(tiles[1].material, ["m1"]);
    }

    #[test]
    fn touching_zones_of_two_components_are_one_stretch_because_of_both() {
        let marks = Marks {
            no_cut: vec![mark("c2", 100.0, 200.0), mark("c1", 200.0, 300.0)],
            ..Marks::default()
        };
        assert_eq!(
            told(&tile(&marks, 50_000))[1],
            (100.0, 300.0, Class::NoCut, "c1 c2".into())
        );
    }
}
