//! A chain of straight pieces with arc length from its first vertex, in mm.

use crate::domain::frame::{Point, Vector};
use std::sync::Arc;

/// At least two vertices, no piece of zero length.
#[derive(Debug, Clone, PartialEq)]
pub struct Polyline {
    vertices: Arc<[Point]>,
    /// Arc length at each vertex; the first is 0.
    stations: Arc<[f64]>,
}

/// Why vertices make no polyline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PolylineError {
    #[error("a centreline needs at least two vertices")]
    TooFewVertices,
    #[error("piece {piece} of the centreline has no length")]
    EmptyPiece { piece: usize },
    #[error("vertex {vertex} of the centreline is not a finite point")]
    NotFinite { vertex: usize },
}

impl Polyline {
    pub fn new(vertices: impl Into<Arc<[Point]>>) -> Result<Self, PolylineError> {
        let vertices = vertices.into();
        if vertices.len() < 2 {
            return Err(PolylineError::TooFewVertices);
        }
        if let Some(vertex) = vertices.iter().position(|p| !p.is_finite()) {
            return Err(PolylineError::NotFinite { vertex });
        }
        let mut stations = Vec::with_capacity(vertices.len());
        stations.push(0.0);
        for (piece, pair) in vertices.windows(2).enumerate() {
            let length = pair[0].distance(pair[1]);
            if length < 1e-6 {
                return Err(PolylineError::EmptyPiece { piece });
            }
            stations.push(stations[piece] + length);
        }
        Ok(Self {
            vertices,
            stations: stations.into(),
        })
    }

    pub fn vertices(&self) -> &Arc<[Point]> {
        &self.vertices
    }

    /// Arc length at each vertex.
    pub fn stations(&self) -> &Arc<[f64]> {
        &self.stations
    }

    pub fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    pub fn piece_count(&self) -> usize {
        self.vertices.len() - 1
    }

    /// Unit direction of a piece, foot to head.
    pub fn direction(&self, piece: usize) -> Vector {
        let v = self.vertices[piece + 1] - self.vertices[piece];
        v * (1.0 / v.length())
    }

    /// The piece that holds a station; ends are clamped.
    pub fn piece_at(&self, station: f64) -> usize {
        let after = self.stations.partition_point(|s| *s <= station);
        after.clamp(1, self.piece_count()) - 1
    }

    /// The point at a station; stations outside are clamped to the ends.
    pub fn point_at(&self, station: f64) -> Point {
        let piece = self.piece_at(station);
        let (a, b) = (self.stations[piece], self.stations[piece + 1]);
        let u = ((station - a) / (b - a)).clamp(0.0, 1.0);
        self.vertices[piece].towards(self.vertices[piece + 1], u)
    }

    /// The station nearest to a point; of several equally near the first.
    pub fn nearest(&self, point: Point) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (piece, pair) in self.vertices.windows(2).enumerate() {
            let along = (point - pair[0]).dot(self.direction(piece));
            let long = self.stations[piece + 1] - self.stations[piece];
            let station = self.stations[piece] + along.clamp(0.0, long);
            let away = self.point_at(station).distance(point);
            if away < best.0 {
                best = (away, station);
            }
        }
        best.1
    }

    /// The part between two stations as vertices: the two cut points and every
    /// vertex between them. Two equal stations give one point twice.
    pub fn between(&self, from: f64, to: f64) -> Vec<Point> {
        let mut points = vec![self.point_at(from)];
        for (vertex, station) in self.vertices.iter().zip(self.stations.iter()) {
            if from < *station && *station < to {
                points.push(*vertex);
            }
        }
        points.push(self.point_at(to));
        points
    }

    /// Angle θ in radians between the pieces that meet at an inner vertex.
    pub fn bend_at(&self, vertex: usize) -> f64 {
        2.0 * self.half_bend_tangent(vertex).atan()
    }

    /// tan(θ/2) of the bend at an inner vertex; unlike acos(a·b) exact for small
    /// bends too.
    pub fn half_bend_tangent(&self, vertex: usize) -> f64 {
        let (a, b) = (self.direction(vertex - 1), self.direction(vertex));
        (a - b).length() / Vector::new(a.x + b.x, a.y + b.y, a.z + b.z).length()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_station_is_that_of_a_walk_along_the_line() {
        let line = Polyline::new(vec![
            Point::new(0.0, 0.0, 0.0),
            Point::new(300.0, 0.0, 0.0),
            Point::new(300.0, 400.0, 50.0),
        ])
        .unwrap();
        for point in [
            Point::new(-80.0, 30.0, 0.0),
            Point::new(120.0, 40.0, -70.0),
            Point::new(340.0, -20.0, 10.0),
            Point::new(210.0, 260.0, 90.0),
            Point::new(300.0, 900.0, 0.0),
        ] {
            let steps = (0..=71_000).map(|i| f64::from(i) * 0.01);
            let walked = steps
                .filter(|s| *s <= line.length())
                .map(|s| line.point_at(s).distance(point))
                .fold(f64::INFINITY, f64::min);
            let found = line.point_at(line.nearest(point)).distance(point);
            assert!(
                (found - walked).abs() < 0.01,
                "{point:?}: {found}, walked {walked}"
            );
        }
    }
}
