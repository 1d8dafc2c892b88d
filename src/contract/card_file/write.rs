//! From a card to its file.

use super::FORMAT;
use super::annotation::AnnotationFile;
use super::file::{
    CardDetailsFile, CardFile, FindingFile, MeasuredFile, PlaceFile, PolicyFile, PowerOffFile,
    ResolvedFile, VariantFile, VehicleFile,
};
use crate::domain::body::Measured;
use crate::domain::card::{Card, PowerOff};
use crate::domain::finding::{Finding, Place, Report, Resolved};
use crate::domain::policy::Policy;
use crate::domain::vehicle::{Variant, Vehicle};

impl From<&Card> for CardFile {
    fn from(card: &Card) -> Self {
        Self {
            format: FORMAT,
            vehicle: VehicleFile::from(&card.vehicle),
            measured: (card.measured != Measured::default())
                .then(|| MeasuredFile::from(&card.measured)),
            policy: (card.policy != Policy::default()).then(|| PolicyFile::from(&card.policy)),
            findings: card.findings.iter().map(FindingFile::from).collect(),
            identify: card.identify.clone(),
            power_off: card.power_off.iter().map(PowerOffFile::from).collect(),
            glass: card.glass.clone(),
            annotations: card.annotations.iter().map(AnnotationFile::from).collect(),
            reviews: card.reviews.clone(),
        }
    }
}

impl From<&Card> for CardDetailsFile {
    fn from(card: &Card) -> Self {
        Self {
            vehicle: VehicleFile::from(&card.vehicle),
            measured: MeasuredFile::from(&card.measured),
            identify: card.identify.clone(),
            power_off: card.power_off.iter().map(PowerOffFile::from).collect(),
            glass: card.glass.clone(),
        }
    }
}

impl From<&Vehicle> for VehicleFile {
    fn from(vehicle: &Vehicle) -> Self {
        Self {
            make: vehicle.make.clone(),
            model: vehicle.model.clone(),
            years: vehicle.years.map(Into::into),
            body_style: vehicle.body_style,
            drive: vehicle.drive,
            wheel: vehicle.wheel,
            roof: vehicle.roof,
            region: vehicle.region.clone(),
            hold_time_s: vehicle.hold_time_s,
        }
    }
}

impl From<&Measured> for MeasuredFile {
    fn from(measured: &Measured) -> Self {
        Self {
            length_mm: measured.length_mm,
            wheelbase_mm: measured.wheelbase_mm,
            width_mm: measured.width_mm,
            height_mm: measured.height_mm,
            landmarks: measured.landmarks.clone(),
        }
    }
}

impl From<&Policy> for PolicyFile {
    fn from(policy: &Policy) -> Self {
        Self {
            coverage: policy.coverage.share(),
            blade_half_width_mm: policy.blade_half_width_mm,
            tip_reach_mm: policy.tip_reach_mm,
            lean_deg: policy.lean_deg,
            car_to_car_mm: policy.car_to_car_mm,
            clearance_mm: policy.clearance_mm.clone(),
            cushion: policy.cushion,
            b_pillar_first: policy.b_pillar_first,
        }
    }
}

impl From<&PowerOff> for PowerOffFile {
    fn from(power_off: &PowerOff) -> Self {
        let PowerOff { what, where_, how } = power_off.clone();
        Self { what, where_, how }
    }
}

impl From<&Place> for PlaceFile {
    fn from(place: &Place) -> Self {
        match place.clone() {
            Place::OnSpan {
                span,
                from_mm,
                to_mm,
            } => Self::OnSpan {
                span,
                from_mm,
                to_mm,
            },
            Place::Points(points) => Self::Points { points },
        }
    }
}

impl From<&Variant> for VariantFile {
    fn from(variant: &Variant) -> Self {
        let Variant {
            year,
            drive,
            wheel,
            roof,
            region,
        } = variant.clone();
        Self {
            year,
            drive,
            wheel,
            roof,
            region,
        }
    }
}

impl From<&Finding> for FindingFile {
    fn from(finding: &Finding) -> Self {
        let (component, bare) = match &finding.report {
            Report::Component(component) => (Some(component), None),
            Report::Bare(bare) => (None, Some(bare)),
        };
        let place = match &finding.report {
            Report::Component(component) => PlaceFile::from(&component.place),
            Report::Bare(bare) => PlaceFile::OnSpan {
                span: bare.span.clone(),
                from_mm: bare.from_mm,
                to_mm: bare.to_mm,
            },
        };
        let resolved = |resolved: &Resolved| ResolvedFile {
            by: resolved.by.clone(),
            on: resolved.on,
        };
        Self {
            id: finding.id.clone(),
            report: if bare.is_some() { "bare" } else { "component" },
            component: component.map(|c| c.component.clone()),
            kind: component.map(|c| c.kind),
            place,
            radius_mm: component.and_then(|c| c.radius_mm),
            source: finding.source,
            within_mm: finding.within_mm,
            depth: bare.map(|b| b.depth),
            observed_on: finding.observed_on,
            by: finding.by.clone(),
            car: finding.car.clone(),
            observed: (finding.observed != Variant::default())
                .then(|| VariantFile::from(&finding.observed)),
            status: finding.status,
            bag: component.and_then(|c| c.bag),
            belt_seat: component.and_then(|c| c.belt_seat.clone()),
            uts_mpa: component.and_then(|c| c.steel.uts_mpa),
            thickness_mm: component.and_then(|c| c.steel.thickness_mm),
            layers: component.and_then(|c| c.steel.layers),
            perimeter_mm: component.and_then(|c| c.steel.perimeter_mm),
            pressure_mpa: component.and_then(|c| c.gas.pressure_mpa),
            volume_cm3: component.and_then(|c| c.gas.volume_cm3),
            gas: component.and_then(|c| c.gas.gas.clone()),
            resolved: bare.and_then(|b| b.resolved.as_ref()).map(resolved),
            note: finding.note.clone(),
            supersedes: finding.supersedes.clone(),
            reason: finding.reason.clone(),
        }
    }
}
