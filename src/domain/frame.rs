//! Points and directions in the vehicle's frame (ISO 4130 / SAE J182): x to
//! the rear, y to the right as seated facing forward, z up; millimetres; origin
//! on the ground under the middle of the front axle. Right-handed.

use serde::{Deserialize, Serialize};
use std::ops::{Add, Mul, Sub};

/// A place in the frame, in mm. In JSON `[x, y, z]`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 3]", into = "[f64; 3]")]
pub struct Point {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

/// A displacement in the frame, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

/// Which side of the car, as seated facing forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    Left,
    Centre,
    Right,
}

impl Side {
    /// The side in words and in ids.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Centre => "centre",
            Self::Right => "right",
        }
    }

    /// The side across the car; the centre is its own.
    pub fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Centre => Self::Centre,
            Self::Right => Self::Left,
        }
    }
}

impl Point {
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// The point across the car's middle plane (y = 0).
    pub fn mirrored(self) -> Self {
        Self::new(self.x, -self.y, self.z)
    }

    /// Straight-line distance in mm.
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// The point a share `u` of the way to `other`; u = 0 is `self`.
    pub fn towards(self, other: Self, u: f64) -> Self {
        self + (other - self) * u
    }

    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }
}

impl Vector {
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }
}

impl From<[f64; 3]> for Point {
    fn from([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
}

impl From<Point> for [f64; 3] {
    fn from(p: Point) -> Self {
        [p.x, p.y, p.z]
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, v: Vector) -> Self {
        Self::new(self.x + v.x, self.y + v.y, self.z + v.z)
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k, self.z * k)
    }
}
