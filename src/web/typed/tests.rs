use super::*;
use crate::domain::units::Unit;
use crate::domain::vehicle::Drive;
use time::macros::date;

const F: Asked = Asked::new("f", "The field");

fn typed(text: &str) -> Typed {
    Typed::sent([("f".to_owned(), text.to_owned())])
}

#[test]
fn what_was_typed_is_kept_beside_its_fault() {
    let mut form = typed(" 1,250 <b>");
    assert_eq!(form.length(F, Unit::Mm), None);
    assert_eq!(form.value("f"), " 1,250 <b>");
    assert!(form.fault("f").unwrap().contains("comma"));
    assert_eq!(form.faults()[0].label, "The field");
    assert_eq!(form.status(), StatusCode::UNPROCESSABLE_ENTITY);
}

#[test]
fn an_empty_field_is_no_fault_unless_it_has_to_be_there() {
    let mut form = typed("  ");
    assert_eq!(form.length(F, Unit::Mm), None);
    assert_eq!(form.whole(F, 1..=3), None);
    assert_eq!(form.text(F, 10), None);
    assert_eq!(form.word(F, Drive::from_word), None);
    assert!(form.is_valid());
    assert_eq!(form.required_word(F, Drive::from_word), None);
    assert!(!form.is_valid());
}

#[test]
fn a_number_out_of_range_says_the_range() {
    for text in ["0", "4", "1.5", "x", "99999999999999999999"] {
        let mut form = typed(text);
        assert_eq!(form.whole(F, 1..=3), None, "{text}");
        assert!(form.fault("f").unwrap().contains("from 1 to 3"));
    }
}

#[test]
fn a_day_to_come_is_refused() {
    let today = date!(2026 - 03 - 05);
    assert_eq!(
        typed("2026-03-04").date(F, today),
        Some(date!(2026 - 03 - 04))
    );
    for text in ["2026-03-06", "1850-01-01", "4 March", "", "2026-02-30"] {
        assert_eq!(typed(text).date(F, today), None, "{text}");
    }
}

#[test]
fn long_text_is_refused_and_shortened_in_the_message() {
    let long = "x".repeat(200);
    let mut form = typed(&long);
    assert_eq!(form.word(F, Drive::from_word), None);
    assert!(form.fault("f").unwrap().chars().count() < 100);
    let mut form = typed(&long);
    assert_eq!(form.text(F, 100), None);
    assert!(form.fault("f").unwrap().contains("at most 100"));
}

#[test]
fn the_first_fault_of_a_field_stays() {
    let mut form = typed("");
    form.refuse(F, "one");
    form.refuse(F, "two");
    assert_eq!(form.faults().len(), 1);
    assert_eq!(form.fault("f"), Some("one"));
}
