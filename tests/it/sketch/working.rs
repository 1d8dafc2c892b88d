//! What a plan does, drawn over the zones: numbers, blades, looks, and the room
//! to keep from bags.

use super::frames::assert_words_stand_free;
use super::sample;
use pillarbook::domain::body::StyleId;
use pillarbook::domain::frame::Side;
use pillarbook::domain::zone::Zones;
use pillarbook::sketch::mark::Mark;
use pillarbook::sketch::{
    Doing, Look, Options, Person, Room, View, Who, Work, draw, side_frame, strip,
};

/// Up to four works on every span, from its foot to its head, and a look.
fn works(zones: &Zones, seed: u64) -> Vec<Work> {
    let mut works = Vec::new();
    for (n, span) in zones.spans.iter().enumerate() {
        let n = n as u64;
        let each = (seed + n) % 4;
        for i in 0..each {
            let share = ((seed * 31 + n * 17 + i * 13) % 100) as f64 / 99.0;
            works.push(Work {
                doing: [Doing::Cut, Doing::Contact][(i % 2) as usize],
                number: format!("{}", 1 + (seed + n * 4 + i) % 30),
                span: span.id.to_string(),
                from_mm: share * span.length_mm,
                to_mm: share * span.length_mm,
                blocked: (seed + i).is_multiple_of(5),
                word: "look first".to_owned(),
            });
        }
        works.push(Work {
            doing: Doing::Look,
            number: String::new(),
            span: span.id.to_string(),
            from_mm: 0.2 * span.length_mm,
            to_mm: 0.4 * span.length_mm,
            blocked: false,
            word: "bare".to_owned(),
        });
    }
    works
}

#[test]
fn words_stand_free_of_one_another_whatever_a_plan_does() {
    for seed in 0..120 {
        let sample = sample::random(seed, 12);
        let works = works(&sample.zones, seed);
        let options = Options {
            works: &works,
            ..sample::options(Look::Light)
        };
        for side in [Side::Left, Side::Right] {
            let scene = side_frame(&sample.zones, side, &options);
            assert_words_stand_free(&scene, &format!("card {seed}, frame {side:?}"));
        }
        for span in &sample.zones.spans {
            let scene = strip(&sample.zones, span, &options);
            assert_words_stand_free(&scene, &format!("card {seed}, strip {}", span.id));
        }
    }
}

#[test]
fn numbers_in_a_view_are_the_steps_and_no_components() {
    let sample = sample::full(StyleId::Sedan);
    let span = sample.zones.spans.iter().find(|s| s.id == "b-pillar.left");
    let works = [Work {
        doing: Doing::Cut,
        number: "27".to_owned(),
        span: span.unwrap().id.to_string(),
        from_mm: 500.0,
        to_mm: 500.0,
        blocked: false,
        word: "seen bare".to_owned(),
    }];
    let options = Options {
        works: &works,
        ..sample::options(Look::Light)
    };
    let scene = draw(&sample.zones, &sample.body, View::Left, &options);
    let numbers: Vec<&str> = scene
        .texts()
        .iter()
        .map(|t| t.words.as_str())
        .filter(|w| w.chars().all(|c| c.is_ascii_digit()))
        .collect();
    assert_eq!(numbers, ["27"]);
    let said = scene.texts().iter().any(|t| t.words.contains("seen bare"));
    assert!(said, "the status is said in words");
    let right = draw(&sample.zones, &sample.body, View::Right, &options);
    assert!(!right.texts().iter().any(|t| t.words == "27"));
}

