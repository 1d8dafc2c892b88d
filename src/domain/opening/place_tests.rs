//! Placing cuts on a straight metre of span, figures worked out by hand.

use super::place::*;
use super::result::CutStatus;
use super::room::Room;
use crate::domain::body::{Span, StyleId, style};
use crate::domain::card::Card;
use crate::domain::opening::ask::{Look, LookFound};
use crate::domain::policy::Policy;
use crate::domain::vehicle::{Variant, Vehicle};
use crate::domain::zone::Class;
use crate::domain::zone::gap::BladeWidth;
use crate::domain::zone::{SpanZones, Zones, zones};
use proptest::prelude::*;

/// Zones of a sedan nobody has looked at, for their spans' other fields.
fn unrecorded() -> Zones {
    let card = Card::unrecorded(Vehicle::of_style(StyleId::Sedan));
    zones(&card, &Variant::default()).expect("a template has zones")
}

/// A straight metre with h = 60 mm; stretches end at the stations given.
fn room_of(zones: &Zones, stretches: &[(f64, Class)], looks: &[Look], check: impl Fn(&Room)) {
    let template = style(StyleId::Sedan)
        .spans
        .iter()
        .find(|s| &*s.id == "b-pillar.left")
        .expect("a sedan has one");
    let line = crate::domain::geometry::Polyline::new(vec![
        crate::domain::frame::Point::new(0.0, 0.0, 0.0),
        crate::domain::frame::Point::new(0.0, 0.0, 1000.0),
    ])
    .expect("straight");
    let span = Span {
        line,
        half_depth_mm: [60.0, 60.0].into(),
        ..template.clone()
    };
    let here = zones
        .spans
        .iter()
        .find(|s| s.id == span.id)
        .expect("the same span");
    let mut from_mm = 0.0;
    let mut here = SpanZones {
        length_mm: 1000.0,
        ..here.clone()
    };
    here.stretches = stretches
        .iter()
        .map(|(to_mm, class)| {
            let made = crate::domain::zone::Stretch {
                from_mm,
                to_mm: *to_mm,
                class: *class,
                material: Vec::new(),
                because: vec![class.word().into()],
            };
            from_mm = *to_mm;
            made
        })
        .collect();
    check(&Room::new(&here, &span, looks, &Policy::default()));
}

/// 30 + (60 + 50)·tan 10° = 49.396 mm.
fn blade() -> BladeWidth {
    BladeWidth::of(&Policy::default())
}

fn wish(default_mm: f64, from: f64, to: f64) -> Wish {
    Wish {
        default_mm,
        range_mm: [from, to],
        apart_mm: 150.0,
        width: blade(),
    }
}

fn look(from_mm: f64, to_mm: f64, found: LookFound) -> Look {
    Look {
        span: "b-pillar.left".into(),
        from_mm,
        to_mm,
        found,
    }
}

#[test]
fn a_cut_moves_to_the_end_of_the_nearest_bare_gap_in_its_range() {
    let stretches = [
        (330.0, Class::NoCut),
        (365.24, Class::Unproven),
        (654.76, Class::Bare),
        (1000.0, Class::Unproven),
    ];
    room_of(&unrecorded(), &stretches, &[], |room| {
        let placed = &place(room, &[wish(120.0, 60.0, 450.0)])[0];
        assert_eq!(placed.status, CutStatus::SeenBare);
        // 365.24 + 49.396, rounded inward: by hand.
        assert_eq!(placed.station_mm, Some(414.64));
        assert_eq!(placed.from_head_mm, Some(585.36));
        assert_eq!(placed.by, ["no-cut"]);
    });
}

#[test]
fn a_cut_without_room_in_its_range_is_blocked_and_names_what_and_where_there_is_room() {
    let stretches = [(500.0, Class::NoCut), (1000.0, Class::Unproven)];
    room_of(&unrecorded(), &stretches, &[], |room| {
        let placed = &place(room, &[wish(120.0, 60.0, 450.0)])[0];
        assert_eq!(
            (placed.status, placed.station_mm),
            (CutStatus::Blocked, None)
        );
        assert_eq!(placed.by, ["no-cut"]);
        assert_eq!(placed.nearest_below, None);
        assert_eq!(placed.nearest_above.map(|g| g.from_mm), Some(549.4));
    });
}

