//! What a department may set. Defaults are common practice or from memory, and
//! pages that use one show it.

use super::kind::Kind;
use super::vehicle::words;
use std::collections::BTreeMap;

words! {
    /// How many of the true places a widened zone is meant to cover.
    Coverage { P95 = "0.95", P99 = "0.99", P999 = "0.999" }
}

words! {
    /// How a folded bag whose inflator is located counts.
    CushionPolicy { NoCut = "no-cut", Expected = "expected" }
}

words! {
    /// Which end of a B-pillar is parted first; two schools in the trade.
    BPillarFirst { Foot = "foot", Head = "head" }
}

/// Policy in force for a card.
#[derive(Debug, Clone, PartialEq)]
pub struct Policy {
    pub coverage: Coverage,
    pub blade_half_width_mm: f64,
    pub tip_reach_mm: f64,
    pub lean_deg: f64,
    /// σ_b, for differences from car to car.
    pub car_to_car_mm: f64,
    /// Clearances that differ from the kinds' defaults.
    pub clearance_mm: BTreeMap<Kind, f64>,
    pub cushion: CushionPolicy,
    pub b_pillar_first: BPillarFirst,
}

impl Default for Policy {
    fn default() -> Self {
        Self {
            coverage: Coverage::P99,
            blade_half_width_mm: 30.0,
            tip_reach_mm: 50.0,
            lean_deg: 10.0,
            car_to_car_mm: 10.0,
            clearance_mm: BTreeMap::new(),
            cushion: CushionPolicy::NoCut,
            b_pillar_first: BPillarFirst::Foot,
        }
    }
}

impl Policy {
    /// Clearance in mm of a no-cut kind; `None` for materials.
    pub fn clearance_mm(&self, kind: Kind) -> Option<f64> {
        let default = kind.default_clearance_mm()?;
        Some(self.clearance_mm.get(&kind).copied().unwrap_or(default))
    }
}

impl Coverage {
    /// The share as a number.
    pub const fn share(self) -> f64 {
        match self {
            Self::P95 => 0.95,
            Self::P99 => 0.99,
            Self::P999 => 0.999,
        }
    }

    /// Two-sided normal quantile: k for a place known by two stations (d = 2).
    /// Values of scipy 1.17.1, checked in the tests.
    pub const fn k_stations(self) -> f64 {
        match self {
            Self::P95 => 1.959_963_984_540_054,
            Self::P99 => 2.575_829_303_548_9,
            Self::P999 => 3.290_526_731_491_895,
        }
    }

    /// √ of the χ² quantile with 3 degrees of freedom: k for a place known by
    /// two points (d = 6). Values of scipy 1.17.1, checked in the tests.
    pub const fn k_points(self) -> f64 {
        match self {
            Self::P95 => 2.795_483_482_915_106,
            Self::P99 => 3.368_214_175_218_727,
            Self::P999 => 4.033_142_223_656_14,
        }
    }
}
