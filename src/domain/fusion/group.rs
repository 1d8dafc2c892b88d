//! One car counts once: findings are grouped by what they looked at, and in a
//! group only those with the smallest bound speak.

use super::located::Located;
use crate::domain::finding::Source;

/// What a finding looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Looked<'a> {
    Car(&'a str),
    Drawings,
    Schematics,
    Word,
}

impl<'a> Looked<'a> {
    fn of(located: &Located<'a>) -> Self {
        match located.finding.source {
            Source::Measured | Source::Photo | Source::Seen => {
                Self::Car(located.finding.car.as_deref().unwrap_or_default())
            }
            Source::Drawing => Self::Drawings,
            Source::Schematic => Self::Schematics,
            Source::Told => Self::Word,
        }
    }
}

/// A group's word: the mean place of those that speak, and their bound ±a (mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group<const D: usize> {
    pub place: [f64; D],
    pub bound: f64,
}

/// Groups in the order of their first finding. `places` are the findings'
/// coordinates, in the order of `findings` (by date, then id).
pub fn speaking_groups<const D: usize>(findings: &[Located], places: &[[f64; D]]) -> Vec<Group<D>> {
    let mut members: Vec<(Looked, Vec<usize>)> = Vec::new();
    for (i, finding) in findings.iter().enumerate() {
        let looked = Looked::of(finding);
        match members.iter_mut().find(|(l, _)| *l == looked) {
            Some((_, list)) => list.push(i),
            None => members.push((looked, vec![i])),
        }
    }
    members
        .iter()
        .map(|(_, list)| word_of(findings, places, list))
        .collect()
}

fn word_of<const D: usize>(findings: &[Located], places: &[[f64; D]], list: &[usize]) -> Group<D> {
    let bound = list
        .iter()
        .map(|&i| findings[i].bound())
        .fold(f64::INFINITY, f64::min);
    let mut speaking: Vec<[f64; D]> = Vec::new();
    for &i in list {
        // A finding repeated to the letter is one observation, not two.
        if findings[i].bound() <= bound && !speaking.contains(&places[i]) {
            speaking.push(places[i]);
        }
    }
    let mut place = [0.0; D];
    for (axis, mean) in place.iter_mut().enumerate() {
        *mean = speaking.iter().map(|p| p[axis]).sum::<f64>() / speaking.len() as f64;
    }
    Group { place, bound }
}
