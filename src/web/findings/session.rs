//! What stands over every finding of one look: which car, who, when, how it
//! was learnt, and the variant of the car.

use crate::domain::finding::Source;
use crate::domain::units::Unit;
use crate::domain::vehicle::{Drive, Roof, Variant, WheelSide, Years};
use crate::web::typed::{Asked, Typed};
use serde::{Deserialize, Serialize};
use time::Date;

pub const CAR: Asked<'static> = Asked::new("car", "Which car");
pub const BY: Asked<'static> = Asked::new("by", "Who looked");
pub const ON: Asked<'static> = Asked::new("observed_on", "Day");
pub const SOURCE: Asked<'static> = Asked::new("source", "How it was learnt");
pub const WITHIN: Asked<'static> = Asked::new("within", "Within");
pub const UNIT: Asked<'static> = Asked::new("unit", "Figures in");
pub const YEAR: Asked<'static> = Asked::new("year", "Model year");
pub const DRIVE: Asked<'static> = Asked::new("drive", "Drive");
pub const WHEEL: Asked<'static> = Asked::new("wheel", "Steering wheel");
pub const ROOF: Asked<'static> = Asked::new("roof", "Roof");
pub const REGION: Asked<'static> = Asked::new("region", "Region");

/// One look at one car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Session {
    pub car: Option<String>,
    pub by: String,
    #[serde(with = "day")]
    pub observed_on: Date,
    pub source: Source,
    /// Own bound ±mm in place of the source's.
    pub within_mm: Option<f64>,
    pub unit: Unit,
    pub year: Option<i32>,
    pub drive: Option<Drive>,
    pub wheel: Option<WheelSide>,
    pub roof: Option<Roof>,
    pub region: Option<String>,
}

impl Session {
    /// Whether bare can be stated: somebody looked, with the trim off.
    pub fn may_state_bare(&self) -> bool {
        matches!(self.source, Source::Measured | Source::Seen)
    }

    /// The variant of the car looked at.
    pub fn observed(&self) -> Variant {
        Variant {
            year: self.year,
            drive: self.drive,
            wheel: self.wheel,
            roof: self.roof,
            region: self.region.clone(),
        }
    }
}

/// Reads a session. `None` if a field is at fault.
pub fn read_session(typed: &mut Typed, today: Date) -> Option<Session> {
    let source = typed.required_word(SOURCE, Source::from_word);
    let car = typed.text(CAR, 80);
    if car.is_none() && source.is_some_and(Source::looked_at_a_car) {
        typed.refuse(
            CAR,
            "name the car looked at, for example “yard 14”: one car counts once, however often it is looked at",
        );
    }
    let by = typed.required_text(BY, 80, "enter who looked");
    let observed_on = typed.date(ON, today);
    let unit = typed.word(UNIT, Unit::from_word).unwrap_or(Unit::Mm);
    let within_mm = read_within(typed, unit);
    let years = i64::from(*Years::ALLOWED.start())..=i64::from(*Years::ALLOWED.end());
    let session = Session {
        car,
        by: by.unwrap_or_default(),
        observed_on: observed_on.unwrap_or(today),
        source: source.unwrap_or(Source::Told),
        within_mm,
        unit,
        year: typed.whole(YEAR, years).and_then(|y| i32::try_from(y).ok()),
        drive: typed.word(DRIVE, Drive::from_word),
        wheel: typed.word(WHEEL, WheelSide::from_word),
        roof: typed.word(ROOF, Roof::from_word),
        region: typed.text(REGION, 80),
    };
    typed.is_valid().then_some(session)
}

fn read_within(typed: &mut Typed, unit: Unit) -> Option<f64> {
    let within = typed.length(WITHIN, unit)?;
    let allowed = crate::domain::finding::Finding::WITHIN_MM;
    if !allowed.contains(&within) {
        typed.refuse(
            WITHIN,
            "enter 5 to 1000 mm, or leave it empty for the bound of how it was learnt",
        );
        return None;
    }
    Some(within)
}

/// Puts a session back into a form.
pub fn fill_session(typed: &mut Typed, session: &Session) {
    let texts = [
        (CAR, session.car.clone()),
        (BY, Some(session.by.clone())),
        (ON, Some(session.observed_on.to_string())),
        (SOURCE, Some(session.source.to_string())),
        (
            WITHIN,
            session
                .within_mm
                .map(|mm| crate::domain::units::entry_text(mm, session.unit)),
        ),
        (UNIT, Some(session.unit.to_string())),
        (YEAR, session.year.map(|y| y.to_string())),
        (DRIVE, session.drive.map(|d| d.to_string())),
        (WHEEL, session.wheel.map(|w| w.to_string())),
        (ROOF, session.roof.map(|r| r.to_string())),
        (REGION, session.region.clone()),
    ];
    for (asked, text) in texts {
        typed.put(asked.name, text.unwrap_or_default());
    }
}

/// A day as `2026-03-04`, in drafts as in forms.
mod day {
    use serde::{Deserialize, Deserializer, Serializer, de};
    use time::Date;
    use time::macros::format_description;

    pub fn serialize<S: Serializer>(day: &Date, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(day)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Date, D::Error> {
        let text = String::deserialize(deserializer)?;
        Date::parse(&text, format_description!("[year]-[month]-[day]")).map_err(de::Error::custom)
    }
}
