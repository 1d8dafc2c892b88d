//! The names an opening may use: what at least one of the twelve body styles has,
//! with the placeholders filled in every way.

use super::fault::{Faults, Wrong};
use crate::domain::body::{StyleId, style};
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Every way to fill `{side}`, `{far}` and `{door}`.
const FILLS: [[&str; 3]; 4] = [
    ["left", "right", "front"],
    ["right", "left", "front"],
    ["left", "right", "rear"],
    ["right", "left", "rear"],
];

/// Ids of the body styles.
#[derive(Debug)]
pub struct Names {
    spans: BTreeSet<&'static str>,
    doors: BTreeSet<&'static str>,
    panes: BTreeSet<&'static str>,
}

impl Names {
    pub fn known() -> &'static Self {
        static NAMES: LazyLock<Names> = LazyLock::new(|| {
            let styles = || StyleId::ALL.iter().map(|id| style(*id));
            Names {
                spans: styles().flat_map(|s| &s.spans).map(|s| &*s.id).collect(),
                doors: styles().flat_map(|s| &s.doors).map(|d| &*d.id).collect(),
                panes: styles().flat_map(|s| &s.panes).map(|p| &*p.id).collect(),
            }
        });
        &NAMES
    }

    pub fn span(&self, id: &str, faults: &Faults) {
        check(&self.spans, id, faults, Wrong::UnknownSpan);
    }

    pub fn door(&self, id: &str, faults: &Faults) {
        check(&self.doors, id, faults, Wrong::UnknownDoor);
    }

    pub fn pane(&self, id: &str, faults: &Faults) {
        check(&self.panes, id, faults, Wrong::UnknownPane);
    }
}

fn check(known: &BTreeSet<&str>, id: &str, faults: &Faults, wrong: fn(String) -> Wrong) {
    if !filled(id).iter().any(|id| known.contains(id.as_str())) {
        faults.add(wrong(id.to_owned()));
    }
}

/// A text with its placeholders filled in each way.
pub fn filled(text: &str) -> [String; 4] {
    FILLS.map(|[side, far, door]| {
        text.replace("{side}", side)
            .replace("{far}", far)
            .replace("{door}", door)
    })
}

/// Adds a fault for what stands in braces and is no placeholder.
pub fn placeholders(text: &str, faults: &Faults) {
    let [text, ..] = filled(text);
    let mut rest = text.as_str();
    while let Some((_, after)) = rest.split_once('{') {
        let (inside, further) = after.split_once('}').unwrap_or((after, ""));
        faults.add(Wrong::UnknownPlaceholder(format!("{{{inside}}}")));
        rest = further;
    }
}
