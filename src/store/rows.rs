//! Rows as they lie in the tables, and the check each passes on its way out: a
//! row that the store cannot have written is `Corrupt`, never a guess.

use super::contract::*;
use super::error::StoreError;
use crate::domain::body::{Measured, StyleId};
use crate::domain::card::{Glass, PowerOff, PowerSource};
use crate::domain::vehicle::{Drive, Roof, Vehicle, WheelSide, Years};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use time::macros::format_description;
use time::{Date, OffsetDateTime};

/// Names the row a value came from, for [`StoreError::Corrupt`].
#[derive(Debug, Clone, Copy)]
pub(super) struct At<'a> {
    pub table: &'static str,
    pub id: &'a str,
}

impl At<'_> {
    pub(super) fn corrupt(self, column: &'static str) -> StoreError {
        StoreError::Corrupt {
            table: self.table,
            column,
            id: self.id.to_owned(),
        }
    }

    /// The value a word stands for.
    pub(super) fn word<T>(
        self,
        column: &'static str,
        word: &str,
        from_word: fn(&str) -> Option<T>,
    ) -> Result<T, StoreError> {
        from_word(word).ok_or_else(|| self.corrupt(column))
    }

    /// The same, where the column may be empty.
    pub(super) fn word_or_none<T>(
        self,
        column: &'static str,
        word: Option<&str>,
        from_word: fn(&str) -> Option<T>,
    ) -> Result<Option<T>, StoreError> {
        word.map(|word| self.word(column, word, from_word))
            .transpose()
    }

    pub(super) fn json<T: DeserializeOwned>(
        self,
        column: &'static str,
        text: &str,
    ) -> Result<T, StoreError> {
        serde_json::from_str(text).map_err(|_| self.corrupt(column))
    }

    pub(super) fn time(self, column: &'static str, ms: i64) -> Result<OffsetDateTime, StoreError> {
        OffsetDateTime::from_unix_timestamp_nanos(i128::from(ms) * 1_000_000)
            .map_err(|_| self.corrupt(column))
    }

    /// The same, where the column may be empty.
    pub(super) fn time_or_none(
        self,
        column: &'static str,
        ms: Option<i64>,
    ) -> Result<Option<OffsetDateTime>, StoreError> {
        ms.map(|ms| self.time(column, ms)).transpose()
    }

    pub(super) fn date(self, column: &'static str, text: &str) -> Result<Date, StoreError> {
        Date::parse(text, format_description!("[year]-[month]-[day]"))
            .map_err(|_| self.corrupt(column))
    }

    pub(super) fn whole<T: TryFrom<i64>>(
        self,
        column: &'static str,
        value: i64,
    ) -> Result<T, StoreError> {
        T::try_from(value).map_err(|_| self.corrupt(column))
    }
}

/// UTC milliseconds, as every time is kept.
pub(super) fn millis(at: OffsetDateTime) -> i64 {
    i64::try_from(at.unix_timestamp_nanos() / 1_000_000)
        .expect("the range of OffsetDateTime fits 64 bits of milliseconds")
}

/// JSON text of what the store itself defines.
pub(super) fn json_text<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value)
        .expect("the store's own rows have string keys and no failing parts")
}

/// The vehicle columns of `card_details`.
#[derive(Debug, sqlx::FromRow)]
pub(super) struct VehicleRow {
    make: Option<String>,
    model: Option<String>,
    first_year: Option<i64>,
    last_year: Option<i64>,
    body_style: String,
    drive: Option<String>,
    wheel: Option<String>,
    roof: Option<String>,
    region: Option<String>,
    hold_time_s: Option<i64>,
}

impl VehicleRow {
    pub(super) fn check(self, at: At<'_>) -> Result<Vehicle, StoreError> {
        let years = match (self.first_year, self.last_year) {
            (None, None) => None,
            (Some(first), Some(last)) if first <= last => Some(Years {
                first: at.whole("first_year", first)?,
                last: at.whole("last_year", last)?,
            }),
            _ => return Err(at.corrupt("first_year")),
        };
        Ok(Vehicle {
            make: self.make,
            model: self.model,
            years,
            body_style: at.word("body_style", &self.body_style, StyleId::from_word)?,
            drive: at.word_or_none("drive", self.drive.as_deref(), Drive::from_word)?,
            wheel: at.word_or_none("wheel", self.wheel.as_deref(), WheelSide::from_word)?,
            roof: at.word_or_none("roof", self.roof.as_deref(), Roof::from_word)?,
            region: self.region,
            hold_time_s: self
                .hold_time_s
                .map(|seconds| at.whole("hold_time_s", seconds))
                .transpose()?,
        })
    }
}

/// The other columns of `card_details`.
#[derive(Debug, sqlx::FromRow)]
pub(super) struct DetailsRow {
    #[sqlx(flatten)]
    vehicle: VehicleRow,
    measured: String,
    identify: Option<String>,
    power_off: String,
    glass: String,
    reviews: String,
}

/// Details, with what is kept as it came.
#[derive(Debug)]
pub(super) struct AllDetails {
    pub details: CardDetails,
    pub reviews: Vec<serde_json::Value>,
}

impl DetailsRow {
    pub(super) fn check(self, card: &str) -> Result<AllDetails, StoreError> {
        let at = At {
            table: "card_details",
            id: card,
        };
        let measured: MeasuredJson = at.json("measured", &self.measured)?;
        let power_off: Vec<PowerOffJson> = at.json("power_off", &self.power_off)?;
        Ok(AllDetails {
            details: CardDetails {
                vehicle: self.vehicle.check(at)?,
                measured: measured.into(),
                identify: self.identify,
                power_off: power_off.into_iter().map(PowerOff::from).collect(),
                glass: at.json::<BTreeMap<String, Glass>>("glass", &self.glass)?,
            },
            reviews: at.json("reviews", &self.reviews)?,
        })
    }
}

/// [`Measured`] as JSON.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MeasuredJson {
    length_mm: Option<f64>,
    wheelbase_mm: Option<f64>,
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    landmarks: BTreeMap<String, [Option<f64>; 3]>,
}

impl From<&Measured> for MeasuredJson {
    fn from(m: &Measured) -> Self {
        Self {
            length_mm: m.length_mm,
            wheelbase_mm: m.wheelbase_mm,
            width_mm: m.width_mm,
            height_mm: m.height_mm,
            landmarks: m.landmarks.clone(),
        }
    }
}

impl From<MeasuredJson> for Measured {
    fn from(m: MeasuredJson) -> Self {
        Self {
            length_mm: m.length_mm,
            wheelbase_mm: m.wheelbase_mm,
            width_mm: m.width_mm,
            height_mm: m.height_mm,
            landmarks: m.landmarks,
        }
    }
}

/// [`PowerOff`] as JSON.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PowerOffJson {
    what: PowerSource,
    #[serde(rename = "where")]
    where_: String,
    how: String,
}

impl From<&PowerOff> for PowerOffJson {
    fn from(p: &PowerOff) -> Self {
        Self {
            what: p.what,
            where_: p.where_.clone(),
            how: p.how.clone(),
        }
    }
}

impl From<PowerOffJson> for PowerOff {
    fn from(p: PowerOffJson) -> Self {
        Self {
            what: p.what,
            where_: p.where_,
            how: p.how,
        }
    }
}
