//! Forms: what was typed, kept as typed, and what is wrong with it.
//!
//! A page's way with a write is load → read the form → show again with 422 on
//! any fault → store → redirect. Readers below take a field, record at most one
//! fault for it, and hand back a value of the domain.

mod read;
mod upload;

pub use read::Asked;
pub use upload::{LargeFile, LargeUpload, Upload, UploadedFile};

use crate::web::form::Field;
use axum::extract::{FromRequest, Request};
use axum::response::{IntoResponse, Response};
use http::StatusCode;
use std::collections::BTreeMap;

/// Fields a form may have; the longest page has some three hundred.
const MOST_FIELDS: usize = 2_000;

/// Characters of what was typed that a message repeats.
const MOST_REPEATED: usize = 40;

/// One thing wrong with one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Name of the input, which is also in its id: `f-<field>`.
    pub field: String,
    pub label: String,
    pub said: String,
}

/// What was typed and what is wrong with it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Typed {
    values: BTreeMap<String, String>,
    faults: Vec<Fault>,
}

impl Typed {
    /// A form as sent; of a repeated name the last value counts.
    pub fn sent(pairs: impl IntoIterator<Item = (String, String)>) -> Self {
        Self {
            values: pairs.into_iter().take(MOST_FIELDS).collect(),
            faults: Vec::new(),
        }
    }

    /// What was typed into a field, as typed; empty if nothing was.
    pub fn value(&self, field: &str) -> &str {
        self.values.get(field).map_or("", String::as_str)
    }

    /// Whether a choice or a box has this value.
    pub fn chosen(&self, field: &str, value: &str) -> bool {
        self.value(field) == value
    }

    /// Puts a value into a field, as if typed.
    pub fn put(&mut self, field: impl Into<String>, value: impl Into<String>) {
        self.values.insert(field.into(), value.into());
    }

    /// Fields that begin so and hold something, with what they hold.
    pub fn beginning<'a>(&'a self, start: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.values
            .range(start.to_owned()..)
            .take_while(move |(name, _)| name.starts_with(start))
            .filter(|(_, value)| !value.trim().is_empty())
            .map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// What is wrong with a field, for its own place on the page.
    pub fn fault(&self, field: &str) -> Option<&str> {
        let fault = self.faults.iter().find(|f| f.field == field)?;
        Some(&fault.said)
    }

    /// Everything that is wrong, for the summary on top.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    pub fn is_valid(&self) -> bool {
        self.faults.is_empty()
    }

    /// Says what is wrong with a field; the first fault of a field stays.
    pub fn refuse(&mut self, field: Asked<'_>, said: impl Into<String>) {
        if self.fault(field.name).is_none() {
            self.faults.push(Fault {
                field: field.name.to_owned(),
                label: field.label.to_owned(),
                said: said.into(),
            });
        }
    }

    /// A field for the page's macros.
    pub fn field(&self, name: &str) -> Field {
        Field {
            name: name.to_owned(),
            value: self.value(name).to_owned(),
            error: self.fault(name).map(str::to_owned),
        }
    }

    /// The fields at fault for the summary on top, each by its label.
    pub fn at_fault(&self) -> Vec<Field> {
        let said = |fault: &Fault| {
            let text = format!("{}: {}", fault.label, fault.said);
            Field::new(fault.field.clone(), "").wrong(text)
        };
        self.faults.iter().map(said).collect()
    }

    /// 200 for a page shown first, 422 for one shown again.
    pub fn status(&self) -> StatusCode {
        if self.is_valid() {
            StatusCode::OK
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        }
    }
}

/// The start of what was typed, for a message.
fn repeated(typed: &str) -> String {
    let mut chars = typed.chars();
    let start: String = chars.by_ref().take(MOST_REPEATED).collect();
    if chars.next().is_some() {
        format!("“{start}…”")
    } else {
        format!("“{start}”")
    }
}

/// Any form, whatever its fields: a missing or strange field is the page's to
/// answer, beside the field, not the framework's.
impl<S: Send + Sync> FromRequest<S> for Typed {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let pairs = axum::Form::<Vec<(String, String)>>::from_request(request, state).await;
        match pairs {
            Ok(axum::Form(pairs)) => Ok(Self::sent(pairs)),
            Err(refusal) => Err(refusal.into_response()),
        }
    }
}

#[cfg(test)]
mod tests;
