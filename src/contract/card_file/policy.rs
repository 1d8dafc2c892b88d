//! Reading the policy of a file. What it leaves out has its default.

use super::limits;
use crate::contract::reader::{Field, Limits};
use crate::domain::kind::Kind;
use crate::domain::policy::{BPillarFirst, Coverage, CushionPolicy, Policy};
use std::collections::BTreeMap;

pub(super) fn read_policy(policy: &Field<'_>) -> Policy {
    policy.object(&[
        "coverage",
        "blade_half_width_mm",
        "tip_reach_mm",
        "lean_deg",
        "car_to_car_mm",
        "clearance_mm",
        "cushion",
        "b_pillar_first",
    ]);
    let default = Policy::default();
    let number = |name: &str, limits: &Limits, default: f64| {
        policy.get(name).number(limits).unwrap_or(default)
    };
    Policy {
        coverage: read_coverage(&policy.get("coverage")).unwrap_or(default.coverage),
        blade_half_width_mm: number(
            "blade_half_width_mm",
            &limits::BLADE_HALF_WIDTH,
            default.blade_half_width_mm,
        ),
        tip_reach_mm: number("tip_reach_mm", &limits::TIP_REACH, default.tip_reach_mm),
        lean_deg: number("lean_deg", &limits::LEAN, default.lean_deg),
        car_to_car_mm: number("car_to_car_mm", &limits::CAR_TO_CAR, default.car_to_car_mm),
        clearance_mm: read_clearances(&policy.get("clearance_mm")),
        cushion: policy
            .get("cushion")
            .word(CushionPolicy::ALL, CushionPolicy::word)
            .unwrap_or(default.cushion),
        b_pillar_first: policy
            .get("b_pillar_first")
            .word(BPillarFirst::ALL, BPillarFirst::word)
            .unwrap_or(default.b_pillar_first),
    }
}

fn read_coverage(coverage: &Field<'_>) -> Option<Coverage> {
    let value = coverage.value()?;
    let given = value.as_f64();
    let found = Coverage::ALL
        .iter()
        .find(|c| Some(c.share()) == given)
        .copied();
    if found.is_none() {
        coverage.refuse("this coverage is not offered", "0.95, 0.99 or 0.999");
    }
    found
}

fn read_clearances(clearances: &Field<'_>) -> BTreeMap<Kind, f64> {
    let mut read = BTreeMap::new();
    for (name, clearance) in clearances.entries() {
        let kind = Kind::from_word(name).filter(|kind| kind.default_clearance_mm().is_some());
        match kind {
            None => {
                let no_cut = Kind::ALL
                    .iter()
                    .filter(|k| k.default_clearance_mm().is_some());
                let words: Vec<&str> = no_cut.map(|kind| kind.word()).collect();
                let message = format!("`{name}` is no kind that has a clearance");
                clearance.refuse(message, words.join(", "));
            }
            Some(kind) => {
                read.extend(clearance.number(&limits::CLEARANCE).map(|mm| (kind, mm)));
            }
        }
    }
    read
}