#[test]
fn a_bare_gap_is_preferred_to_a_nearer_unproven_one_and_that_to_an_expected_one() {
    let stretches = [
        (400.0, Class::Expected),
        (600.0, Class::Unproven),
        (1000.0, Class::Bare),
    ];
    room_of(&unrecorded(), &stretches, &[], |room| {
        let status = |to: f64| place(room, &[wish(100.0, 0.0, to)])[0].status;
        assert_eq!(status(1000.0), CutStatus::SeenBare);
        assert_eq!(status(600.0), CutStatus::LookFirst);
        assert_eq!(status(300.0), CutStatus::LikelyOccupied);
    });
}

#[test]
fn cuts_on_one_span_keep_their_order_and_distance() {
    room_of(&unrecorded(), &[(1000.0, Class::Unproven)], &[], |room| {
        let both = place(room, &[wish(500.0, 0.0, 1000.0), wish(450.0, 0.0, 1000.0)]);
        let [upper, lower] = [0, 1].map(|i| both[i].station_mm.expect("there is room"));
        assert!(upper - lower >= 150.0 - 1e-9, "{lower} {upper}");
    });
}

#[test]
fn a_cut_gives_way_when_only_so_its_neighbour_has_a_place() {
    // The upper cut fits at 300 to 310 only, so the lower one goes to 150 or below.
    let stretches = [(360.0, Class::Unproven), (1000.0, Class::NoCut)];
    room_of(&unrecorded(), &stretches, &[], |room| {
        let both = place(room, &[wish(250.0, 60.0, 300.0), wish(300.0, 290.0, 600.0)]);
        let [lower, upper] = [0, 1].map(|i| both[i].station_mm);
        assert_eq!(lower, Some(150.0));
        assert_eq!(upper, Some(300.0));
    });
}

#[test]
fn a_third_cut_goes_close_to_the_first_where_the_second_is_blocked() {
    // By hand: 70 and 120 keep 50 apart; the second would need 240 from the first.
    let wish = |default_mm: f64, from: f64, apart_mm: f64| Wish {
        default_mm,
        range_mm: [from, default_mm],
        apart_mm,
        width: BladeWidth::pressing(0.0),
    };
    let stretches = [(120.0, Class::Bare), (1000.0, Class::NoCut)];
    room_of(&unrecorded(), &stretches, &[], |room| {
        let wishes = [
            wish(280.0, 60.0, 10.0),
            wish(530.0, 0.0, 50.0),
            wish(290.0, 0.0, 240.0),
        ];
        let placed = place(room, &wishes);
        let stations: Vec<_> = placed.iter().map(|p| p.station_mm).collect();
        assert_eq!(stations, [Some(70.0), Some(120.0), None]);
    });
}

/// Every way of placing the wishes on whole tens, or not at all: the least counts
/// of blocked, likely occupied and to be looked at, and how far all are moved.
fn best_by_trying_all(wishes: &[Wish], room: &Room) -> (usize, usize, usize, f64) {
    fn from(
        wishes: &[Wish],
        gaps: &[crate::domain::zone::Gap],
        last: f64,
    ) -> (usize, usize, usize, f64) {
        let Some((wish, rest)) = wishes.split_first() else {
            return (0, 0, 0, 0.0);
        };
        let blocked = from(rest, gaps, last);
        let mut best = (blocked.0 + 1, blocked.1, blocked.2, blocked.3);
        for station in (0..=100).map(|ten| f64::from(ten) * 10.0) {
            let [low, high] = wish.range_mm;
            let gap = gaps
                .iter()
                .find(|g| g.from_mm <= station && station <= g.to_mm);
            let (Some(gap), true) = (gap, low <= station && station <= high) else {
                continue;
            };
            if station < last + wish.apart_mm {
                continue;
            }
            let after = from(rest, gaps, station);
            let one = |class: Class| usize::from(gap.class == class);
            let here = (
                after.0,
                after.1 + one(Class::Expected),
                after.2 + one(Class::Unproven),
                after.3 + (station - wish.default_mm).abs(),
            );
            if here < best {
                best = here;
            }
        }
        best
    }
    let mut sorted = wishes.to_vec();
    sorted.sort_by(|a, b| a.default_mm.total_cmp(&b.default_mm));
    from(
        &sorted,
        &room.gaps(&BladeWidth::pressing(0.0)),
        f64::NEG_INFINITY,
    )
}

