//! Guessing passwords: slowed down by account and address, and nobody who knows
//! theirs is kept out by it.

use super::County;
use super::county::{FORM, asked, encoded};
use crate::web::door::{Answered, PASSWORD, answer};
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Method, header};
use pillarbook::store::Store;
use pillarbook::web::sign_in::{Doorkeeper, Try};
use std::net::{IpAddr, SocketAddr};
use time::macros::datetime;
use time::{Duration, OffsetDateTime};

const NOW: OffsetDateTime = datetime!(2026-03-05 10:00 UTC);
const ATTACKER: &str = "198.51.100.66";
const STATION: &str = "192.0.2.7";

fn from<'a>(account: &'a str, address: &str) -> Try<'a> {
    Try {
        account,
        address: Some(address.parse::<IpAddr>().unwrap()),
        known_browser: false,
    }
}

/// Tries a wrong password as soon as that is allowed; whether it was.
async fn guess(store: &Store, asked: &Try<'_>, now: OffsetDateTime) -> bool {
    let door = Doorkeeper::hasty();
    let allowed = door.wait(store, asked, now).await.unwrap() == 0;
    if allowed {
        door.failed(store, asked, now).await.unwrap();
    }
    allowed
}

async fn wait(store: &Store, asked: &Try<'_>, now: OffsetDateTime) -> u64 {
    Doorkeeper::hasty().wait(store, asked, now).await.unwrap()
}

#[tokio::test]
async fn whoever_guesses_from_one_address_keeps_nobody_out_who_comes_from_another() {
    let county = &County::new().await;
    let mut guesses = 0;
    for half_minute in 0..720 {
        let now = NOW + Duration::seconds(30) * half_minute;
        guesses += usize::from(guess(&county.store, &from("ada.oakmere", ATTACKER), now).await);
        let owner = wait(&county.store, &from("ada.oakmere", STATION), now).await;
        assert_eq!(owner, 0, "after {guesses} guesses");
    }
    // A minute each, but for the first ones.
    assert!((300..400).contains(&guesses), "{guesses} in six hours");
}

#[tokio::test]
async fn guessing_from_many_addresses_makes_an_account_wait_on_browsers_it_does_not_know() {
    let county = &County::new().await;
    let mut guesses = 0;
    for round in 0..40 {
        let now = NOW + Duration::seconds(round);
        for last in 1..=50 {
            let address = format!("203.0.113.{last}");
            guesses += usize::from(guess(&county.store, &from("ada.oakmere", &address), now).await);
        }
    }
    assert!(guesses < 40, "{guesses} of 2000");
    let now = NOW + Duration::seconds(40);
    assert!(wait(&county.store, &from("ada.oakmere", STATION), now).await > 0);
    let known = Try {
        known_browser: true,
        ..from("ada.oakmere", STATION)
    };
    assert_eq!(wait(&county.store, &known, now).await, 0);
    assert_eq!(
        wait(&county.store, &from("bo.oakmere", STATION), now).await,
        0
    );
}

#[tokio::test]
async fn a_whole_station_behind_one_address_gets_in_whatever_somebody_there_tries() {
    let county = &County::new().await;
    // Somebody on its wireless network guesses, at names of their own making.
    for round in 0..600_i64 {
        let now = NOW + Duration::seconds(round);
        let name = format!("guess.{}", round % 7);
        guess(&county.store, &from(&name, STATION), now).await;
        for one in 0..3 {
            let name = format!("crew.{one}");
            let right = wait(&county.store, &from(&name, STATION), now).await;
            assert_eq!(right, 0, "after {round} s");
        }
    }
    // Who has mistyped there waits, and no longer than a minute.
    let now = NOW + Duration::seconds(600);
    let mistyped = from("crew.9", STATION);
    guess(&county.store, &mistyped, now).await;
    let waits = wait(&county.store, &mistyped, now).await;
    assert!((1..=60).contains(&waits), "{waits}");
    assert_eq!(
        wait(&county.store, &mistyped, now + Duration::minutes(1)).await,
        0
    );
}

