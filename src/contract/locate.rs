//! Finds the line and column of fields in a document that parses, so that an
//! error about a value can be found in a file of thousands of lines.

use super::field_error::FieldError;
use super::path::Segment;
use serde_json::value::RawValue;
use std::collections::{BTreeMap, HashMap};

/// Fills in line and column of each error from its path and sorts them as they
/// stand in the file. A field that is missing is placed where the object that
/// lacks it begins.
pub fn locate(text: &[u8], errors: &mut [FieldError]) {
    let Ok(text) = std::str::from_utf8(text) else {
        return;
    };
    let Ok(document) = serde_json::from_str::<&RawValue>(text) else {
        return;
    };
    let lines = Lines::of(text);
    place(document, 0, errors.iter_mut().collect(), &lines);
    errors.sort_by_key(|error| (error.line, error.column));
}

/// Places every error at `value`, then hands on those that lie deeper. Each
/// value is parsed once, however many errors lie below it.
fn place(value: &RawValue, depth: usize, errors: Vec<&mut FieldError>, lines: &Lines<'_>) {
    let (line, column) = lines.position(value.get());
    let mut deeper: BTreeMap<Segment, Vec<&mut FieldError>> = BTreeMap::new();
    for error in errors {
        (error.line, error.column) = (Some(line), Some(column));
        if let Some(segment) = error.field.segments().get(depth).cloned() {
            deeper.entry(segment).or_default().push(error);
        }
    }
    match deeper.keys().next() {
        None => {}
        Some(Segment::Field(_)) => {
            let fields: HashMap<String, &RawValue> =
                serde_json::from_str(value.get()).unwrap_or_default();
            for (segment, errors) in deeper {
                if let Segment::Field(name) = segment
                    && let Some(field) = fields.get(&name)
                {
                    place(field, depth + 1, errors, lines);
                }
            }
        }
        Some(Segment::Item(_)) => {
            let items: Vec<&RawValue> = serde_json::from_str(value.get()).unwrap_or_default();
            for (segment, errors) in deeper {
                if let Segment::Item(index) = segment
                    && let Some(item) = items.get(index)
                {
                    place(item, depth + 1, errors, lines);
                }
            }
        }
    }
}

/// Where each line of a text begins.
struct Lines<'a> {
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    fn of(text: &'a str) -> Self {
        let after_break = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            text,
            starts: std::iter::once(0).chain(after_break).collect(),
        }
    }

    /// Line and column, from 1, of a slice of the text.
    fn position(&self, part: &str) -> (usize, usize) {
        // Borrowed raw values are slices of the text, so the difference of the
        // addresses is the offset.
        let offset = (part.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize);
        let line = self.starts.partition_point(|start| *start <= offset);
        let start = self.starts[line.saturating_sub(1)];
        (
            line,
            self.text[start..offset.min(self.text.len())]
                .chars()
                .count()
                + 1,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contract::path::Path;

    #[test]
    fn a_field_is_found_at_its_value_and_a_missing_one_at_its_object() {
        let text = "{\n  \"findings\": [\n    {\"id\": \"é\", \"within_mm\": 3},\n    {}\n  ]\n}";
        let findings = Path::document().field("findings");
        let mut errors = [
            FieldError::new(findings.item(0).field("within_mm"), "", "", None),
            FieldError::new(findings.item(1).field("id"), "", "", None),
        ];
        locate(text.as_bytes(), &mut errors);
        assert_eq!((errors[0].line, errors[0].column), (Some(3), Some(30)));
        assert_eq!((errors[1].line, errors[1].column), (Some(4), Some(5)));
    }
}
