//! A card's details from what was typed, and back into a form.

use crate::domain::body::{BodyStyle, Measured};
use crate::domain::card::{Glass, PowerOff, PowerSource};
use crate::domain::vehicle::{Drive, Roof, Vehicle, WheelSide, Years};
use crate::store::CardDetails;
use crate::web::typed::{Asked, Typed};
use std::collections::BTreeMap;

/// Characters of a name, and of a paragraph.
const NAME: usize = 80;
const TEXT: usize = 4_000;

/// A day: whoever holds a longer figure has mistaken the unit.
const LONGEST_HOLD_S: i64 = 86_400;

pub const MAKE: Asked<'static> = Asked::new("make", "Make");
pub const MODEL: Asked<'static> = Asked::new("model", "Model");
pub const FIRST_YEAR: Asked<'static> = Asked::new("first_year", "First model year");
pub const LAST_YEAR: Asked<'static> = Asked::new("last_year", "Last model year");
pub const DRIVE: Asked<'static> = Asked::new("drive", "Drive");
pub const WHEEL: Asked<'static> = Asked::new("wheel", "Steering wheel");
pub const ROOF: Asked<'static> = Asked::new("roof", "Roof");
pub const REGION: Asked<'static> = Asked::new("region", "Region");
pub const HOLD: Asked<'static> = Asked::new("hold", "Hold time");
pub const IDENTIFY: Asked<'static> = Asked::new("identify", "How to tell it");

/// Reads everything but the measurements, which have a page of their own.
/// `None` if a field is at fault; each fault is beside its field.
pub fn read_details(
    typed: &mut Typed,
    style: &BodyStyle,
    measured: Measured,
) -> Option<CardDetails> {
    let vehicle = read_vehicle(typed, style);
    let identify = typed.text(IDENTIFY, TEXT);
    let power_off = read_power_off(typed);
    let glass = read_glass(typed, style);
    typed.is_valid().then_some(CardDetails {
        vehicle,
        measured,
        identify,
        power_off,
        glass,
    })
}

fn read_vehicle(typed: &mut Typed, style: &BodyStyle) -> Vehicle {
    Vehicle {
        make: typed.required_text(MAKE, NAME, "enter the make, as the badge says it"),
        model: typed.required_text(MODEL, NAME, "enter the model, as the badge says it"),
        years: read_years(typed),
        body_style: style.id,
        drive: typed.word(DRIVE, Drive::from_word),
        wheel: typed.word(WHEEL, WheelSide::from_word),
        roof: typed.word(ROOF, Roof::from_word),
        region: typed.text(REGION, NAME),
        hold_time_s: typed
            .whole(HOLD, 0..=LONGEST_HOLD_S)
            .and_then(|s| u32::try_from(s).ok()),
    }
}

/// One year alone stands for itself.
fn read_years(typed: &mut Typed) -> Option<Years> {
    let allowed = i64::from(*Years::ALLOWED.start())..=i64::from(*Years::ALLOWED.end());
    let first = typed.whole(FIRST_YEAR, allowed.clone());
    let last = typed.whole(LAST_YEAR, allowed);
    let (first, last) = (first.or(last)?, last.or(first)?);
    if first > last {
        let said = format!("{first} comes after the last year, {last}: swap them or correct one");
        typed.refuse(FIRST_YEAR, said);
        return None;
    }
    let year = |y: i64| i32::try_from(y).expect("a year in the allowed range fits");
    Some(Years {
        first: year(first),
        last: year(last),
    })
}

fn read_power_off(typed: &mut Typed) -> Vec<PowerOff> {
    let mut all = Vec::new();
    for what in PowerSource::ALL {
        let (at, by) = (power_where(*what), power_how(*what));
        let where_ = typed.text(Asked::new(&at, "Where"), TEXT);
        let how = typed.text(Asked::new(&by, "How"), TEXT);
        if where_.is_some() || how.is_some() {
            all.push(PowerOff {
                what: *what,
                where_: where_.unwrap_or_default(),
                how: how.unwrap_or_default(),
            });
        }
    }
    all
}

fn read_glass(typed: &mut Typed, style: &BodyStyle) -> BTreeMap<String, Glass> {
    let mut glass = BTreeMap::new();
    for pane in &style.panes {
        let field = glass_of(&pane.id);
        if let Some(kind) = typed.word(Asked::new(&field, &pane.name), Glass::from_word) {
            glass.insert(pane.id.clone(), kind);
        }
    }
    glass
}

/// The names of the fields that come once a source of power or a pane.
pub fn power_where(what: PowerSource) -> String {
    format!("power-where-{what}")
}

pub fn power_how(what: PowerSource) -> String {
    format!("power-how-{what}")
}

pub fn glass_of(pane: &str) -> String {
    format!("glass-{pane}")
}

/// A form that holds a card's details.
pub fn filled(details: &CardDetails) -> Typed {
    let mut typed = Typed::default();
    let v = &details.vehicle;
    let years = v.years.map(|y| (y.first.to_string(), y.last.to_string()));
    let (first, last) = years.unwrap_or_default();
    let words = [
        (MAKE, v.make.clone()),
        (MODEL, v.model.clone()),
        (FIRST_YEAR, Some(first)),
        (LAST_YEAR, Some(last)),
        (DRIVE, v.drive.map(|d| d.to_string())),
        (WHEEL, v.wheel.map(|w| w.to_string())),
        (ROOF, v.roof.map(|r| r.to_string())),
        (REGION, v.region.clone()),
        (HOLD, v.hold_time_s.map(|s| s.to_string())),
        (IDENTIFY, details.identify.clone()),
    ];
    for (asked, value) in words {
        typed.put(asked.name, value.unwrap_or_default());
    }
    for off in &details.power_off {
        typed.put(power_where(off.what), off.where_.clone());
        typed.put(power_how(off.what), off.how.clone());
    }
    for (pane, glass) in &details.glass {
        typed.put(glass_of(pane), glass.word());
    }
    typed
}
