//! Blocked stations against brute force, and against a line's part inside a
//! buffer by an independent geometry library.

use super::{kept, list, numbers};
use pillarbook::domain::body::{Span, SpanGroup};
use pillarbook::domain::frame::{Point, Side};
use pillarbook::domain::geometry::{Interval, Polyline, interval::union};
use pillarbook::domain::zone::blade::{BladeSpan, Bounds};
use serde_json::Value;

fn points(value: &Value) -> Vec<Point> {
    list(value)
        .iter()
        .map(|p| serde_json::from_value(p.clone()).unwrap())
        .collect()
}

fn intervals(value: &Value) -> Vec<Interval> {
    let pairs = value.as_array().unwrap();
    pairs
        .iter()
        .map(numbers)
        .map(|p| Interval::new(p[0], p[1]))
        .collect()
}

fn blocked(
    line: Vec<Point>,
    half_depth_mm: Vec<f64>,
    body: &[Point],
    tip: f64,
    reach: f64,
) -> Vec<Interval> {
    let span = Span {
        id: "span".into(),
        name: "span".into(),
        foot: "foot".into(),
        head: "head".into(),
        side: Side::Centre,
        group: SpanGroup::Along,
        line: Polyline::new(line).unwrap(),
        half_depth_mm: half_depth_mm.into(),
    };
    BladeSpan::new(&span, tip)
        .blocked(body, &Bounds::around(body), reach, None)
        .into_vec()
}

/// Whether every part of `inner` lies in `outer` made wider by `slack`.
fn lies_in(inner: &[Interval], outer: &[Interval], slack: f64) -> bool {
    let wider = union(
        outer
            .iter()
            .map(|o| Interval::new(o.from - slack, o.to + slack))
            .collect(),
    );
    inner.iter().all(|i| wider.iter().any(|o| o.covers(*i)))
}

#[test]
fn blocked_stations_lie_between_what_brute_force_finds_at_least_and_at_most() {
    let values = kept("geometry");
    let step = values["step"].as_f64().unwrap();
    let mut met = 0;
    for (n, case) in list(&values["brute_force"]).iter().enumerate() {
        let (tip, reach) = (
            case["tip"].as_f64().unwrap(),
            case["reach"].as_f64().unwrap(),
        );
        let body = points(&case["body"]);
        let found = blocked(
            points(&case["line"]),
            numbers(&case["half_depth"]),
            &body,
            tip,
            reach,
        );
        let least = intervals(&case["at_least"]);
        let most = intervals(&case["at_most"]);
        met += usize::from(!found.is_empty());
        assert!(
            lies_in(&least, &found, 1e-3),
            "case {n} misses: {least:?} in {found:?}"
        );
        assert!(
            lies_in(&found, &most, step),
            "case {n} blocks too much: {found:?} in {most:?}"
        );
    }
    assert!(met > 40, "only {met} cases block anything");
}

#[test]
fn in_a_plane_a_thin_cut_is_blocked_where_its_line_lies_in_the_buffer() {
    for (n, case) in list(&kept("geometry")["planar"]).iter().enumerate() {
        let body = points(&case["body"]);
        let reach = case["reach"].as_f64().unwrap();
        let found = blocked(points(&case["line"]), vec![0.0, 0.0], &body, 0.0, reach);
        let want = union(intervals(&case["blocked"]).into());
        // The buffer's polygon lies inside the true round by at most R(1 − cos(π/1024)).
        assert!(
            lies_in(&want, &found, 0.02),
            "case {n}: {found:?}, expected {want:?}"
        );
        assert!(
            lies_in(&found, &want, 0.1),
            "case {n}: {found:?}, expected {want:?}"
        );
    }
}
