//! Reading a card's vehicle and its measurements.

use super::limits;
use crate::contract::reader::{Field, Limits};
use crate::domain::body::{self, Measured, StyleId};
use crate::domain::vehicle::{Drive, Roof, Variant, Vehicle, WheelSide, Years};
use std::collections::BTreeMap;

/// Most seconds a restraint system is said to stay live: one day.
const MOST_HOLD_TIME_S: i64 = 86_400;

pub(super) fn read_vehicle(vehicle: &Field<'_>) -> Option<Vehicle> {
    let known = [
        "make",
        "model",
        "years",
        "body_style",
        "drive",
        "wheel",
        "roof",
        "region",
        "hold_time_s",
    ];
    if !vehicle.object(&known) {
        return None;
    }
    let style = vehicle
        .get("body_style")
        .required("the id of a body style, for example sedan");
    let style = style.word(StyleId::ALL, StyleId::word);
    let hold_time_s = vehicle.get("hold_time_s").whole(0..=MOST_HOLD_TIME_S);
    Some(Vehicle {
        make: vehicle.get("make").text(limits::NAME),
        model: vehicle.get("model").text(limits::NAME),
        years: read_years(&vehicle.get("years")),
        drive: vehicle.get("drive").word(Drive::ALL, Drive::word),
        wheel: vehicle.get("wheel").word(WheelSide::ALL, WheelSide::word),
        roof: vehicle.get("roof").word(Roof::ALL, Roof::word),
        region: vehicle.get("region").text(limits::NAME),
        hold_time_s: hold_time_s.and_then(|seconds| u32::try_from(seconds).ok()),
        // Last, so that every other field has been looked at for errors.
        body_style: style?,
    })
}

/// One model year.
pub(super) fn read_year(year: &Field<'_>) -> Option<i32> {
    let allowed = i64::from(*Years::ALLOWED.start())..=i64::from(*Years::ALLOWED.end());
    year.whole(allowed)
        .and_then(|year| i32::try_from(year).ok())
}

fn read_years(years: &Field<'_>) -> Option<Years> {
    const ACCEPTED: &str = "two years [first, last], 1900 to 2100, first not after last";
    if !years.is_given() {
        return None;
    }
    let items = years.items();
    let [first, last] = items.as_slice() else {
        if years.value().is_some_and(serde_json::Value::is_array) {
            years.refuse("two years are needed", ACCEPTED);
        }
        return None;
    };
    let (first, last) = (
        first.clone().required(ACCEPTED),
        last.clone().required(ACCEPTED),
    );
    let (first, last) = (read_year(&first), read_year(&last));
    let (first, last) = (first?, last?);
    if first > last {
        years.refuse(
            format!("the first year {first} is after the last {last}"),
            ACCEPTED,
        );
        return None;
    }
    Some(Years { first, last })
}

/// The variant of the car that was looked at.
pub(in crate::contract) fn read_variant(variant: &Field<'_>) -> Variant {
    variant.object(&["year", "drive", "wheel", "roof", "region"]);
    Variant {
        year: read_year(&variant.get("year")),
        drive: variant.get("drive").word(Drive::ALL, Drive::word),
        wheel: variant.get("wheel").word(WheelSide::ALL, WheelSide::word),
        roof: variant.get("roof").word(Roof::ALL, Roof::word),
        region: variant.get("region").text(limits::NAME),
    }
}

pub(super) fn read_measured(measured: &Field<'_>, style: Option<StyleId>) -> Measured {
    measured.object(&[
        "length_mm",
        "wheelbase_mm",
        "width_mm",
        "height_mm",
        "landmarks",
    ]);
    let number = |name: &str, limits: &Limits| measured.get(name).number(limits);
    let read = Measured {
        length_mm: number("length_mm", &limits::LENGTH),
        wheelbase_mm: number("wheelbase_mm", &limits::WHEELBASE),
        width_mm: number("width_mm", &limits::WIDTH),
        height_mm: number("height_mm", &limits::HEIGHT),
        landmarks: read_landmarks(&measured.get("landmarks"), style),
    };
    if let (Some(length), Some(wheelbase)) = (read.length_mm, read.wheelbase_mm)
        && wheelbase >= length
    {
        measured.get("wheelbase_mm").refuse(
            format!("the wheelbase is not shorter than the car's {length} mm"),
            "a wheelbase smaller than length_mm",
        );
    }
    read
}

fn read_landmarks(
    landmarks: &Field<'_>,
    style: Option<StyleId>,
) -> BTreeMap<String, [Option<f64>; 3]> {
    const ACCEPTED: &str = "three coordinates [x, y, z] in mm, null where not measured";
    let known: Option<Vec<&str>> = style.map(|id| {
        body::style(id)
            .landmarks
            .iter()
            .map(|l| l.id.as_str())
            .collect()
    });
    let mut read = BTreeMap::new();
    for (name, landmark) in landmarks.entries() {
        if known
            .as_ref()
            .is_some_and(|known| !landmark.names_one_of("landmark", name, known))
        {
            continue;
        }
        let items = landmark.items();
        if let [x, y, z] = items.as_slice() {
            let point = [x, y, z].map(|field| field.number(&limits::COORDINATE));
            read.insert(name.to_owned(), point);
        } else if landmark.value().is_some_and(serde_json::Value::is_array) {
            landmark.refuse("three coordinates are needed", ACCEPTED);
        }
    }
    read
}
