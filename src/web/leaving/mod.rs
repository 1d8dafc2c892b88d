//! A department that is to be deleted: the page where a keeper asks for it or
//! calls it off, and the day on every page its members see.
//!
//! The day goes with a request as a language would: who is let in brings it, the
//! base of every page reads it here, and kept pages are kept apart by it.

mod page;
mod sweep;

pub use page::{change_leaving, show_leaving};
pub use sweep::{sweep, sweep_beside, sweep_departments};

use super::say;
use time::{Date, OffsetDateTime};

tokio::task_local! {
    static LEAVES: Option<Date>;
}

/// The day on which the asker's department is to be deleted, if it is.
pub fn day() -> Option<Date> {
    LEAVES.try_with(|day| *day).unwrap_or(None)
}

/// The same, as a page says it.
pub fn day_in_words() -> Option<String> {
    day().map(say::day)
}

/// Answers a request of somebody whose department is to be deleted then.
pub async fn within<T>(due: Option<OffsetDateTime>, answer: impl Future<Output = T>) -> T {
    LEAVES.scope(due.map(OffsetDateTime::date), answer).await
}

/// The same work with the day of this request, on whatever thread it is done.
pub fn carried<T>(make: impl FnOnce() -> T) -> impl FnOnce() -> T {
    let day = day();
    move || LEAVES.sync_scope(day, make)
}
