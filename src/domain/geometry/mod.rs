//! Polylines with arc length, the disc-and-body test, and sets of intervals.

pub mod interval;
pub mod polyline;

pub use interval::Interval;
pub use polyline::Polyline;
