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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::{BodyStyle, StyleId, style};
    use crate::domain::vehicle::{Drive, Years};

    fn sedan(years: Option<[i32; 2]>, drive: Option<Drive>, region: Option<&str>) -> Vehicle {
        Vehicle {
            make: None,
            model: None,
            years: years.map(Years::from),
            body_style: StyleId::Sedan,
            drive,
            wheel: None,
            roof: None,
            region: region.map(str::to_owned),
            hold_time_s: None,
        }
    }

    /// Common from 2006 in the US, 2002 in the EU.
    fn curtain() -> &'static Expectation {
        of(style(StyleId::Sedan), "curtain.left")
    }

    fn of(style: &'static BodyStyle, id: &str) -> &'static Expectation {
        style.expectations.iter().find(|e| e.id == id).unwrap()
    }

    #[test]
    fn what_is_unknown_counts_as_matching() {
        let nothing_known = sedan(None, None, None);
        for e in &style(StyleId::Sedan).expectations {
            assert!(e.applies(&nothing_known, &Variant::default()), "{}", e.id);
        }
    }

    #[test]
    fn a_range_matches_if_any_year_does() {
        let none = Variant::default();
        assert!(curtain().applies(&sedan(Some([1999, 2006]), None, Some("US")), &none));
        assert!(!curtain().applies(&sedan(Some([1999, 2005]), None, Some("US")), &none));
        assert!(curtain().applies(&sedan(Some([1999, 2005]), None, Some("EU")), &none));
    }

    #[test]
    fn an_unknown_region_takes_the_earliest_year() {
        let none = Variant::default();
        for region in [None, Some("elsewhere")] {
            assert!(curtain().applies(&sedan(Some([2002, 2002]), None, region), &none));
            assert!(!curtain().applies(&sedan(Some([2001, 2001]), None, region), &none));
        }
    }

    #[test]
    fn a_known_field_of_the_variant_stands_in_for_the_vehicle() {
        let car = sedan(Some([1999, 2010]), Some(Drive::Petrol), Some("US"));
        let early = Variant {
            year: Some(2000),
            ..Variant::default()
        };
        assert!(!curtain().applies(&car, &early));
        let cable = of(style(StyleId::Sedan), "hv-cable-hinge-pillar.left");
        assert!(!cable.applies(&car, &Variant::default()));
        let battery = Variant {
            drive: Some(Drive::Battery),
            ..Variant::default()
        };
        assert!(cable.applies(&car, &battery));
        assert!(cable.applies(&sedan(None, None, None), &Variant::default()));
    }
}
