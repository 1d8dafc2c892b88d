//! Putting labels so that none lies on another: along a line, and around points
//! in a plane.

use kurbo::{Point, Rect};

/// Moves intervals of given `lengths`, wished at `middles` (ascending), as
/// little as needed so that they do not overlap and stay in `from..to`. `None`
/// when they have no room together.
pub fn spread(middles: &[f64], lengths: &[f64], from: f64, to: f64) -> Option<Vec<f64>> {
    if lengths.iter().sum::<f64>() > to - from + 1e-9 {
        return None;
    }
    let mut at = Vec::with_capacity(middles.len());
    let mut free = from;
    for (middle, length) in middles.iter().zip(lengths) {
        let start = (middle - length / 2.0).max(free);
        at.push(start);
        free = start + length;
    }
    let mut limit = to;
    for (start, length) in at.iter_mut().zip(lengths).rev() {
        *start = start.min(limit - length);
        limit = *start;
    }
    Some(
        at.iter()
            .zip(lengths)
            .map(|(start, length)| start + length / 2.0)
            .collect(),
    )
}

/// Boxes already taken in a drawing.
#[derive(Debug)]
pub struct Taken {
    frame: Rect,
    boxes: Vec<Rect>,
}

impl Taken {
    pub fn new(frame: Rect) -> Self {
        Self {
            frame,
            boxes: Vec::new(),
        }
    }

    pub fn take(&mut self, taken: Rect) {
        self.boxes.push(taken);
    }

    /// Whether a box is inside the frame and on nothing.
    pub fn free(&self, wanted: Rect) -> bool {
        let inside = wanted.x0 >= self.frame.x0
            && wanted.y0 >= self.frame.y0
            && wanted.x1 <= self.frame.x1
            && wanted.y1 <= self.frame.y1;
        inside && !self.boxes.iter().any(|b| overlap(*b, wanted))
    }

    /// Takes the first free place for a box of a size around a point, the near
    /// ones first; `None` when there is none within `reach`.
    pub fn around(&mut self, at: Point, width: f64, height: f64, reach: f64) -> Option<Rect> {
        let mut distance = 6.0;
        while distance <= reach {
            for step in 0..16 {
                let angle = f64::from(step) * std::f64::consts::TAU / 16.0 - 0.4;
                let (dx, dy) = (angle.cos(), angle.sin());
                let middle = Point::new(
                    at.x + dx * (distance + width / 2.0),
                    at.y + dy * (distance + height / 2.0),
                );
                let wanted = Rect::from_center_size(middle, (width, height));
                if self.free(wanted) {
                    self.take(wanted);
                    return Some(wanted);
                }
            }
            distance += 7.0;
        }
        None
    }
}

/// Whether two boxes share more than an edge.
pub fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn spread_labels_never_overlap_and_stay_inside(
            mut middles in prop::collection::vec(0.0..300.0f64, 1..12), length in 1.0..25.0f64
        ) {
            middles.sort_by(f64::total_cmp);
            let lengths = vec![length; middles.len()];
            let placed = spread(&middles, &lengths, 0.0, 300.0).expect("they have room");
            prop_assert!(placed[0] - length / 2.0 >= -1e-6);
            prop_assert!(placed[placed.len() - 1] + length / 2.0 <= 300.0 + 1e-6);
            for pair in placed.windows(2) {
                prop_assert!(pair[1] - pair[0] >= length - 1e-6);
            }
        }
    }

    #[test]
    fn labels_with_no_room_are_not_placed() {
        assert_eq!(spread(&[1.0, 2.0], &[10.0, 10.0], 0.0, 15.0), None);
    }

    #[test]
    fn a_label_alone_stays_where_it_was_wished() {
        assert_eq!(spread(&[50.0], &[10.0], 0.0, 100.0), Some(vec![50.0]));
    }
}
