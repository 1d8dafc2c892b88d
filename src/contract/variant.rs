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
