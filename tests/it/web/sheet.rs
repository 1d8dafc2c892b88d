//! The printed sheet: one side, or two where there are many parts.

use super::reader::Reader;

#[tokio::test]
async fn a_card_of_many_parts_continues_on_the_other_side_with_its_cautions() {
    let reader = Reader::demo().await;
    let address = reader.card_of("Marram").await;
    for paper in ["a4", "letter"] {
        let sheet = reader.get(&format!("{address}/print?paper={paper}")).await;
        assert_eq!(sheet.count(".side"), 2);
        assert!(sheet.words(".side:first-of-type").contains("Side 1 of 2"));
        let front = sheet.words(".turn");
        let parts = sheet.count(".two-of-two .sheet-list p");
        assert!(parts > 30, "{parts}");
        assert_eq!(
            front,
            format!("Continues on side 2: {parts} parts, with who says so.")
        );
        assert!(
            sheet
                .words(".two-of-two .sheet-head")
                .contains("Kestrane Marram")
        );
        assert!(sheet.words(".two-of-two .sheet-head").contains("Revision"));
        assert_eq!(sheet.count(".side > .cautions"), 2);
    }
    let other = reader.get(&format!("{address}/print?year=2021")).await;
    assert!(
        other
            .words(".two-of-two .sheet-head")
            .contains("SHOWN FOR: 2021")
    );
}

#[tokio::test]
async fn a_card_of_few_parts_is_one_side_and_says_nothing_of_another() {
    let reader = Reader::empty().await;
    let sheet = reader.get("/body-styles/sedan/print").await;
    assert_eq!(sheet.count(".side"), 1);
    assert!(!sheet.words("main").to_lowercase().contains("side 2"));
    assert!(
        sheet
            .words(".sheet-parts")
            .contains("That is not the same as no part there.")
    );
}
