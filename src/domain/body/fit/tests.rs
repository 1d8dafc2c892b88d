//! Worked examples in round figures on the sedan: wheelbase 2780, overhangs 920
//! and 1150, length 4850, width 1830, height 1450.

use super::*;
use crate::domain::body::{StyleId, style};
use proptest::prelude::*;

fn sedan() -> &'static BodyStyle {
    style(StyleId::Sedan)
}

fn with_landmarks(all: &[(&str, [Option<f64>; 3])]) -> Measured {
    let landmarks = all.iter().map(|(id, p)| ((*id).to_owned(), *p)).collect();
    Measured {
        landmarks,
        ..Measured::default()
    }
}

fn template(id: &str) -> Point {
    sedan().landmarks.iter().find(|l| l.id == id).unwrap().point
}

fn x_of(body: &FittedBody, x: f64) -> f64 {
    body.map_point(Point::new(x, 0.0, 0.0)).x
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn nothing_measured_leaves_the_template_as_it_is() {
    for id in StyleId::ALL {
        let body = fit(style(*id), &Measured::default()).unwrap();
        assert!(!body.fitted);
        assert_eq!(body.spans, style(*id).spans);
        let p = Point::new(1234.0, -567.0, 890.0);
        assert_eq!(body.map_point(p), p);
        assert_eq!(body.outlines(), style(*id).outlines);
    }
}

#[test]
fn a_landmark_without_a_single_figure_counts_as_not_measured() {
    let body = fit(sedan(), &with_landmarks(&[("cowl", [None; 3])])).unwrap();
    assert!(!body.fitted);
}

#[test]
fn a_wheelbase_alone_scales_all_of_x_about_the_front_axle() {
    let measured = Measured {
        wheelbase_mm: Some(2919.0), // 1.05 times
        ..Measured::default()
    };
    let body = fit(sedan(), &measured).unwrap();
    assert!(close(x_of(&body, 0.0), 0.0));
    assert!(close(x_of(&body, 1000.0), 1050.0));
    assert!(close(x_of(&body, -920.0), -966.0));
    assert!(close(
        body.map_point(Point::new(0.0, -700.0, 900.0)).z,
        900.0
    ));
}

#[test]
fn length_and_wheelbase_share_the_overhangs_as_the_template_does() {
    let measured = Measured {
        length_mm: Some(4987.0), // overhangs 2207, of which 920/2070
        wheelbase_mm: Some(2780.0),
        ..Measured::default()
    };
    let body = fit(sedan(), &measured).unwrap();
    let front = 2207.0 * 920.0 / 2070.0;
    assert!(close(x_of(&body, -920.0), -front));
    assert!(close(x_of(&body, 2780.0), 2780.0));
    assert!(close(x_of(&body, 3930.0), 4987.0 - front));
}

#[test]
fn a_length_alone_scales_all_of_x() {
    let measured = Measured {
        length_mm: Some(5335.0), // 1.1 times
        ..Measured::default()
    };
    let body = fit(sedan(), &measured).unwrap();
    for x in [-920.0, 500.0, 2780.0, 3930.0] {
        assert!(close(x_of(&body, x), 1.1 * x), "{x}");
    }
}

#[test]
fn a_measured_bumper_gives_its_overhang() {
    let length = Some(4900.0);
    for (id, x) in [("front-bumper", -950.0), ("rear-bumper", 3950.0)] {
        let measured = Measured {
            length_mm: length,
            wheelbase_mm: Some(2800.0),
            ..with_landmarks(&[(id, [Some(x), None, None])])
        };
        let body = fit(sedan(), &measured).unwrap();
        assert!(close(x_of(&body, -920.0), -950.0), "{id}");
        assert!(close(x_of(&body, 2780.0), 2800.0), "{id}");
        assert!(close(x_of(&body, 3930.0), 3950.0), "{id}");
    }
}

#[test]
fn a_measured_landmark_is_where_it_was_measured_and_slopes_go_on_outside() {
    let foot = template("b-pillar-foot.left");
    let (x, z) = (foot.x * 1.1, foot.z * 0.9);
    let place = [Some(x), None, Some(z)];
    let body = fit(sedan(), &with_landmarks(&[("b-pillar-foot.left", place)])).unwrap();
    for id in ["b-pillar-foot.left", "b-pillar-foot.right"] {
        let fitted = body.landmark(id).unwrap();
        assert!(close(fitted.x, x) && close(fitted.z, z), "{id}");
    }
    assert!(close(x_of(&body, 3000.0), 3300.0));
    assert!(close(body.map_point(Point::new(0.0, 0.0, 1000.0)).z, 900.0));
    let pillar = body.span("b-pillar.left").unwrap();
    let drawn = sedan()
        .spans
        .iter()
        .find(|s| s.id == "b-pillar.left")
        .unwrap();
    assert_eq!(pillar.half_depth_mm, drawn.half_depth_mm);
    assert!(close(pillar.line.vertices()[0].x, x));
}

#[test]
fn a_mirror_pair_counts_once_with_its_mean() {
    let at = template("b-pillar-foot.left").x;
    let measured = with_landmarks(&[
        ("b-pillar-foot.left", [Some(at + 10.0), None, None]),
        ("b-pillar-foot.right", [Some(at + 50.0), None, None]),
    ]);
    let body = fit(sedan(), &measured).unwrap();
    assert!(close(x_of(&body, at), at + 30.0));
}

#[test]
fn knots_less_than_fifty_millimetres_apart_become_their_mean() {
    let (foot, top) = (template("b-pillar-foot.left"), template("rocker-top.left"));
    let near = (foot.z - top.z).abs();
    assert!(near < 50.0, "the example needs two landmarks at one height");
    let measured = with_landmarks(&[
        ("b-pillar-foot.left", [None, None, Some(foot.z + 40.0)]),
        ("rocker-top.left", [None, None, Some(top.z)]),
    ]);
    let body = fit(sedan(), &measured).unwrap();
    let middle = (foot.z + top.z) / 2.0;
    let fitted = body.map_point(Point::new(0.0, 0.0, middle)).z;
    assert!(close(fitted, middle + 20.0));
}

#[test]
fn widths_scale_y_and_two_that_disagree_are_both_named() {
    let measured = Measured {
        width_mm: Some(1921.5), // 1.05 times
        ..Measured::default()
    };
    let body = fit(sedan(), &measured).unwrap();
    let y = body.map_point(Point::new(0.0, -800.0, 0.0)).y;
    assert!(close(y, -840.0));

    let foot = template("b-pillar-foot.left");
    let place = [None, Some(foot.y * 1.05 - 26.0), None];
    let measured = Measured {
        width_mm: Some(1921.5),
        ..with_landmarks(&[("b-pillar-foot.left", place)])
    };
    let errors = fit(sedan(), &measured).unwrap_err();
    let named = errors.0[0].fields();
    let expected = ["measured.width_mm", "measured.landmarks.b-pillar-foot.left"];
    assert_eq!(named, expected);
    let agree = [None, Some(foot.y * 1.05 - 24.0), None];
    let measured = Measured {
        width_mm: Some(1921.5),
        ..with_landmarks(&[("b-pillar-foot.left", agree)])
    };
    assert!(fit(sedan(), &measured).is_ok());
}

#[test]
fn a_place_in_the_middle_may_be_measured_there_but_not_beside_it() {
    let at = |y| with_landmarks(&[("cowl", [None, Some(y), None])]);
    assert!(fit(sedan(), &at(0.0)).is_ok());
    let errors = fit(sedan(), &at(300.0)).unwrap_err();
    assert_eq!(errors.0[0].fields(), ["measured.landmarks.cowl"]);
}

#[test]
fn too_steep_an_interval_names_both_landmarks() {
    let measured = with_landmarks(&[
        (
            "a-pillar-foot.left",
            [Some(template("a-pillar-foot.left").x), None, None],
        ),
        ("b-pillar-foot.right", [Some(700.0), None, None]),
    ]);
    let errors = fit(sedan(), &measured).unwrap_err();
    assert_eq!(errors.0.len(), 1);
    assert_eq!(
        errors.0[0].fields(),
        [
            "measured.landmarks.a-pillar-foot.left",
            "measured.landmarks.b-pillar-foot.right"
        ]
    );
    let said = errors.to_string();
    assert!(said.contains("A-pillar foot and B-pillar foot"), "{said}");
}

#[test]
fn every_figure_out_of_range_is_reported_with_its_bounds() {
    let measured = Measured {
        length_mm: Some(191.0),
        width_mm: Some(f64::NAN),
        height_mm: Some(f64::INFINITY),
        ..with_landmarks(&[
            ("b-pillar-foot.left", [Some(1e6), None, Some(-5.0)]),
            ("no-such-place", [None; 3]),
        ])
    };
    let errors = fit(sedan(), &measured).unwrap_err();
    let named: Vec<_> = errors.0.iter().flat_map(FitError::fields).collect();
    assert_eq!(
        named,
        [
            "measured.length_mm",
            "measured.width_mm",
            "measured.height_mm",
            "measured.landmarks.b-pillar-foot.left",
            "measured.landmarks.b-pillar-foot.left",
            "measured.landmarks.no-such-place"
        ]
    );
    assert!(
        errors
            .to_string()
            .contains("191 mm; a number from 2000 to 9000 is accepted")
    );
}

#[test]
fn a_wheel_moves_with_its_axle_and_keeps_its_size() {
    use crate::domain::body::ShapeRole;
    use kurbo::Shape as _;
    let measured = Measured {
        wheelbase_mm: Some(2919.0),
        height_mm: Some(1600.0),
        ..Measured::default()
    };
    let body = fit(sedan(), &measured).unwrap();
    let wheels = |shapes: &[crate::domain::body::Shape]| -> Vec<kurbo::Rect> {
        let tyres = shapes.iter().filter(|s| s.role == ShapeRole::Wheel);
        tyres.map(|s| s.path.bounding_box()).collect()
    };
    let (before, after) = (
        wheels(&sedan().outlines.side),
        wheels(&body.outlines().side),
    );
    assert!(!before.is_empty());
    for (a, b) in before.iter().zip(&after) {
        assert!((a.width() - b.width()).abs() < 1e-6 && (a.y0 - b.y0).abs() < 1e-6);
        assert!((b.center().x - 1.05 * a.center().x).abs() < 1e-6);
    }
}

/// Measurements near the template's own, each there or not.
fn measurements() -> impl Strategy<Value = (StyleId, Measured)> {
    let near = || proptest::option::of(0.93..1.08f64);
    let overall = (near(), near(), near(), near());
    let places = proptest::collection::vec((0..40usize, near(), near(), near()), 0..4);
    (0..StyleId::ALL.len(), overall, places).prop_map(|(i, (l, b, w, h), places)| {
        let id = StyleId::ALL[i];
        let (d, marks) = (style(id).dimensions, &style(id).landmarks);
        let landmarks = places
            .into_iter()
            .map(|(k, x, y, z)| {
                let mark = &marks[k % marks.len()];
                let p = mark.point;
                let place = [x.map(|u| u * p.x), y.map(|u| u * p.y), z.map(|u| u * p.z)];
                (mark.id.clone(), place)
            })
            .collect();
        let measured = Measured {
            length_mm: l.map(|u| u * d.length_mm),
            wheelbase_mm: b.map(|u| u * d.wheelbase_mm),
            width_mm: w.map(|u| u * d.width_mm),
            height_mm: h.map(|u| u * d.height_mm),
            landmarks,
        };
        (id, measured)
    })
}

proptest! {
    #[test]
    fn a_fitted_body_is_symmetric_and_in_order((id, measured) in measurements()) {
        let fitted = fit(style(id), &measured);
        prop_assume!(fitted.is_ok());
        let body = fitted.unwrap();
        for left in body.spans.iter().filter(|s| s.id.ends_with(".left")) {
            let right = body.span(&left.id.replace(".left", ".right")).unwrap();
            for (a, b) in left.line.vertices().iter().zip(right.line.vertices().iter()) {
                prop_assert_eq!(*a, b.mirrored());
            }
        }
        let mut last = f64::NEG_INFINITY;
        for x in (-1200..5200).step_by(20) {
            let at = body.map_point(Point::new(f64::from(x), 0.0, 0.0)).x;
            prop_assert!(at > last);
            last = at;
        }
    }

    #[test]
    fn left_and_right_measurements_are_interchangeable((id, measured) in measurements()) {
        let swapped = Measured {
            landmarks: measured.landmarks.iter().map(|(id, p)| {
                let other = match (id.strip_suffix(".left"), id.strip_suffix(".right")) {
                    (Some(base), _) => format!("{base}.right"),
                    (_, Some(base)) => format!("{base}.left"),
                    _ => id.clone(),
                };
                (other, [p[0], p[1].map(|y| -y), p[2]])
            }).collect(),
            ..measured.clone()
        };
        match (fit(style(id), &measured), fit(style(id), &swapped)) {
            (Ok(a), Ok(b)) => {
                for (a, b) in a.spans.iter().zip(b.spans.iter()) {
                    for (p, q) in a.line.vertices().iter().zip(b.line.vertices().iter()) {
                        prop_assert!(p.distance(*q) < 1e-9);
                    }
                }
            }
            (a, b) => prop_assert_eq!(a.is_err(), b.is_err()),
        }
    }
}
