//! Where a value stands in a JSON document, for example
//! `findings[3].place.from_mm`.

use std::fmt;

/// One step down: into an object's field or an array's item.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Segment {
    Field(String),
    Item(usize),
}

/// The way from the document to a value; empty for the document itself.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Path(Vec<Segment>);

impl Path {
    /// The document itself.
    pub const fn document() -> Self {
        Self(Vec::new())
    }

    pub fn segments(&self) -> &[Segment] {
        &self.0
    }

    /// The path of an object's field.
    #[must_use]
    pub fn field(&self, name: &str) -> Self {
        self.with(Segment::Field(name.to_owned()))
    }

    /// The path of an array's item, counted from 0.
    #[must_use]
    pub fn item(&self, index: usize) -> Self {
        self.with(Segment::Item(index))
    }

    /// This path below another one.
    #[must_use]
    pub fn under(&self, above: &Self) -> Self {
        Self(above.0.iter().chain(&self.0).cloned().collect())
    }

    fn with(&self, segment: Segment) -> Self {
        let mut segments = Vec::with_capacity(self.0.len() + 1);
        segments.extend_from_slice(&self.0);
        segments.push(segment);
        Self(segments)
    }
}

impl From<&serde_path_to_error::Path> for Path {
    fn from(path: &serde_path_to_error::Path) -> Self {
        use serde_path_to_error::Segment as From;
        let segments = path.iter().filter_map(|segment| match segment {
            From::Seq { index } => Some(Segment::Item(*index)),
            From::Map { key } => Some(Segment::Field(key.clone())),
            From::Enum { .. } | From::Unknown => None,
        });
        Self(segments.collect())
    }
}

impl fmt::Display for Path {
    /// A name with other than letters, digits, `_` and `-` is quoted, so that
    /// a dot inside it is not read as a step.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (depth, segment) in self.0.iter().enumerate() {
            match segment {
                Segment::Item(index) => write!(f, "[{index}]")?,
                Segment::Field(name) if is_plain(name) && depth == 0 => f.write_str(name)?,
                Segment::Field(name) if is_plain(name) => write!(f, ".{name}")?,
                Segment::Field(name) => write!(f, "[{name:?}]")?,
            }
        }
        Ok(())
    }
}

fn is_plain(name: &str) -> bool {
    !name.is_empty()
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_reads_as_it_would_be_written_by_hand() {
        let document = Path::document();
        let station = document
            .field("findings")
            .item(3)
            .field("place")
            .field("from_mm");
        assert_eq!(station.to_string(), "findings[3].place.from_mm");
        let landmark = document
            .field("landmarks")
            .field("b-pillar-foot.left")
            .item(0);
        assert_eq!(
            landmark.to_string(),
            r#"landmarks["b-pillar-foot.left"][0]"#
        );
        assert_eq!(document.to_string(), "");
    }
}
