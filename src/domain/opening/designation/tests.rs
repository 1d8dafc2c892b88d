//! Designations as plates give them, tolerated and refused.

use super::*;

#[test]
fn a_rating_says_the_largest_piece_of_each_class() {
    let read = Designation::parse("A4/B5/C6/D3/E4").unwrap();
    assert_eq!(read.standard(), "NFPA 1936");
    assert_eq!(
        read.words(),
        [
            "A4: round bar 3/4 in (19 mm)",
            "B5: flat bar 1/4 × 4 in (6.4 × 102 mm)",
            "C6: schedule 40 pipe, nominal 2 in",
            "D3: square tube 1 in, wall 0.08 in (25 × 2.0 mm)",
            "E4: angle 1-1/2 × 3/16 in (38 × 4.8 mm)",
        ]
    );
    assert!(read.contradictions().is_empty());
    for same in ["a4 b5 c6 d3 e4", " NFPA 1936: E4-D3-C6-B5-A4 "] {
        let again = Designation::parse(same).unwrap();
        assert_eq!(again, read, "{same}");
        assert_eq!(again.to_string(), "A4/B5/C6/D3/E4");
    }
}

#[test]
fn a_cell_that_nobody_confirmed_says_so() {
    let words = Designation::parse("A8/B8/C8/D8/E9/F4").unwrap().words();
    assert_eq!(words[0], "A8: round bar 1-1/2 in (38 mm) (from memory)");
    assert!(
        words[3].ends_with("(from memory, uncertain)"),
        "{}",
        words[3]
    );
    assert!(
        words[4].ends_with("(from memory, uncertain)"),
        "{}",
        words[4]
    );
    assert_eq!(words[5], "F4: what this class cuts is not known here");
}

#[test]
fn pieces_of_a_class_never_shrink_as_the_level_rises() {
    for class in TestClass::ALL {
        for level in 1..9 {
            let [low, high] = [level, level + 1].map(|l| piece(class, l).unwrap());
            let size = |p: Piece| p.first_in * p.second_in.unwrap_or(p.first_in);
            assert!(size(low) < size(high), "{}{level}", class.letter());
        }
        assert_eq!(piece(class, 0), None);
        assert_eq!(piece(class, 10), None);
    }
}

#[test]
fn a_type_designation_is_read_into_its_parts() {
    let read = Designation::parse("BC 165 H-15.2").unwrap();
    let Designation::Cutter(cutter) = &read else {
        panic!("{read:?}")
    };
    assert_eq!(cutter.kind, CutterType::Bc);
    assert_eq!((cutter.opening_mm, cutter.capacity), (165, 'H'));
    assert_eq!(cutter.mass_kg, 15.2);
    assert!(read.contradictions().is_empty());
    assert!(read.words().iter().any(|w| w.contains("not known here")));
    for same in ["bc165h15,2", "BC 165-H-15.2 kg", "EN 13204 BC165H-15.2"] {
        let again = Designation::parse(same).unwrap();
        assert_eq!(again, read, "{same}");
        assert_eq!(again.to_string(), "BC 165 H-15.2");
    }
}

#[test]
fn a_type_that_its_opening_contradicts_is_reported_and_kept() {
    let read = Designation::parse("BC 120 F-9.8").unwrap();
    let said = read.contradictions().concat();
    assert!(said.contains("120 mm") && said.contains("AC"), "{said}");
    for (text, agrees) in [
        ("AC 149 C-9", true),
        ("AC 150 C-9", false),
        ("BC 150 C-9", true),
        ("BC 199 C-9", true),
        ("BC 200 C-9", false),
        ("CC 200 K-9", true),
    ] {
        let read = Designation::parse(text).unwrap();
        assert_eq!(read.contradictions().is_empty(), agrees, "{text}");
    }
}

#[test]
fn a_listing_by_material_is_read_in_any_order() {
    let read = Designation::parse("1I-2K-3H-4K-5K").unwrap();
    let Designation::Listing(listing) = &read else {
        panic!("{read:?}")
    };
    assert_eq!(listing.capacity(3), Some('H'));
    assert_eq!(listing.capacity(0), None);
    assert_eq!(listing.capacity(6), None);
    let again = Designation::parse("5k 4k 3h 2k 1i").unwrap();
    assert_eq!(again.to_string(), "1I-2K-3H-4K-5K");
    assert_eq!(again, read);
}

#[test]
fn what_cannot_be_read_says_what_would_be_accepted() {
    use DesignationError as E;
    let unreadable = |t: &str| E::Unreadable(t.to_owned());
    let level = |class, level: &str| E::Level {
        class,
        level: level.to_owned(),
    };
    for (text, error) in [
        ("  ", E::Empty),
        ("strong", unreadable("strong")),
        ("?", unreadable("?")),
        ("X4/B5", unreadable("X4/B5")),
        ("A4/B5/C6/D3/G4", unreadable("A4/B5/C6/D3/G4")),
        ("A4/B0/C6/D3/E4", level('B', "0")),
        ("A10/B5/C6/D3/E4", level('A', "10")),
        ("A4/B5/C6/D3/E", level('E', "")),
        ("A4/B5/C6/E4", E::ClassMissing('D')),
        ("A4/A5/C6/D3/E4", E::ClassTwice('A')),
        ("DC 165 H-15.2", E::Type("DC".to_owned())),
        ("BC 0 H-15.2", E::Opening("0".to_owned())),
        ("BC 1650 H-15.2", E::Opening("1650".to_owned())),
        ("BC 165 L-15.2", E::Capacity("L".to_owned())),
        ("BC 165 HH-15.2", E::Capacity("HH".to_owned())),
        ("BC 165 H", E::Mass(String::new())),
        ("BC 165 H-0.2", E::Mass("0.2".to_owned())),
        ("BC 165 H-1E1", E::Mass("1E1".to_owned())),
        ("1I-2K-3H-4K", E::MaterialMissing(5)),
        ("1I-2K-2H-4K-5K", E::MaterialTwice(2)),
        ("1I-2K-3L-4K-5K", E::Material("3L".to_owned())),
        ("1I-2K-3H-4K-6K", E::Material("6K".to_owned())),
        ("1I-2K-3H-4K-999K", E::Material("999K".to_owned())),
        ("ÄC 165 H-15", E::Type("ÄC".to_owned())),
    ] {
        let got = Designation::parse(text).unwrap_err();
        assert_eq!(got, error, "{text}");
        assert!(got.to_string().contains("accepted"), "{text}: {got}");
    }
}
