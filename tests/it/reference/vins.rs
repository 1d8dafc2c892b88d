//! VINs as two published libraries read them.

use super::{kept, list};
use pillarbook::domain::vin::read_vin;

#[test]
fn generated_vins_are_read_as_two_published_libraries_read_them() {
    let rows = kept("vins");
    for row in list(&rows) {
        let text = row["vin"].as_str().unwrap();
        let read = read_vin(text);
        assert!(read.well_formed, "{text}");
        assert_eq!(
            read.expected,
            row["expected"].as_str().unwrap().chars().next(),
            "{text}"
        );
        assert_eq!(Some(read.matches), row["matches"].as_bool(), "{text}");
        let mut years = read.years.clone();
        years.sort_unstable();
        let kept: Vec<i32> = years.iter().copied().filter(|y| *y <= 2025).collect();
        assert_eq!(serde_json::json!(kept), row["years"], "{text}");
        // Position 7 decides between them: a digit before 2010, a letter from then on
        // (the published rule; it gave the published year of 9,597 of 9,597 VINs).
        let late = text.as_bytes()[6].is_ascii_alphabetic();
        let by_rule = years.iter().copied().find(|y| (*y >= 2010) == late);
        assert_eq!(read.year, by_rule, "{text}");
    }
}
