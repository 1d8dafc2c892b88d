//! Tools as a department enters them: kept, refused with a hint, reported.

use super::template::ToolKind;
use super::tool::*;

fn cutter() -> Tool {
    Tool {
        force_kn: Some(650.0),
        blade_half_width_mm: Some(32.0),
        opening_mm: Some(165.0),
        mass_kg: Some(15.2),
        designation: Some("BC 165 H-15.2".parse().unwrap()),
        ..Tool::named("Cutter, rescue 1", ToolKind::Cutter)
    }
}

fn message(tool: &Tool) -> String {
    let faults = tool.faults();
    assert_eq!(faults.len(), 1, "{faults:?}");
    format!("{}: {}", faults[0].field(), faults[0])
}

#[test]
fn a_tool_as_its_plate_gives_it_has_no_fault() {
    assert_eq!(cutter().faults(), []);
    assert_eq!(cutter().contradictions(), Vec::<String>::new());
    assert_eq!(Tool::named("Bar", ToolKind::Hand).faults(), []);
}

#[test]
fn newtons_for_kilonewtons_get_a_hint() {
    let with = |kn| Tool {
        force_kn: Some(kn),
        ..cutter()
    };
    assert_eq!(
        message(&with(500_000.0)),
        "force_kn: 500000 kN; a number from 1 to 4999 kN is accepted; did you mean 500 kN?"
    );
    let pounds = message(&with(100_000.0));
    assert!(
        pounds.ends_with("did you mean 100 kN (from newtons) or 445 kN (from pounds-force)?"),
        "{pounds}"
    );
    assert!(message(&with(5_000.0)).contains("4999 kN"));
    assert_eq!(with(4_999.0).faults(), []);
}

#[test]
fn no_force_is_zero_negative_or_no_number() {
    for kn in [0.0, -500.0, f64::NAN, f64::INFINITY] {
        let tool = Tool {
            force_kn: Some(kn),
            ..cutter()
        };
        let said = message(&tool);
        assert!(said.starts_with("force_kn: "), "{said}");
        assert!(said.contains("from 1 to 4999 kN is accepted"), "{said}");
        assert!(!said.contains("did you mean"), "{said}");
    }
}

#[test]
fn widths_openings_and_masses_no_tool_has_are_refused() {
    let wide = Tool {
        blade_half_width_mm: Some(900.0),
        ..cutter()
    };
    assert!(message(&wide).contains("from 1 to 200 mm is accepted"));
    let inches = Tool {
        opening_mm: Some(6.5),
        ..cutter()
    };
    assert!(message(&inches).ends_with("did you mean 165 mm?"));
    let grams = Tool {
        mass_kg: Some(15_200.0),
        ..cutter()
    };
    assert!(message(&grams).ends_with("did you mean 15.2 kg?"));
}

#[test]
fn every_fault_is_named_at_once() {
    let tool = Tool {
        name: " ".to_owned(),
        force_kn: Some(-1.0),
        mass_kg: Some(0.0),
        ..cutter()
    };
    let fields: Vec<_> = tool.faults().iter().map(ToolError::field).collect();
    assert_eq!(fields, ["name", "force_kn", "mass_kg"]);
}

#[test]
fn a_saw_has_no_force_and_brings_its_caution() {
    let saw = Tool {
        force_kn: Some(20.0),
        ..Tool::named("Saw", ToolKind::Saw)
    };
    assert_eq!(
        message(&saw),
        "force_kn: a saw has no rated force; leave it empty"
    );
    assert!(
        ToolKind::Saw
            .caution()
            .is_some_and(|c| c.contains("people inside"))
    );
    assert_eq!(ToolKind::Cutter.caution(), None);
}

#[test]
fn a_spreader_has_no_cutters_designation() {
    let spreader = Tool {
        kind: ToolKind::Spreader,
        ..cutter()
    };
    assert!(message(&spreader).starts_with("designation: a spreader has no"));
}

#[test]
fn what_the_plate_and_the_figures_say_differently_is_reported() {
    let tool = Tool {
        opening_mm: Some(180.0),
        designation: Some("BC 120 H-15.2".parse().unwrap()),
        ..cutter()
    };
    assert_eq!(tool.faults(), []);
    let said = tool.contradictions();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].contains("AC"), "{said:?}");
    assert!(
        said[1].contains("opening 120 mm, the tool 180 mm"),
        "{said:?}"
    );
}