fn tens(range: std::ops::RangeInclusive<u32>) -> impl Strategy<Value = f64> {
    range.prop_map(|ten| f64::from(ten) * 10.0)
}

fn wish_on_tens() -> impl Strategy<Value = Wish> {
    (tens(0..=100), tens(0..=100), tens(0..=100), tens(1..=30)).prop_map(|(a, b, c, apart_mm)| {
        let mut ends = [a, b, c];
        ends.sort_by(f64::total_cmp);
        Wish {
            default_mm: ends[1],
            range_mm: [ends[0], ends[2]],
            apart_mm,
            width: BladeWidth::pressing(0.0),
        }
    })
}

fn stretches_on_tens() -> impl Strategy<Value = Vec<(f64, Class)>> {
    let one = (1u32..30, proptest::sample::select(Class::ALL));
    proptest::collection::vec(one, 1..10).prop_map(|made| {
        let mut to = 0.0;
        let mut stretches: Vec<(f64, Class)> = made
            .into_iter()
            .map(|(tens, class)| {
                to += f64::from(tens) * 10.0;
                (f64::min(to, 990.0), class)
            })
            .collect();
        stretches.dedup_by_key(|(to, _)| *to);
        stretches.push((1000.0, Class::NoCut));
        stretches
    })
}

proptest! {
    #[test]
    fn no_other_way_of_placing_the_cuts_of_a_span_is_better(
        wishes in proptest::collection::vec(wish_on_tens(), 1..=3), stretches in stretches_on_tens()
    ) {
        room_of(&unrecorded(), &stretches, &[], |room| {
            let placed = place(room, &wishes);
            let count = |status| placed.iter().filter(|p| p.status == status).count();
            let moved = placed.iter().filter_map(|p| Some((p.station_mm? - p.default_mm).abs()));
            let best = best_by_trying_all(&wishes, room);
            assert_eq!(
                (count(CutStatus::Blocked), count(CutStatus::LikelyOccupied), count(CutStatus::LookFirst)),
                (best.0, best.1, best.2),
                "{wishes:?} {stretches:?}"
            );
            assert!((moved.sum::<f64>() - best.3).abs() < 0.05, "{wishes:?} {placed:?} {best:?}");
        });
    }
}

#[test]
fn a_look_at_bare_metal_counts_at_the_mark_and_never_opens_a_no_cut() {
    let stretches = [(300.0, Class::NoCut), (1000.0, Class::Unproven)];
    let looks = [look(250.0, 520.0, LookFound::Bare)];
    room_of(&unrecorded(), &stretches, &looks, |room| {
        let placed = &place(room, &[wish(120.0, 60.0, 500.0)])[0];
        assert_eq!(
            (placed.status, placed.station_mm),
            (CutStatus::SeenBare, Some(349.4))
        );
        let classes: Vec<_> = room.stretches.iter().map(|s| (s.to_mm, s.class)).collect();
        assert_eq!(
            classes,
            [
                (300.0, Class::NoCut),
                (520.0, Class::Bare),
                (1000.0, Class::Unproven)
            ]
        );
    });
}

#[test]
fn a_part_seen_keeps_a_blade_off_by_its_clearance_even_where_a_look_said_bare() {
    let part = LookFound::Part(crate::domain::kind::Kind::Inflator);
    let looks = [look(400.0, 500.0, part), look(0.0, 1000.0, LookFound::Bare)];
    room_of(
        &unrecorded(),
        &[(1000.0, Class::Unproven)],
        &looks,
        |room| {
            let no_cut: Vec<_> = room
                .stretches
                .iter()
                .filter(|s| s.class == Class::NoCut)
                .collect();
            assert_eq!((no_cut[0].from_mm, no_cut[0].to_mm), (325.0, 575.0));
        },
    );
}
