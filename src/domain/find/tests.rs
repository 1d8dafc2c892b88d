//! Names are invented.

use super::*;
use crate::domain::vehicle::{Drive, Years};
use rstest::rstest;

fn vehicle(make: &str, model: &str, years: [i32; 2], style: StyleId) -> Vehicle {
    Vehicle {
        make: Some(make.into()),
        model: Some(model.into()),
        years: Some(Years::from(years)),
        body_style: style,
        drive: Some(Drive::Petrol),
        wheel: None,
        roof: None,
        region: None,
        hold_time_s: None,
    }
}

fn county() -> Vec<Vehicle> {
    vec![
        vehicle("Corvel", "Tarn", [2019, 2023], StyleId::Sedan),
        vehicle("Corvel", "Tarn", [2012, 2018], StyleId::Sedan),
        vehicle("Corvel", "Tarn Estate", [2019, 2023], StyleId::Estate),
        vehicle("Halvard", "T5", [2015, 2020], StyleId::CargoVan),
        vehicle("Halvard", "T6", [2020, 2024], StyleId::CargoVan),
        vehicle("Osterby", "Fell-Runner", [2018, 2022], StyleId::PickupCrew),
        vehicle("Brackwater", "Lune", [2021, 2025], StyleId::Suv),
    ]
}

fn best(typed: &str) -> Option<usize> {
    let county = county();
    let vehicles: Vec<&Vehicle> = county.iter().collect();
    find(typed, &vehicles, 10).matches.first().map(|m| m.index)
}

#[rstest]
#[case("corvel tarn 2021", 0)]
#[case("2021 tarn corvel", 0)]
#[case("TARN, 2014", 1)]
#[case("corvl tran 2021", 0)]
#[case("corv", 1)]
#[case("corvel tarn wagon", 2)]
#[case("tarn estate", 2)]
#[case("2016 halvard van", 3)]
#[case("t5", 3)]
#[case("t6", 4)]
#[case("truck osterby", 5)]
#[case("fellrunner", 5)]
#[case("fell runner crew cab", 5)]
#[case("brakwater", 6)]
#[case("brackw", 6)]
#[case("bracwat", 6)]
fn the_car_meant_comes_first(#[case] typed: &str, #[case] index: usize) {
    assert_eq!(best(typed), Some(index));
}

#[rstest]
#[case("zzyzx")]
#[case("")]
#[case("t7")]
#[case("corvel zzyzx qwert")]
fn what_is_nobodys_finds_nothing(#[case] typed: &str) {
    assert_eq!(best(typed), None);
}

#[rstest]
#[case("saloon", StyleId::Sedan)]
#[case("old wagon", StyleId::Estate)]
#[case("zzyzx truck", StyleId::PickupCrew)]
#[case("double cab truck", StyleId::PickupCrew)]
#[case("truck single cab", StyleId::PickupRegular)]
#[case("van", StyleId::CargoVan)]
#[case("mini-van minivan", StyleId::Minivan)]
#[case("3 door hatch", StyleId::Hatch3)]
#[case("three door hatchback", StyleId::Hatch3)]
#[case("5dr hatch", StyleId::Hatch5)]
#[case("cabr", StyleId::Convertible)]
#[case("coup", StyleId::Coupe)]
#[case("slaoon", StyleId::Sedan)]
fn a_body_style_is_understood_in_the_trades_words(#[case] typed: &str, #[case] style: StyleId) {
    assert_eq!(find(typed, &[], 10).generic(), Some(style));
}

#[test]
fn every_style_is_understood_by_its_own_word() {
    for style in StyleId::ALL {
        assert!(styles_meant(style.word()).contains(style), "{style}");
    }
}

#[test]
fn words_that_name_no_style_name_none() {
    assert_eq!(find("corvel tarn", &[], 10).generic(), None);
}

#[test]
fn why_says_what_was_met_and_what_was_not() {
    let county = county();
    let vehicles: Vec<&Vehicle> = county.iter().collect();
    let found = find("corvl tarn 2025", &vehicles, 10);
    let first = &found.matches[0];
    assert_eq!(
        first.why,
        "corvel is close to “corvl”, tarn, 2025 is outside 2012–2018"
    );
}

#[test]
fn a_year_just_outside_ranks_above_one_far_outside() {
    assert_eq!(best("corvel tarn 2024"), Some(0));
}

#[test]
fn an_unknown_year_is_said_and_counts_half() {
    let mut unknown = vehicle("Corvel", "Tarn", [0, 0], StyleId::Sedan);
    unknown.years = None;
    let known = vehicle("Corvel", "Tarn", [2019, 2023], StyleId::Sedan);
    let found = find("tarn 2020", &[&unknown, &known], 10);
    assert_eq!(found.matches[0].index, 1);
    assert!(found.matches[1].why.contains("years unknown"));
}

#[test]
fn scores_lie_between_0_and_1_and_the_order_is_the_same_each_time() {
    let county = county();
    let vehicles: Vec<&Vehicle> = county.iter().collect();
    for typed in ["tarn", "2020", "corvel van truck", "a", "éé ß 🚒"] {
        let found = find(typed, &vehicles, 10);
        assert!(found.matches.iter().all(|m| (0.0..=1.0).contains(&m.score)));
        assert_eq!(found, find(typed, &vehicles, 10));
    }
}

#[test]
fn a_very_long_text_is_cut_and_answered() {
    let county = county();
    let vehicles: Vec<&Vehicle> = county.iter().collect();
    find(&"tarn ".repeat(100_000), &vehicles, 10);
}
