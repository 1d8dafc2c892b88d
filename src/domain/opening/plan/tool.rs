//! Which of the crew's tools a step is done with, and what the force estimate
//! says of it. Without a tool of the kind named, width and force are the
//! policy's and unknown.

use super::scene::Scene;
use crate::domain::opening::ask::{Ask, AskedTool};
use crate::domain::opening::place::Wish;
use crate::domain::opening::result::{StepTool, ToolFit};
use crate::domain::opening::room::Room;
use crate::domain::opening::steel;
use crate::domain::opening::template::ToolKind;

/// The strongest tool of a kind; of equals the one whose name comes first, then
/// the wider. A
/// tool of unknown force comes after every known one. A combination tool cuts
/// and spreads where there is no other.
pub fn choose(ask: &Ask, kind: ToolKind) -> Option<&AskedTool> {
    let strongest = |kind: ToolKind| {
        let own = ask.tools.iter().filter(move |t| t.kind == kind);
        own.min_by(|a, b| {
            let force = |t: &AskedTool| t.force_kn.unwrap_or(0.0);
            let by_force = force(b).total_cmp(&force(a));
            let width = |t: &AskedTool| t.blade_half_width_mm.unwrap_or(0.0);
            let by_name = by_force.then_with(|| a.name.cmp(&b.name));
            by_name.then_with(|| width(b).total_cmp(&width(a)))
        })
    };
    let both = matches!(kind, ToolKind::Cutter | ToolKind::Spreader);
    strongest(kind).or_else(|| strongest(ToolKind::Combination).filter(|_| both))
}

/// A step's tool where it cuts nothing.
pub fn without_cut(ask: &Ask, kind: ToolKind) -> StepTool {
    StepTool {
        kind,
        name: choose(ask, kind).map(|t| t.name.clone()),
        fit: ToolFit::Unknown,
        force_band_kn: None,
    }
}

/// A cutting tool at the place its cut has.
pub fn at_cut(
    ask: &Ask,
    kind: ToolKind,
    scene: &Scene,
    room: &Room,
    wish: &Wish,
    station: Option<f64>,
) -> StepTool {
    let tool = choose(ask, kind);
    let rated = tool.and_then(|t| t.force_kn);
    let sections = station
        .into_iter()
        .flat_map(|s| scene.steel_at(room, wish, s));
    let at = steel::at_cut(rated, sections);
    // A saw's stroke is no shear force.
    let shears = kind != ToolKind::Saw;
    StepTool {
        kind,
        name: tool.map(|t| t.name.clone()),
        fit: if shears { at.fit } else { ToolFit::Unknown },
        force_band_kn: at
            .band
            .filter(|_| shears)
            .map(|b| [b.lower_kn, b.upper_kn].map(|kn| (kn * 100.0).round() / 100.0)),
    }
}
