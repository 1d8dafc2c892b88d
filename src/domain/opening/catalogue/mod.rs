//! The openings that come with the program: one data file each, in the form a
//! department writes its own in.

use super::template::Opening;
use std::sync::LazyLock;

/// In the order a page lists them: out unaided, doors, sides, roof, inside, ends.
const FILES: &[&str] = &[
    include_str!("own-way-out.json"),
    include_str!("door-latch-side.json"),
    include_str!("door-hinge-side.json"),
    include_str!("sliding-door.json"),
    include_str!("load-door.json"),
    include_str!("half-doors.json"),
    include_str!("side-removal.json"),
    include_str!("side-removal-sliding.json"),
    include_str!("third-door.json"),
    include_str!("roof-removal.json"),
    include_str!("roof-flap-forward.json"),
    include_str!("roof-flap-rearward.json"),
    include_str!("roof-flap-sideways.json"),
    include_str!("roof-fold-down.json"),
    include_str!("side-drop.json"),
    include_str!("open-top.json"),
    include_str!("dash-lift.json"),
    include_str!("dash-roll.json"),
    include_str!("dash-push.json"),
    include_str!("column-relief.json"),
    include_str!("pedal-relief.json"),
    include_str!("seat-back-relief.json"),
    include_str!("rear-entry.json"),
    include_str!("rear-doors.json"),
    include_str!("windscreen-entry.json"),
];

/// Every opening that comes with the program.
pub fn catalogue() -> &'static [Opening] {
    static OPENINGS: LazyLock<Vec<Opening>> =
        LazyLock::new(|| FILES.iter().map(|file| read(file)).collect());
    &OPENINGS
}

fn read(file: &str) -> Opening {
    serde_json::from_str(file)
        .unwrap_or_else(|e| unreachable!("an opening's file is part of the program: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_file_reads_and_no_id_stands_twice() {
        let ids: BTreeSet<&str> = catalogue().iter().map(|o| o.id.as_str()).collect();
        assert_eq!(ids.len(), FILES.len());
    }
}
