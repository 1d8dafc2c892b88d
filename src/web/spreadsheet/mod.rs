//! Findings from a spreadsheet: a file or pasted cells are read, every bad row is
//! named, and what the good ones become is shown before they are recorded, all of
//! them or none. What was read waits as the member's draft.

mod page;
mod save;
mod words;

use crate::contract::table::{self, Onto, ReadTable, TableError};
use crate::domain::body::{FittedBody, fit, style};
use crate::store::{Revision, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::own_card::{CardHead, latest_day, own_card};
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed, Upload};
use axum::extract::{Path, Query};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use page::{ReadPage, SheetPage};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;
use words::WordList;

/// Bytes that the address takes: more than a table may have, so that a table that
/// is too large is answered by the page.
pub const BODY_LIMIT_BYTES: usize = 4 << 20;

/// The kind of work its drafts are kept under.
const WORK: &str = "spreadsheet";

const FILE: Asked<'static> = Asked::new("file", "The file");
const TEXT: Asked<'static> = Asked::new("text", "The cells");

/// A table that was read without a fault and waits to be recorded.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Kept {
    /// What the sender calls the file; empty where cells were pasted.
    name: String,
    text: String,
}

/// What a request works on: the card, its body, the table that waits.
struct Bench {
    state: AppState,
    stored: StoredCard,
    body: FittedBody,
    kept: Option<(Kept, Revision)>,
}

/// What the page is opened with.
#[derive(Debug, Deserialize)]
pub struct SheetQuery {
    /// `text`: change the table that waits.
    edit: Option<String>,
}

/// `GET /cards/{id}/import`
pub async fn show_import(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Query<SheetQuery>,
) -> Result<Response, AppError> {
    let bench = Bench::of(state, &id).await?;
    let Some((kept, _)) = &bench.kept else {
        return Ok(bench.form(Typed::default(), None));
    };
    let read = bench.read(kept.text.as_bytes());
    match read {
        Ok(read) if query.edit.is_none() && read.faults.is_empty() => {
            bench.preview(&read, Typed::default(), None)
        }
        // The card moved on under it, or it is to be changed.
        read => {
            let mut typed = Typed::default();
            typed.put(TEXT.name, kept.text.clone());
            Ok(bench.form(typed, read.ok()))
        }
    }
}

/// `POST /cards/{id}/import`
pub async fn take_import(
    state: AppState,
    Path(id): Path<String>,
    upload: Upload,
) -> Result<Response, AppError> {
    let bench = Bench::of(state, &id).await?;
    match upload.typed.value("act") {
        "read" => bench.take_in(upload).await,
        "save" => save::save(bench, upload.typed).await,
        "discard" => {
            bench.drop().await?;
            Ok(bench.back())
        }
        _ => Err(AppError::BadRequest(
            "There is no such key; nothing was changed.".to_owned(),
        )),
    }
}

/// `GET /cards/{id}/import/template.csv`
pub async fn show_template(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    own_card(&state, &id).await?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"findings-template.csv\"",
        ),
    ];
    Ok((headers, table::template()).into_response())
}

impl Bench {
    async fn of(state: AppState, id: &str) -> Result<Self, AppError> {
        let stored = own_card(&state, id).await?;
        let template = style(stored.card.vehicle.body_style);
        let body = fit(template, &stored.card.measured)
            .map_err(|e| AppError::CannotCompute(e.to_string()))?;
        let kept = state.store.draft(&state.actor, &stored.id, WORK).await?;
        let kept = kept.map(|kept| {
            serde_json::from_value(kept.body)
                .map(|table| (table, kept.version))
                .map_err(|e| AppError::Internal(Box::new(e)))
        });
        Ok(Self {
            kept: kept.transpose()?,
            state,
            stored,
            body,
        })
    }

    fn version(&self) -> Revision {
        self.kept.as_ref().map_or(0, |(_, version)| *version)
    }

    fn read(&self, bytes: &[u8]) -> Result<ReadTable, TableError> {
        let onto = Onto {
            card: &self.stored.card,
            body: &self.body,
            today: latest_day(OffsetDateTime::now_utc()),
        };
        table::read(bytes, &onto)
    }

    fn back(&self) -> Response {
        Redirect::to(&format!("/cards/{}/import", self.stored.id)).into_response()
    }

    async fn drop(&self) -> Result<(), AppError> {
        let (store, actor) = (&self.state.store, &self.state.actor);
        let dropped = store.drop_draft(actor, &self.stored.id, WORK, self.version());
        Ok(dropped.await?)
    }

    /// Reads what was sent; a table without a fault waits to be recorded.
    async fn take_in(self, upload: Upload) -> Result<Response, AppError> {
        let mut typed = upload.typed;
        let (asked, name, bytes) = match upload.file {
            Some(file) => (FILE, file.name, file.bytes),
            None => (
                TEXT,
                String::new(),
                typed.value(TEXT.name).as_bytes().to_vec(),
            ),
        };
        if bytes.is_empty() {
            typed.refuse(FILE, "choose a file, or paste the cells below");
            return Ok(self.form(typed, None));
        }
        let read = self.read(&bytes);
        // It stands in the page from here on, so that it can be put right there.
        let text = String::from_utf8(bytes).unwrap_or_default();
        typed.put(TEXT.name, text.trim_start_matches('\u{feff}'));
        match read {
            Err(error) => {
                if matches!(error, TableError::TooLarge { .. }) {
                    typed.put(TEXT.name, "");
                }
                typed.refuse(asked, error.to_string());
                Ok(self.form(typed, None))
            }
            Ok(read) if !read.faults.is_empty() => {
                let mut response = self.form(typed, Some(read));
                *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
                Ok(response)
            }
            Ok(_) => {
                let text = typed.value(TEXT.name).to_owned();
                self.keep(Kept { name, text }, typed).await
            }
        }
    }

    async fn keep(self, kept: Kept, mut typed: Typed) -> Result<Response, AppError> {
        let body = serde_json::to_value(&kept).map_err(|e| AppError::Internal(Box::new(e)))?;
        let (store, actor) = (&self.state.store, &self.state.actor);
        let now = OffsetDateTime::now_utc();
        let version = self.version();
        let kept = store.keep_draft(actor, &self.stored.id, WORK, version, &body, now);
        match kept.await {
            Ok(Some(_)) => Ok(self.back()),
            Ok(None) => Err(AppError::NotFound("card")),
            Err(StoreError::Conflict { .. }) => {
                typed.refuse(
                    TEXT,
                    "another window of yours read a table at the same moment: send it again",
                );
                let mut response = self.form(typed, None);
                *response.status_mut() = StatusCode::PRECONDITION_FAILED;
                Ok(response)
            }
            Err(other) => Err(other.into()),
        }
    }

    /// The page that asks for a table, with what is wrong with the one sent.
    fn form(&self, typed: Typed, read: Option<ReadTable>) -> Response {
        let page = SheetPage {
            head: CardHead::of(&self.stored),
            words: WordList::all(&self.stored.card, &self.body),
            read: read.map(|read| ReadPage::new(self, &read)),
            waits: self.kept.is_some(),
            text_hint: format!(
                "Copied with the row that names the columns. Up to {} rows.",
                table::MOST_ROWS
            ),
            typed,
        };
        (page.typed.status(), page).into_response()
    }
}
