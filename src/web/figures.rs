//! Which figure leads on a person's pages, millimetres or inches; the other
//! stands beside it. A choice of the browser, kept in a plain cookie. Print,
//! drawings as files and the API stay as they are.
//!
//! It goes with a request like a language would: every page of the request
//! reads it here, and pages are kept apart by it.

use super::error::AppError;
use super::state::Service;
use super::typed::Typed;
use super::who;
use crate::domain::units::{Grain, Rounding, Unit, inches, millimetres};
use crate::domain::vehicle::words;
use crate::sketch::figures::Range;
use axum::extract::{Request, State};
use axum::http::HeaderMap;
use axum::http::header::{REFERER, SET_COOKIE};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::cookie::CookieJar;
use time::Duration;

words! {
    /// The figure that leads.
    First { Mm = "mm", Inches = "in" }
}

const COOKIE: &str = "first";
const KEPT_FOR: Duration = Duration::days(400);

tokio::task_local! {
    static FIRST: First;
}

/// What leads in the request being answered; millimetres outside of one.
pub fn first() -> First {
    FIRST.try_with(|first| *first).unwrap_or(First::Mm)
}

/// Makes a page with this figure first, also on another thread.
pub fn within<T>(first: First, make: impl FnOnce() -> T) -> T {
    FIRST.sync_scope(first, make)
}

/// Reads the preference of every request that passes.
pub async fn prefer(State(service): State<Service>, request: Request, next: Next) -> Response {
    let jar = CookieJar::from_headers(request.headers());
    let kept = who::sent(&jar, COOKIE, service.door.secure);
    let first = kept.and_then(First::from_word);
    FIRST
        .scope(first.unwrap_or(First::Mm), next.run(request))
        .await
}

/// `POST /figures`: keeps the choice in this browser and goes back to the page
/// it was made on.
pub async fn choose_figures(
    State(service): State<Service>,
    headers: HeaderMap,
    typed: Typed,
) -> Result<Response, AppError> {
    let first = First::from_word(typed.value("first")).ok_or_else(|| {
        let words: Vec<&str> = First::ALL.iter().map(|first| first.word()).collect();
        AppError::BadRequest(format!("first: accepted are {}.", words.join(", ")))
    })?;
    let cookie = who::cookie(COOKIE, first.word(), KEPT_FOR, service.door.secure);
    let kept = [(SET_COOKIE, cookie.to_string())];
    Ok((kept, Redirect::to(&back(&headers))).into_response())
}

/// Path and query of the page the form stood on. Only our own pages reach a
/// form, so that the origin is ours; a page that answers to POST alone does not
/// exist here.
fn back(headers: &HeaderMap) -> String {
    let from = headers.get(REFERER).and_then(|v| v.to_str().ok());
    let from = from.and_then(|v| v.parse::<axum::http::Uri>().ok());
    let path = from.and_then(|uri| uri.path_and_query().map(ToString::to_string));
    // Two strokes would lead to another host; a browser reads a backslash as one.
    path.filter(|path| path.starts_with('/') && !path[1..].starts_with(['/', '\\']))
        .unwrap_or_else(|| "/".to_owned())
}

impl First {
    /// The unit that figures are typed in unless a form says otherwise.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Mm => Unit::Mm,
            Self::Inches => Unit::Inch,
        }
    }
}

/// `415 mm (16⅜ in)`, or the inches first.
pub fn both(mm: f64, rounding: Rounding) -> String {
    let (metric, inch) = (
        millimetres(mm, rounding),
        inches(mm, Grain::Eighth, rounding),
    );
    match first() {
        First::Mm => format!("{metric} ({inch})"),
        First::Inches => format!("{inch} ({metric})"),
    }
}

/// Where there is little room: `415 mm`, or `16⅜ in (415 mm)`.
pub fn short(mm: f64, rounding: Rounding) -> String {
    match first() {
        First::Mm => millimetres(mm, rounding),
        First::Inches => both(mm, rounding),
    }
}

/// Before or after a figure whose unit it shares: `415`; inches carry their own.
pub fn amount(mm: f64) -> String {
    match first() {
        First::Mm => format!("{mm:.0}"),
        First::Inches => inches(mm, Grain::Eighth, Rounding::Nearest),
    }
}

/// `80–210 mm (3⅛–8⅜ in)`, or the inches first.
pub fn range(range: Range) -> String {
    let (mm, inches) = (range.mm(), range.inches());
    match first() {
        First::Mm => format!("{mm} mm ({inches} in)"),
        First::Inches => format!("{inches} in ({mm} mm)"),
    }
}

/// Where there is little room: `80–210 mm`, or with the inches first.
pub fn short_range(of: Range) -> String {
    match first() {
        First::Mm => format!("{} mm", of.mm()),
        First::Inches => range(of),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_lead_where_they_are_preferred_and_millimetres_stay_beside_them() {
        assert_eq!(both(415.0, Rounding::Down), "415 mm (16¼ in)");
        assert_eq!(short(415.0, Rounding::Down), "415 mm");
        within(First::Inches, || {
            assert_eq!(both(415.0, Rounding::Down), "16¼ in (415 mm)");
            assert_eq!(short(415.0, Rounding::Down), "16¼ in (415 mm)");
            let of = Range::outward(80.0, 210.0);
            assert_eq!(range(of), "3⅛–8⅜ in (80–210 mm)");
            assert_eq!(short_range(of), "3⅛–8⅜ in (80–210 mm)");
        });
    }

    #[test]
    fn the_way_back_never_leads_to_another_host() {
        for (from, to) in [
            (
                "http://localhost:8080/cards/1?side=right",
                "/cards/1?side=right",
            ),
            ("http://localhost:8080", "/"),
            ("http://localhost:8080//elsewhere.example/", "/"),
            ("http://localhost:8080/\\elsewhere.example/", "/"),
            ("not an address", "/"),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(REFERER, from.parse().unwrap());
            assert_eq!(back(&headers), to, "{from}");
        }
    }
}