#[test]
fn a_blocked_cut_is_crossed_out_and_never_drawn_as_a_blade() {
    let sample = sample::full(StyleId::Sedan);
    let span = &sample.zones.spans[0];
    let drawn = |blocked: bool| {
        let works = [Work {
            doing: Doing::Cut,
            number: "3".to_owned(),
            span: span.id.to_string(),
            from_mm: 300.0,
            to_mm: 300.0,
            blocked,
            word: String::new(),
        }];
        let options = Options {
            works: &works,
            ..sample::options(Look::Light)
        };
        let scene = strip(&sample.zones, span, &options);
        let count = |mark: Mark| scene.shapes().iter().filter(|s| s.mark == mark).count();
        (count(Mark::Ink), count(Mark::Arrow))
    };
    assert_eq!(drawn(false), (2, 0), "a blade has two wedges");
    assert_eq!(drawn(true), (0, 2), "a cross has two strokes");
}

#[test]
fn the_room_to_keep_from_a_bag_has_a_mark_of_its_own_and_a_letter() {
    let sample = sample::full(StyleId::Sedan);
    let rooms = [
        Room {
            from_mm: vec![[900.0, -370.0, 900.0].into()],
            distance_mm: Some(254.0),
            said: "driver bag: keep 254 mm off".to_owned(),
        },
        Room {
            from_mm: vec![
                [900.0, 500.0, 1200.0].into(),
                [2400.0, 500.0, 1300.0].into(),
            ],
            distance_mm: None,
            said: "curtain bag: room to keep unknown".to_owned(),
        },
    ];
    let options = Options {
        rooms: &rooms,
        ..sample::options(Look::Light)
    };
    let scene = draw(&sample.zones, &sample.body, View::Top, &options);
    let words: Vec<&str> = scene.texts().iter().map(|t| t.words.as_str()).collect();
    assert!(words.contains(&"A") && words.contains(&"B"), "{words:?}");
    let outlines = scene
        .shapes()
        .iter()
        .filter(|s| s.mark == Mark::Room)
        .count();
    assert_eq!(
        outlines, 2,
        "one outline, one in the key; none for an unknown room"
    );
    let left = draw(&sample.zones, &sample.body, View::Left, &options);
    assert!(!left.texts().iter().any(|t| t.words == "B"));
}

#[test]
fn a_room_whose_place_nobody_knows_is_said_in_every_view() {
    let sample = sample::full(StyleId::Sedan);
    let rooms = [Room {
        from_mm: Vec::new(),
        distance_mm: None,
        said: "roof bag: room to keep unknown".to_owned(),
    }];
    let options = Options {
        rooms: &rooms,
        ..sample::options(Look::Light)
    };
    for view in [View::Left, View::Right, View::Top] {
        let scene = draw(&sample.zones, &sample.body, view, &options);
        let said = |t: &&pillarbook::sketch::scene::Text| t.words.contains("roof bag");
        assert!(scene.texts().iter().any(said), "{view}");
    }
}

#[test]
fn patient_and_caregiver_have_a_letter_where_they_are_and_words_in_the_key() {
    let sample = sample::full(StyleId::Sedan);
    let at = |seat: &str| {
        let mut seats = sample.body.style.seats.iter();
        let seat = seats.find(|s| s.id == seat).expect("a seat of the sedan");
        sample.body.map_point(seat.h_point)
    };
    let people = [
        Person {
            at_mm: at("front-right"),
            who: Who::Patient,
        },
        Person {
            at_mm: at("rear-right"),
            who: Who::Caregiver,
        },
    ];
    let options = Options {
        people: &people,
        ..sample::options(Look::Light)
    };
    let letters = |view| {
        let scene = draw(&sample.zones, &sample.body, view, &options);
        let words = scene.texts().into_iter().map(|t| t.words.clone());
        let own = |w: &String| w == "p" || w == "c" || w.starts_with("p  ") || w.starts_with("c  ");
        words.filter(own).collect::<Vec<_>>()
    };
    let both = [
        "p",
        "c",
        "p  patient’s seat",
        "c  where the caregiver is likely to be",
    ];
    assert_eq!(letters(View::Top), both);
    assert_eq!(letters(View::Right), both);
    assert_eq!(letters(View::Left), Vec::<String>::new());
}
