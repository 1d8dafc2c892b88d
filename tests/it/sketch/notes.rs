//! Notes on drawings: each tag stands free, where it belongs, and a touch on a
//! drawing is the place that a note there is drawn at.

use super::frames::assert_words_stand_free;
use super::sample;
use pillarbook::domain::annotation::{Picture, Target};
use pillarbook::domain::body::StyleId;
use pillarbook::sketch::mark::Mark;
use pillarbook::sketch::scene::{Form, Scene};
use pillarbook::sketch::{Look, NoteMark, Options, Turn, View, draw, spot_at};
use rstest::rstest;

fn note(id: &str, target: Target) -> NoteMark {
    NoteMark {
        id: id.into(),
        target,
        offered: false,
        said: format!(
            "what {id} says, at some length, so that it takes more than one line of a key"
        ),
    }
}

fn station(id: &str, span: &str, at_mm: f64) -> NoteMark {
    let span = span.to_owned();
    note(id, Target::Station { span, at_mm })
}

fn place(id: &str, picture: Picture, at_mm: [f64; 2]) -> NoteMark {
    note(id, Target::Place { picture, at_mm })
}

fn words(scene: &Scene) -> Vec<&str> {
    scene.texts().iter().map(|t| t.words.as_str()).collect()
}

/// A dozen notes all over a car.
fn many() -> Vec<NoteMark> {
    let mut notes = vec![
        station("n1", "b-pillar.left", 300.0),
        station("n2", "b-pillar.left", 310.0),
        station("n3", "rocker.right", 900.0),
        station("n4", "roof-rail.left", 99_999.0),
        note("n5", Target::Card),
        place("n6", Picture::Left, [1_200.0, 700.0]),
        place("n7", Picture::Top, [1_200.0, -500.0]),
        place("n8", Picture::Front, [400.0, 700.0]),
        place("n9", Picture::Right, [-9_000.0, 9_000.0]),
    ];
    for (n, picture) in Picture::ALL.iter().enumerate() {
        let target = Target::Arrow {
            picture: *picture,
            from_mm: [900.0, 400.0],
            to_mm: [1_300.0, 900.0],
            label: "wiring runs here, twice".into(),
        };
        notes.push(note(&format!("n{}", 12 + n), target));
    }
    notes[6].offered = true;
    notes
}

#[test]
fn tags_and_words_stand_free_on_random_cards_however_they_lie() {
    let notes = many();
    for seed in 0..200 {
        let sample = sample::random(seed, 20);
        let n = seed as usize;
        let options = Options {
            turn: Turn::ALL[n / 6 % 4],
            flip: n.is_multiple_of(2),
            notes: &notes,
            ..sample::options(Look::Light)
        };
        let view = View::ALL[n % 6];
        let scene = draw(&sample.zones, &sample.body, view, &options);
        assert_words_stand_free(&scene, &format!("card {seed}, {view}"));
    }
}

#[test]
fn each_view_shows_its_own_notes_and_says_what_they_say() {
    let notes = many();
    let sample = sample::full(StyleId::Sedan);
    let options = Options {
        notes: &notes,
        ..sample::options(Look::Light)
    };
    for (view, here, elsewhere) in [
        (
            View::Left,
            &["n1", "n2", "n4", "n6"][..],
            &["n3", "n5", "n7", "n8", "n9"][..],
        ),
        (View::Right, &["n3", "n9"], &["n1", "n5", "n6"]),
        (View::Top, &["n1", "n3", "n7"], &["n5", "n6", "n8"]),
        (View::Front, &["n8"], &["n5", "n6", "n7"]),
        (View::FrameLeft, &["n1", "n2", "n4"], &["n3", "n5", "n6"]),
    ] {
        let scene = draw(&sample.zones, &sample.body, view, &options);
        let words = words(&scene);
        for id in here {
            assert!(words.contains(id), "{view} lacks {id}");
            let keyed = words.iter().any(|w| w.starts_with(&format!("{id} what")));
            assert_eq!(keyed, view != View::FrameLeft, "{view} {id}");
        }
        for id in elsewhere {
            assert!(!words.contains(id), "{view} has {id}");
        }
    }
    let left = draw(&sample.zones, &sample.body, View::Left, &options);
    assert!(words(&left).contains(&"n12 wiring runs here, twice"));
    let top = draw(&sample.zones, &sample.body, View::Top, &options);
    let dashed = |scene: &Scene| {
        scene
            .shapes()
            .iter()
            .filter(|s| s.mark == Mark::EdgeOffered)
            .count()
    };
    let none = Options {
        notes: &[],
        ..options
    };
    let without = draw(&sample.zones, &sample.body, View::Top, &none);
    assert_eq!(
        dashed(&top),
        dashed(&without) + 1,
        "what is only offered has a dashed edge"
    );
}

/// The dot of a note that stands alone on a drawing without components.
fn dot(scene: &Scene, without: &Scene) -> (f64, f64) {
    let dots = |scene: &Scene| -> Vec<(f64, f64)> {
        let shapes = scene.shapes();
        let feet = shapes.iter().filter(|s| s.mark == Mark::Foot);
        feet.filter_map(|s| match &s.form {
            Form::Line { points, .. } => Some((points[0].x, points[0].y)),
            _ => None,
        })
        .collect()
    };
    let known = dots(without);
    let new: Vec<_> = dots(scene)
        .into_iter()
        .filter(|d| !known.contains(d))
        .collect();
    assert_eq!(new.len(), 1);
    new[0]
}

#[rstest]
#[case(View::Left, [1_200.0, 700.0])]
#[case(View::Right, [1_200.0, 700.0])]
#[case(View::Top, [1_200.0, -500.0])]
#[case(View::Front, [400.0, 700.0])]
fn a_touch_is_the_place_that_a_note_there_is_drawn_at(#[case] view: View, #[case] spot: [f64; 2]) {
    let sample = sample::full(StyleId::Suv);
    for (turn, flip) in [
        (Turn::None, false),
        (Turn::Quarter, true),
        (Turn::Half, false),
    ] {
        let plain = Options {
            turn,
            flip,
            ..sample::options(Look::Light)
        };
        let without = draw(&sample.zones, &sample.body, view, &plain);
        let (picture, _) = spot_at(&sample.zones, &sample.body, view, &plain, (0.0, 0.0)).unwrap();
        let notes = [place("n1", picture, spot)];
        let options = Options {
            notes: &notes,
            ..plain.clone()
        };
        let at = dot(&draw(&sample.zones, &sample.body, view, &options), &without);
        let (_, found) = spot_at(&sample.zones, &sample.body, view, &plain, at).unwrap();
        for (a, b) in found.iter().zip(spot) {
            assert!((a - b).abs() < 1e-6, "{view}: {found:?} for {spot:?}");
        }
    }
    let frame = spot_at(
        &sample.zones,
        &sample.body,
        View::FrameLeft,
        &sample::options(Look::Light),
        (9.0, 9.0),
    );
    assert_eq!(frame, None);
}
