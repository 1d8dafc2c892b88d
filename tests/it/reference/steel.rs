//! The force to shear against worked examples of blanking, F = L·t·τ.

use pillarbook::domain::finding::Steel;
use pillarbook::domain::opening::steel::{ForceBand, LOWER_SHARE, shear_force_kn};
use std::f64::consts::PI;

/// Blanking a disk, mm and MPa, with what was printed in kN and its last place.
const DISKS: &[(&str, [f64; 3], f64, f64)] = &[
    (
        "an engineer's data handbook, printed 28.3",
        [20.0, 1.5, 300.0],
        28.27,
        0.005,
    ),
    (
        "the same handbook, printed 43,353 N",
        [10.0, 5.0, 276.0],
        43.353,
        0.001,
    ),
    (
        "the same, before its 40 % for shear on the punch",
        [10.0, 3.0, 400.0],
        37.7,
        0.05,
    ),
    (
        "a manufacturing textbook, from memory, 467,469 N",
        [150.0, 3.2, 310.0],
        467.469,
        0.001,
    ),
    (
        "another, from memory, τ = 0.7 UTS of 1,000 MPa",
        [25.0, 3.2, 700.0],
        176.0,
        0.5,
    ),
];

#[test]
fn blanking_forces_come_out_as_printed() {
    for (source, [diameter, thickness, shear], printed, within) in DISKS {
        let got = shear_force_kn(*shear, PI * diameter * thickness);
        assert!((got - printed).abs() <= *within, "{source}: {got} kN");
    }
    // 40 % penetration on a sheared punch leaves 60 %: 22.6 kN printed.
    assert!((0.6 * shear_force_kn(400.0, PI * 30.0) - 22.6).abs() < 0.05);
}

#[test]
fn the_band_holds_the_usual_share_of_blanking_practice() {
    // The textbook disk of 1,000 MPa as a section: 0.7 UTS lies between 0.577 and 0.8.
    let band = ForceBand::of(&Steel {
        uts_mpa: Some(1000.0),
        thickness_mm: Some(3.2),
        layers: Some(1),
        perimeter_mm: Some(PI * 25.0),
    })
    .unwrap();
    assert!(band.lower_kn < 176.0 && 176.0 < band.upper_kn, "{band:?}");
    // At 0.8 UTS, by the cited practice: 0.8 · 1000 · 251.327 mm².
    assert!((band.upper_kn - 201.062).abs() < 1e-3, "{band:?}");
    assert!((band.lower_kn - 145.016).abs() < 1e-3, "{band:?}");
}

#[test]
fn the_lower_share_is_the_von_mises_figure() {
    assert!((LOWER_SHARE - 1.0 / 3f64.sqrt()).abs() < 5e-4);
}
