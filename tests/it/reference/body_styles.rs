//! Dimensions of the passenger styles against the cars of a published data set
//! (Cars93, package MASS), and the identity of SAE J1100.

use super::kept;
use pillarbook::domain::body::{StyleId, style};

/// Which type of Cars93 a style is held against; the set has no type for the others.
const TYPES: [(StyleId, &str); 7] = [
    (StyleId::Sedan, "Midsize"),
    (StyleId::Estate, "Midsize"),
    (StyleId::Coupe, "Sporty"),
    (StyleId::Convertible, "Sporty"),
    (StyleId::Hatch3, "Small"),
    (StyleId::Hatch5, "Small"),
    (StyleId::Minivan, "Van"),
];

#[test]
fn passenger_styles_are_no_larger_or_smaller_than_real_cars_of_their_type() {
    let types = kept("cars93");
    for (id, name) in TYPES {
        let d = style(id).dimensions;
        for (code, value) in [
            ("wheelbase_mm", d.wheelbase_mm),
            ("length_mm", d.length_mm),
            ("width_mm", d.width_mm),
        ] {
            let [least, greatest] = [0, 1].map(|i| types[name][code][i].as_f64().unwrap());
            assert!(
                (least..=greatest).contains(&value),
                "{id} {code} is {value}, {name} cars have {least} to {greatest}"
            );
        }
    }
}

#[test]
fn length_is_overhangs_and_wheelbase_in_every_style() {
    for id in StyleId::ALL {
        let d = style(*id).dimensions;
        let sum = d.front_overhang_mm + d.wheelbase_mm + d.rear_overhang_mm;
        assert!(
            (d.length_mm - sum).abs() < 1e-9,
            "{id}: {} is not {sum}",
            d.length_mm
        );
    }
}
