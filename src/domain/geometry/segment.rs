//! The least distance between chains of straight pieces, in mm. Closest points
//! of two segments by clamping the common perpendicular (textbook method).

use crate::domain::frame::Point;

/// The least distance between two chains of points; a chain of one point is that
/// point. Both hold at least one point.
pub fn chain_distance(a: &[Point], b: &[Point]) -> f64 {
    let mut least = f64::INFINITY;
    for p in pieces(a) {
        for q in pieces(b) {
            least = least.min(segment_distance(p, q));
        }
    }
    least
}

fn pieces(chain: &[Point]) -> impl Iterator<Item = [Point; 2]> + '_ {
    let alone = (chain.len() == 1).then(|| [chain[0], chain[0]]);
    chain.windows(2).map(|w| [w[0], w[1]]).chain(alone)
}

/// The least distance between two segments; a segment may be a point.
pub fn segment_distance([p0, p1]: [Point; 2], [q0, q1]: [Point; 2]) -> f64 {
    let (along_p, along_q, between) = (p1 - p0, q1 - q0, p0 - q0);
    let (pp, qq) = (along_p.dot(along_p), along_q.dot(along_q));
    let (pq, pb, qb) = (
        along_p.dot(along_q),
        along_p.dot(between),
        along_q.dot(between),
    );
    // Parallel or point-like pieces: any place along p will do to start from.
    let skew = pp * qq - pq * pq;
    let start = if skew > 1e-12 * pp * qq && skew > 0.0 {
        ((pq * qb - pb * qq) / skew).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let on_q = |u: f64| {
        if qq > 0.0 {
            ((pq * u + qb) / qq).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    let v = on_q(start);
    let u = if pp > 0.0 {
        ((pq * v - pb) / pp).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let v = on_q(u);
    p0.towards(p1, u).distance(q0.towards(q1, v))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn point(x: f64, y: f64, z: f64) -> Point {
        Point::new(x, y, z)
    }

    #[test]
    fn crossing_parallel_and_point_like_segments_have_their_distance() {
        let along = [point(0.0, 0.0, 0.0), point(10.0, 0.0, 0.0)];
        let across = [point(5.0, -5.0, 3.0), point(5.0, 5.0, 3.0)];
        assert_eq!(segment_distance(along, across), 3.0);
        let beside = [point(4.0, 0.0, 4.0), point(20.0, 0.0, 4.0)];
        assert_eq!(segment_distance(along, beside), 4.0);
        let dot = [point(13.0, 4.0, 0.0); 2];
        assert_eq!(segment_distance(along, dot), 5.0);
        assert_eq!(segment_distance(dot, dot), 0.0);
        let behind = [point(-3.0, 4.0, 0.0), point(-9.0, 4.0, 0.0)];
        assert_eq!(segment_distance(along, behind), 5.0);
    }

    proptest! {
        /// Brute force over a grid of both parameters is never smaller, and comes close.
        #[test]
        fn no_sampled_pair_of_points_is_closer(c in prop::array::uniform12(-1000.0..1000.0_f64)) {
            let p = [point(c[0], c[1], c[2]), point(c[3], c[4], c[5])];
            let q = [point(c[6], c[7], c[8]), point(c[9], c[10], c[11])];
            let found = segment_distance(p, q);
            let share = |i: usize| i as f64 / 60.0;
            let sampled = (0..=60).flat_map(|i| (0..=60).map(move |j| (i, j)))
                .map(|(i, j)| p[0].towards(p[1], share(i)).distance(q[0].towards(q[1], share(j))))
                .fold(f64::INFINITY, f64::min);
            prop_assert!(found <= sampled + 1e-9);
            prop_assert!(sampled - found <= 60.0, "{sampled} {found}");
            prop_assert!((found - segment_distance(q, p)).abs() < 1e-6);
        }
    }
}
