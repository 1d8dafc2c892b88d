//! The audit as a file for a spreadsheet: RFC 4180, UTF-8 with its mark, so that
//! accents are read.

use super::filter::asked_filter;
use super::page::Book;
use super::words::said;
use crate::contract::table::escaped;
use crate::store::AuditEntry;
use crate::web::error::AppError;
use crate::web::state::AppState;
use crate::web::typed::Typed;
use crate::web::variant::Pairs;
use axum::extract::Query;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

/// Lines read at once.
const AT_ONCE: u32 = 1_000;
/// What tells a spreadsheet that the text is UTF-8.
const MARK: &str = "\u{feff}";
const HEADINGS: [&str; 8] = [
    "time", "who", "action", "what", "card", "card id", "revision", "line",
];

/// `GET /audit.csv`: every line the filter lets through, newest first.
pub async fn download_audit(state: AppState, Query(pairs): Pairs) -> Result<Response, AppError> {
    let mut typed = Typed::sent(pairs);
    let filter = asked_filter(&mut typed);
    if let Some(fault) = typed.faults().first() {
        return Err(AppError::BadRequest(format!(
            "{}: {}.",
            fault.label, fault.said
        )));
    }
    let book = Book::of(&state).await?;
    let mut text = MARK.to_owned() + &row(&HEADINGS.map(str::to_owned));
    let mut after: Option<String> = None;
    loop {
        let own = &state.actor.department;
        let lines = state
            .store
            .audit_of(own, &filter, after.as_deref(), AT_ONCE)
            .await?;
        for line in &lines {
            text.push_str(&row(&cells(line, &book)?));
        }
        match lines.last() {
            Some(last) if lines.len() == AT_ONCE as usize => after = Some(last.id.clone()),
            _ => break,
        }
    }
    let name = format!(
        "attachment; filename=\"audit-{}.csv\"",
        OffsetDateTime::now_utc().date()
    );
    let headers = [
        (CONTENT_TYPE, "text/csv; charset=utf-8"),
        (CONTENT_DISPOSITION, name.as_str()),
        (CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, text).into_response())
}

fn cells(line: &AuditEntry, book: &Book) -> Result<[String; 8], AppError> {
    let at = line.at.format(&Rfc3339);
    let revision = line.detail["revision"].as_i64();
    Ok([
        at.map_err(|e| AppError::Internal(Box::new(e)))?,
        line.member_name.clone(),
        line.action.clone(),
        said(line, &book.names),
        book.title(line).to_owned(),
        line.card
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
        revision.map(|n| n.to_string()).unwrap_or_default(),
        line.id.clone(),
    ])
}

/// One row, every cell quoted; see [`escaped`] on what would be worked out.
fn row(cells: &[String]) -> String {
    let quoted = cells
        .iter()
        .map(|cell| format!("\"{}\"", escaped(cell).replace('"', "\"\"")));
    quoted.collect::<Vec<_>>().join(",") + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::row;

    #[test]
    fn a_cell_is_text_whatever_stands_in_it() {
        let cells = ["=1+1", "a \"b\", c", "-2x", "@x", "+3=", "\ty", "f1"].map(str::to_owned);
        assert_eq!(
            row(&cells),
            "\"'=1+1\",\"a \"\"b\"\", c\",\"'-2x\",\"'@x\",\"'+3=\",\"'\ty\",\"f1\"\r\n"
        );
    }
}
