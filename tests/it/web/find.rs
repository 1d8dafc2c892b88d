//! Finding a car.

use super::reader::Reader;
use axum::http::{HeaderName, StatusCode};

#[tokio::test]
async fn an_empty_book_says_where_to_begin() {
    let reader = Reader::empty().await;
    let answer = reader.get("/").await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(answer.words("main").contains("No card yet"));
    assert!(
        answer
            .attributes("main a", "href")
            .contains(&"/cards/new".to_owned())
    );
    assert_eq!(answer.count("main a[href^='/body-styles/']"), 12);
}

#[tokio::test]
async fn words_in_any_order_and_with_a_slip_find_the_card() {
    let reader = Reader::demo().await;
    let marram = reader.card_of("Marram").await;
    for typed in ["marram kestrane 2021", "2021 kestrnae marram", "MARRAM"] {
        let found = reader.find(typed).await;
        let first = found.attributes("#below a[href^='/cards/']", "href");
        assert_eq!(first.first(), Some(&marram), "{typed}");
    }
}

#[tokio::test]
async fn a_car_nobody_recorded_leads_to_its_generic_card_marked_as_such() {
    let reader = Reader::demo().await;
    let found = reader.find("zzyzx coupe").await;
    assert!(
        found
            .words("#below")
            .contains("nobody has looked at this car")
    );
    assert!(
        found
            .attributes("#below a", "href")
            .contains(&"/body-styles/coupe".to_owned())
    );
    let generic = reader.get("/body-styles/coupe").await;
    assert!(
        generic
            .words(".notice")
            .contains("Generic: nobody has looked at this car.")
    );
    assert!(generic.words("#power").contains("treat as live"));
    assert!(
        generic
            .words("svg text")
            .contains("GENERIC: nobody has looked at this car.")
    );
}

/// 49 CFR 565.15's check digit: `1M8GDM9AXKP042788` is its published example.
#[tokio::test]
async fn a_vin_tells_its_model_year_and_a_wrong_check_digit_only_warns() {
    let reader = Reader::demo().await;
    let right = reader.find("1M8GDM9AXKP042788").await;
    assert!(
        right.words(".first").contains("1989"),
        "{}",
        right.words(".first")
    );
    assert_eq!(right.count(".first .note"), 0);
    let wrong = reader.find("1M8GDM9A1KP042788").await;
    assert_eq!(wrong.status, StatusCode::OK);
    assert!(wrong.count(".first .note") > 0);
}

#[tokio::test]
async fn what_is_typed_is_kept_and_never_read_as_markup() {
    let reader = Reader::demo().await;
    let typed = "\"><script>alert(1)</script>";
    let answer = reader.find(typed).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.attributes("#q", "value"), [typed]);
    assert_eq!(answer.count("script:not([src])"), 0);
}

#[tokio::test]
async fn a_search_of_ten_thousand_letters_is_answered() {
    let reader = Reader::demo().await;
    let answer = reader.find(&"x".repeat(10_000)).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.attributes("#q", "value")[0].len(), 200);
}

#[tokio::test]
async fn the_part_below_the_box_is_the_same_with_and_without_script() {
    let reader = Reader::demo().await;
    let page = reader.get("/?q=sedan").await;
    let asked = [(HeaderName::from_static("x-part"), "below")];
    let part = reader.get_with("/find?q=sedan", &asked).await;
    assert_eq!(part.status, StatusCode::OK);
    assert!(page.text().contains(part.text().trim()));
    assert_eq!(part.count("html > head > *"), 0);
}
