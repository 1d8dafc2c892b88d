//! The car from its sides, from above and from the front.

use super::frames::assert_words_stand_free;
use super::sample;
use pillarbook::domain::body::StyleId;
use pillarbook::domain::zone::ComponentClass;
use pillarbook::sketch::mark::Mark;
use pillarbook::sketch::{Look, Options, Turn, View, draw, svg};

const CARS: [View; 4] = [View::Left, View::Right, View::Top, View::Front];

#[test]
fn words_stand_free_in_every_view_of_five_hundred_random_cards_however_they_lie() {
    for seed in 0..500 {
        let sample = sample::random(seed, 40);
        let n = seed as usize;
        let (turn, flip) = (Turn::ALL[n / 4 % 4], n.is_multiple_of(2));
        let options = Options {
            turn,
            flip,
            ..sample::options(Look::Light)
        };
        let view = CARS[n % 4];
        let scene = draw(&sample.zones, &sample.body, view, &options);
        assert_words_stand_free(
            &scene,
            &format!("card {seed}, {view}, turned {turn}, flipped {flip}"),
        );
    }
}

#[test]
fn every_view_of_every_style_is_read_by_an_independent_reader_and_carries_its_words() {
    for id in StyleId::ALL {
        let sample = sample::full(*id);
        for view in CARS {
            let scene = draw(
                &sample.zones,
                &sample.body,
                view,
                &sample::options(Look::Light),
            );
            let text = svg::write(&scene, Look::Light);
            roxmltree::Document::parse(&text).unwrap_or_else(|e| panic!("{id} {view}: {e}"));
            let words = scene
                .texts()
                .iter()
                .map(|t| t.words.as_str())
                .collect::<Vec<_>>()
                .join(" ");
            for said in [
                "Schematic, not to scale",
                "crash damage moves parts and datums",
                "Expose and look before every cut.",
                "Local procedures and the officer’s judgement come first.",
                "Revision 7 · 4 Mar 2026",
                "FRONT",
            ] {
                assert!(words.contains(said), "{id} {view} does not say “{said}”");
            }
            let sides = if matches!(view, View::Left | View::Right) {
                "seen from outside"
            } else {
                "LEFT"
            };
            assert!(words.contains(sides), "{id} {view}");
        }
    }
}

#[test]
fn every_component_of_a_side_has_its_number_its_swathe_and_its_line_in_the_key() {
    let sample = (0..)
        .map(|seed| sample::random(seed, 60))
        .find(|s| s.zones.components.len() > 25)
        .unwrap();
    let scene = draw(
        &sample.zones,
        &sample.body,
        View::Top,
        &sample::options(Look::Light),
    );
    let words: Vec<&str> = scene.texts().iter().map(|t| t.words.as_str()).collect();
    let components = &sample.zones.components;
    for number in 1..=components.len() {
        assert!(
            words.contains(&number.to_string().as_str()),
            "{number} is not placed"
        );
        assert!(
            words.iter().any(|w| w.starts_with(&format!("{number} "))),
            "{number} has no key"
        );
    }
    let keep_outs = components
        .iter()
        .filter(|c| c.class == ComponentClass::NoCut)
        .flat_map(|c| &c.keep_outs)
        .count();
    let swathes = scene
        .shapes()
        .iter()
        .filter(|s| s.mark == Mark::SwathePart)
        .count();
    assert_eq!(swathes, keep_outs);
}

#[test]
fn a_car_nobody_has_looked_at_is_dashed_and_says_so() {
    let sample = sample::resolve(StyleId::Hatch3, Vec::new());
    let options = Options {
        generic: true,
        ..Options::default()
    };
    for view in CARS {
        let scene = draw(&sample.zones, &sample.body, view, &options);
        assert!(scene.shapes().iter().any(|s| s.mark == Mark::BodyDashed));
        assert!(!scene.shapes().iter().any(|s| s.mark == Mark::Body));
        assert!(
            scene
                .texts()
                .iter()
                .any(|t| t.words.contains("nobody has looked at this car"))
        );
    }
}

