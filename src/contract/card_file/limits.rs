//! What a card file may hold at most. Beyond these a figure is a slip of the
//! pen, not a car: scope is cars and light commercial vehicles.

use crate::contract::reader::Limits;
use crate::domain::finding::{Gas, Steel};

/// Bytes of a card file.
pub const MOST_BYTES: usize = 2 * 1024 * 1024;
/// Findings on one card.
pub const MOST_FINDINGS: usize = 2_000;

/// Characters of an id, a label, a name.
pub(super) const ID: usize = 64;
pub(super) const NAME: usize = 80;
/// Characters of a longer text.
pub(super) const TEXT: usize = 4_000;

/// A recorded station. How far outside its fitted span it may lie is checked
/// where the span is fitted.
pub(super) const STATION: Limits = Limits::new(-100.0, 10_000.0, "mm");
/// A coordinate in the frame.
pub(super) const COORDINATE: Limits = Limits::new(-10_000.0, 10_000.0, "mm");
/// Half the thickness of a part across.
pub(super) const RADIUS: Limits = Limits::new(0.0, 1_000.0, "mm");
pub(super) const WITHIN: Limits = Limits::new(5.0, 1_000.0, "mm");

pub(super) const LENGTH: Limits = Limits::new(1_000.0, 12_000.0, "mm");
pub(super) const WHEELBASE: Limits = Limits::new(500.0, 10_000.0, "mm");
pub(super) const WIDTH: Limits = Limits::new(500.0, 4_000.0, "mm");
pub(super) const HEIGHT: Limits = Limits::new(500.0, 5_000.0, "mm");

pub(super) const BLADE_HALF_WIDTH: Limits = Limits::new(0.0, 200.0, "mm");
pub(super) const TIP_REACH: Limits = Limits::new(0.0, 300.0, "mm");
pub(super) const CAR_TO_CAR: Limits = Limits::new(0.0, 200.0, "mm");
pub(super) const CLEARANCE: Limits = Limits::new(0.0, 1_000.0, "mm");
/// 45° itself is refused: from there on a blade is nearer along the span than
/// across it.
pub(super) const LEAN: Limits = Limits::below(0.0, 45.0, "°");

pub(super) const UTS: Limits = Limits::within(&Steel::UTS_MPA, "MPa");
pub(super) const THICKNESS: Limits = Limits::within(&Steel::THICKNESS_MM, "mm");
pub(super) const PERIMETER: Limits = Limits::within(&Steel::PERIMETER_MM, "mm");
pub(super) const PRESSURE: Limits = Limits::within(&Gas::PRESSURE_MPA, "MPa");
pub(super) const VOLUME: Limits = Limits::within(&Gas::VOLUME_CM3, "cm³");
