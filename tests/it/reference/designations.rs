//! The test pieces of NFPA 1936 against the cells that the trade press
//! confirms and a table from memory, told apart.

use pillarbook::domain::opening::designation::{Standing, TestClass, piece};

/// Five cells that the trade press prints together as A4/B5/C6/D3/E4.
const CONFIRMED: &[(TestClass, u8, &str)] = &[
    (TestClass::RoundBar, 4, "3/4"),
    (TestClass::FlatBar, 5, "1/4x4"),
    (TestClass::Pipe, 6, "2"),
    (TestClass::SquareTube, 3, "1x.08"),
    (TestClass::Angle, 4, "1-1/2x3/16"),
];

/// The whole table, from memory, inches; `?` marks what memory doubts.
const FROM_MEMORY: [[&str; 5]; 9] = [
    ["3/8", "1/4x1/2", "3/8", "1/2x.08", "1/2x1/8"],
    ["1/2", "1/4x1", "3/4", "3/4x.08", "1x1/8"],
    ["5/8", "1/4x2", "1", "1x.08", "1-1/4x3/16"],
    ["3/4", "1/4x3", "1-1/4", "1-1/4x.12", "1-1/2x3/16"],
    ["7/8", "1/4x4", "1-1/2", "1-1/2x.12", "1-1/2x1/4"],
    ["1", "3/8x3", "2", "1-3/4x.12?", "1-3/4x1/4"],
    ["1-1/4", "3/8x4", "2-1/2", "2x.145", "2x1/4?"],
    ["1-1/2", "3/8x5", "3", "2-1/2x.187?", "2-1/2x1/4"],
    ["1-3/4", "3/8x6", "3-1/2", "3x.187?", "3x3/8?"],
];

/// `1-1/2` as a number.
fn inches(text: &str) -> f64 {
    let part = |t: &str| match t.split_once('/') {
        Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
        None => t.parse().unwrap(),
    };
    text.split('-').map(part).sum()
}

fn sizes(text: &str) -> (f64, Option<f64>) {
    match text.trim_end_matches('?').split_once('x') {
        Some((first, second)) => (inches(first), Some(inches(second))),
        None => (inches(text.trim_end_matches('?')), None),
    }
}

#[test]
fn the_confirmed_cells_are_those_of_the_trade_press_and_no_others_are_called_so() {
    let mut confirmed = 0;
    for class in TestClass::ALL {
        for level in 1..=9 {
            let piece = piece(class, level).unwrap();
            if piece.standing == Standing::Confirmed {
                confirmed += 1;
                let cell = CONFIRMED
                    .iter()
                    .find(|(c, l, _)| (*c, *l) == (class, level));
                let (_, _, printed) = cell.unwrap();
                assert_eq!((piece.first_in, piece.second_in), sizes(printed));
                assert!(!piece.to_string().contains("memory"), "{piece}");
            } else {
                assert!(piece.to_string().contains("from memory"), "{piece}");
            }
        }
    }
    assert_eq!(confirmed, CONFIRMED.len());
}

#[test]
fn the_other_cells_are_the_table_from_memory_with_its_doubts() {
    for (level, row) in (1..).zip(FROM_MEMORY) {
        for (class, cell) in TestClass::ALL.into_iter().zip(row) {
            let piece = piece(class, level).unwrap();
            assert_eq!(
                (piece.first_in, piece.second_in),
                sizes(cell),
                "{}{level}",
                class.letter()
            );
            let doubted = piece.standing == Standing::Uncertain;
            assert_eq!(doubted, cell.ends_with('?'), "{}{level}", class.letter());
            assert_eq!(doubted, piece.to_string().contains("uncertain"));
        }
    }
}