/// Where the feet of spans lie on the average, across the drawing.
fn feet_x(scene: &pillarbook::sketch::scene::Scene) -> f64 {
    let shapes = scene.shapes();
    let feet = shapes.iter().filter(|s| s.mark == Mark::Foot);
    let feet: Vec<f64> = feet
        .map(|s| match &s.form {
            pillarbook::sketch::scene::Form::Line { points, .. } => points[0].x,
            _ => panic!("a foot is a dot"),
        })
        .collect();
    feet.iter().sum::<f64>() / feet.len() as f64
}

#[test]
fn the_front_is_at_the_left_of_a_left_side_and_at_the_right_of_a_right_side() {
    let sample = sample::resolve(StyleId::PickupCrew, Vec::new());
    let feet = |view| {
        let scene = draw(&sample.zones, &sample.body, view, &Options::default());
        feet_x(&scene)
    };
    // Feet of spans lie toward the front of a pick-up.
    assert!(feet(View::Left) < 180.0 && feet(View::Right) > 180.0);
}

#[test]
fn the_arrow_to_the_front_stands_at_the_end_it_points_to_however_the_car_lies() {
    use pillarbook::sketch::Turn;
    let sample = sample::resolve(StyleId::PickupCrew, Vec::new());
    for view in [View::Left, View::Right, View::Top] {
        for turn in [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters] {
            for flip in [false, true] {
                let options = Options {
                    turn,
                    flip,
                    ..Options::default()
                };
                let scene = draw(&sample.zones, &sample.body, view, &options);
                let word = scene.texts().into_iter().find(|t| t.words == "FRONT");
                let word = word.expect("which end is the front").bounds();
                let middle = (scene.width / 2.0, word.center().x);
                // Feet of a pick-up's spans lie toward its front.
                let front = feet_x(&scene);
                let lies = matches!(turn, Turn::None | Turn::Half);
                if lies && view != View::Top {
                    assert_eq!(
                        front > middle.0,
                        middle.1 > middle.0,
                        "{view:?} {turn:?} {flip}"
                    );
                }
            }
        }
    }
    let scene = draw(
        &sample.zones,
        &sample.body,
        View::Front,
        &Options::default(),
    );
    assert!(
        scene.texts().iter().all(|t| t.words != "FRONT"),
        "it faces the reader"
    );
}

#[test]
fn a_drawing_to_be_touched_carries_the_station_of_every_vertex_it_draws() {
    use pillarbook::domain::body::{StyleId, fit, style};
    use pillarbook::domain::card::Card;
    use pillarbook::domain::vehicle::{Variant, Vehicle};
    use pillarbook::domain::zone::zones_on;
    use pillarbook::sketch::{Options, View, draw};
    let body = fit(style(StyleId::Suv), &Default::default()).unwrap();
    let card = Card::unrecorded(Vehicle::of_style(StyleId::Suv));
    let zones = zones_on(&body, &card, &Variant::default()).unwrap();
    let options = Options {
        touch: true,
        ..Options::default()
    };
    let scene = draw(&zones, &body, View::Left, &options);
    let axis = scene.axes().find(|a| a.span == "rocker.left").unwrap();
    let line = &body.span("rocker.left").unwrap().line;
    assert_eq!(axis.stations_mm, **line.stations());
    assert_eq!(axis.points.len(), line.vertices().len());
    // Seen from the left, x runs to the right and z up, to one scale.
    let ends = [line.point_at(0.0), line.point_at(line.length())];
    let drawn = [axis.points[0], axis.points[axis.points.len() - 1]];
    let scale = (drawn[1].x - drawn[0].x) / (ends[1].x - ends[0].x);
    assert!(scale > 0.0);
    let up = -(drawn[1].y - drawn[0].y) - scale * (ends[1].z - ends[0].z);
    assert!(up.abs() < 1e-6, "{up}");
    assert_eq!(
        draw(&zones, &body, View::Left, &Options::default())
            .axes()
            .count(),
        0
    );
}
