//! The tools of the invented county's first department. Figures are invented.

use crate::domain::opening::template::ToolKind;
use crate::domain::opening::{Designation, Tool};

/// One cutter with its plate, a spreader, a ram and a saw.
pub fn tools() -> Vec<Tool> {
    let plate = "BC 165 H-15.2";
    vec![
        Tool {
            force_kn: Some(620.0),
            blade_half_width_mm: Some(28.0),
            opening_mm: Some(165.0),
            mass_kg: Some(15.2),
            designation: Designation::parse(plate).ok(),
            ..Tool::named("cutter 1", ToolKind::Cutter)
        },
        Tool {
            force_kn: Some(48.0),
            opening_mm: Some(720.0),
            ..Tool::named("spreader 1", ToolKind::Spreader)
        },
        Tool {
            force_kn: Some(130.0),
            ..Tool::named("ram 1", ToolKind::Ram)
        },
        Tool::named("saw 1", ToolKind::Saw),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tool_stands_and_the_plate_reads() {
        for tool in tools() {
            assert_eq!(tool.faults(), [], "{}", tool.name);
        }
        assert!(tools()[0].designation.is_some());
    }
}
