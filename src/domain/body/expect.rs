//! Which expectations are in force for a vehicle and the variant asked for.

use super::Expectation;
use crate::domain::vehicle::{Variant, Vehicle};

impl Expectation {
    /// Whether it is in force. What is unknown counts as matching; a range of
    /// years matches if any year of it does; a known field of the variant stands
    /// in for the vehicle's.
    pub fn applies(&self, vehicle: &Vehicle, variant: &Variant) -> bool {
        self.applies_to_drive(vehicle, variant) && self.applies_to_years(vehicle, variant)
    }

    fn applies_to_drive(&self, vehicle: &Vehicle, variant: &Variant) -> bool {
        match (&self.drives, variant.drive.or(vehicle.drive)) {
            (Some(drives), Some(drive)) => drives.contains(&drive),
            _ => true,
        }
    }

    fn applies_to_years(&self, vehicle: &Vehicle, variant: &Variant) -> bool {
        let Some(common_from) = &self.common_from else {
            return true;
        };
        let latest = variant.year.or(vehicle.years.map(|y| y.last));
        let region = variant.region.as_deref().or(vehicle.region.as_deref());
        let first = match region {
            Some(region) => common_from.get(region).copied(),
            None => common_from.values().min().copied(),
        };
        match (latest, first) {
            (Some(latest), Some(first)) => latest >= first,
            // A region the data does not know is as good as unknown.
            (Some(latest), None) => common_from.values().min().is_none_or(|f| latest >= *f),
            (None, _) => true,
        }
    }
}