#[tokio::test]
async fn a_station_does_not_wait_for_what_was_mistyped_weeks_ago() {
    let county = &County::new().await;
    for day in 0..60 {
        for hour in 0..4 {
            let now = NOW + Duration::days(day) + Duration::hours(hour);
            let name = format!("crew.{hour}");
            assert!(guess(&county.store, &from(&name, STATION), now).await);
            let again = wait(&county.store, &from(&name, STATION), now).await;
            assert_eq!(again, 0, "day {day}");
            let asked = from(&name, STATION);
            Doorkeeper::hasty()
                .succeeded(&county.store, &asked)
                .await
                .unwrap();
        }
    }
}

#[tokio::test]
async fn an_attacker_with_a_whole_prefix_is_one_address() {
    let county = &County::new().await;
    let mut guesses = 0;
    for last in 0..200 {
        let address = format!("2001:db8:1:2:aaaa::{last:x}");
        guesses += usize::from(guess(&county.store, &from("ada.oakmere", &address), NOW).await);
    }
    assert_eq!(guesses, 5);
    let neighbour = from("ada.oakmere", "2001:db8:1:3::1");
    assert_eq!(wait(&county.store, &neighbour, NOW).await, 0);
    let mapped = from("ada.oakmere", "::ffff:192.0.2.7");
    for _ in 0..5 {
        guess(&county.store, &mapped, NOW).await;
    }
    assert!(wait(&county.store, &from("ada.oakmere", STATION), NOW).await > 0);
}

async fn sign_in(county: &County, address: &str, (name, password): (&str, &str)) -> Answered {
    let fields = [("name", name), ("password", password)];
    let mut request = asked(None, Method::POST, "/sign-in")
        .header(header::CONTENT_TYPE, FORM)
        // Nobody trusts whoever comes to say who they are.
        .header("x-forwarded-for", "192.0.2.200")
        .body(Body::from(encoded(&fields)))
        .unwrap();
    let peer = SocketAddr::new(address.parse().unwrap(), 4711);
    request.extensions_mut().insert(ConnectInfo(peer));
    answer(&county.router, request).await
}

#[tokio::test]
async fn the_page_counts_by_who_comes() {
    let county = &County::new().await;
    let wrong = ("ada.oakmere", "not the password");
    for _ in 0..5 {
        sign_in(county, ATTACKER, wrong).await.expect(422);
    }
    let waits = sign_in(county, ATTACKER, ("ada.oakmere", PASSWORD))
        .await
        .expect(429);
    assert!(waits.headers.contains_key(header::RETRY_AFTER));
    sign_in(county, STATION, ("ada.oakmere", PASSWORD))
        .await
        .expect(303);
    sign_in(county, ATTACKER, ("bo.oakmere", PASSWORD))
        .await
        .expect(303);
}

#[tokio::test]
async fn a_name_as_long_as_a_book_does_not_fill_the_store() {
    let county = &County::new().await;
    let size = || std::fs::metadata(&county.path).unwrap().len();
    let long = "a".repeat(900_000);
    let before = size();
    for n in 0..6 {
        let name = format!("{long}{n}");
        let answer = sign_in(county, ATTACKER, (&name, "not the password")).await;
        assert!(answer.status.is_client_error(), "{}", answer.status);
    }
    let wal = county.path.with_extension("db-wal");
    let waiting = std::fs::metadata(wal).map_or(0, |m| m.len());
    let grown = size() - before;
    assert!(grown + waiting < 5_000_000, "{grown} and {waiting} bytes");
}

#[tokio::test]
async fn an_open_session_is_no_place_to_guess_the_password_from() {
    let county = &County::new().await;
    let change = [
        ("do", "password"),
        ("old", "not the password"),
        ("password", "barrel quarry thistle oar"),
        ("again", "barrel quarry thistle oar"),
    ];
    let chief = &county.home.chief;
    let mut statuses = Vec::new();
    for _ in 0..8 {
        let answer = county.post(chief, "/account", &change).await;
        statuses.push(answer.status.as_u16());
    }
    assert_eq!(statuses[..5], [422; 5]);
    assert_eq!(statuses[5..], [429; 3]);
}
