//! JSON text to values, stricter than the grammar: a name given twice in one
//! object is refused, since two readers would see two different documents.

use super::field_error::FieldError;
use super::path::Path;
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

/// Reads a whole document. The error names line, column and the field that was
/// being read.
pub fn parse(text: &[u8]) -> Result<Value, Box<FieldError>> {
    let mut deserializer = serde_json::Deserializer::from_slice(text);
    let read: Result<Unambiguous, _> = serde_path_to_error::deserialize(&mut deserializer);
    read.map(|value| value.0)
        .map_err(|error| (Path::from(error.path()), error.into_inner()))
        .and_then(|value| match deserializer.end() {
            Ok(()) => Ok(value),
            Err(error) => Err((Path::document(), error)),
        })
        .map_err(|(field, error)| Box::new(syntax_error(field, &error)))
}

fn syntax_error(field: Path, error: &serde_json::Error) -> FieldError {
    let full = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    let what = full.strip_suffix(&place).unwrap_or(&full);
    FieldError {
        line: Some(error.line()),
        column: Some(error.column().max(1)),
        ..FieldError::new(
            field,
            format!("this is not JSON that can be read: {what}"),
            "one JSON document in UTF-8 (RFC 8259), each name once, finite numbers",
            None,
        )
    }
}

struct Unambiguous(Value);

impl<'de> Deserialize<'de> for Unambiguous {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AnyValue).map(Self)
    }
}

struct AnyValue;

impl<'de> Visitor<'de> for AnyValue {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value)
            .map(Value::Number)
            .ok_or_else(|| E::custom("the number is not finite"))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::String(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(Unambiguous(item)) = items.next_element()? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(name) = fields.next_key::<String>()? {
            let Unambiguous(value) = fields.next_value()?;
            if object.contains_key(&name) {
                let twice = format!("the name `{name}` is given twice in one object");
                return Err(de::Error::custom(twice));
            }
            object.insert(name, value);
        }
        Ok(Value::Object(object))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_given_twice_is_refused_with_its_place() {
        let error = parse(b"{\"place\":{\"from_mm\":80,\n\"from_mm\":800}}").unwrap_err();
        assert!(
            error.message.contains("`from_mm` is given twice"),
            "{error}"
        );
        assert_eq!(error.line, Some(2));
        assert_eq!(error.field.to_string(), "place");
    }

    #[test]
    fn not_a_number_and_infinities_are_no_json() {
        for text in [
            "{\"a\":NaN}",
            "{\"a\":Infinity}",
            "{\"a\":-Infinity}",
            "{\"a\":1e999}",
        ] {
            let error = parse(text.as_bytes()).unwrap_err();
            assert_eq!(
                (error.line, error.field.to_string().as_str()),
                (Some(1), "a"),
                "{text}"
            );
        }
    }

    #[test]
    fn what_follows_the_document_is_refused() {
        assert!(parse(b"{} {}").is_err());
        assert!(parse(b"").is_err());
        assert!(parse(b"\xff\xfe").is_err());
    }
}
