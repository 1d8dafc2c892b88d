//! Calendar days in JSON: `2026-03-05`.

time::serde::format_description!(pub(super) iso_day, Date, "[year]-[month]-[day]");
