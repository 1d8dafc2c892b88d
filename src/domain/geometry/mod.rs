//! Polylines with arc length, the disc-and-body test, distances of chains, and
//! sets of intervals.

pub mod disc;
pub mod interval;
pub mod polyline;
pub mod segment;

pub use disc::{Axis, blocked_on_axis};
pub use interval::{Interval, Intervals, union};
pub use polyline::{Polyline, PolylineError};
pub use segment::chain_distance;
