//! The variant of the car asked for, as an address's query names it.

use super::card_file::read_variant;
use super::field_error::FieldError;
use super::reader::{Field, Remarks};
use crate::domain::vehicle::Variant;
use serde_json::{Map, Value};
use std::cell::RefCell;

/// Reads `year`, `drive`, `wheel`, `roof` and `region` from name and value
/// pairs. What is left out or empty is unknown.
///
/// # Errors
/// Every one that cannot be accepted.
pub fn variant_of_query(query: &[(String, String)]) -> Result<Variant, Vec<FieldError>> {
    let mut fields = Map::new();
    for (name, text) in query.iter().filter(|(_, text)| !text.is_empty()) {
        let number = text.parse::<i64>().ok().filter(|_| name == "year");
        let value = number.map_or_else(|| Value::from(text.as_str()), Value::from);
        fields.insert(name.clone(), value);
    }
    let document = Value::Object(fields);
    let remarks = RefCell::new(Remarks::default());
    let variant = read_variant(&Field::document(&document, &remarks));
    let errors = remarks.into_inner().errors;
    if errors.is_empty() {
        Ok(variant)
    } else {
        Err(errors)
    }
}

/// The query that names a variant, always in one order, without a `?`; empty
/// where nothing is known. [`variant_of_query`] reads it back.
pub fn query_of_variant(variant: &Variant) -> String {
    let fields = [
        ("year", variant.year.map(|year| year.to_string())),
        ("drive", variant.drive.map(|drive| drive.to_string())),
        ("wheel", variant.wheel.map(|wheel| wheel.to_string())),
        ("roof", variant.roof.map(|roof| roof.to_string())),
        ("region", variant.region.clone()),
    ];
    let mut query = form_urlencoded::Serializer::new(String::new());
    for (name, value) in fields {
        if let Some(value) = value {
            query.append_pair(name, &value);
        }
    }
    query.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::vehicle::{Drive, Roof, WheelSide};

    #[test]
    fn a_query_that_was_written_reads_back_as_the_same_variant() {
        let variant = Variant {
            year: Some(2021),
            drive: Some(Drive::Battery),
            wheel: Some(WheelSide::Right),
            roof: Some(Roof::Glass),
            region: Some("EU & UK, ½ “south”=?".to_owned()),
        };
        let query = query_of_variant(&variant);
        assert!(query.is_ascii() && query.starts_with("year=2021&drive=battery&wheel=right"));
        let pairs: Vec<(String, String)> = form_urlencoded::parse(query.as_bytes())
            .into_owned()
            .collect();
        assert_eq!(variant_of_query(&pairs), Ok(variant));
        assert_eq!(query_of_variant(&Variant::default()), "");
    }
}
